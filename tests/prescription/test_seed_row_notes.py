"""Fertiliser placed with the seed: it warns by the guides, and changes no rate."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.edits.operations import set_humate, set_seed_row
from vrxapp.inputs.products import typical_products
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil
from vrxapp.prescription.mix import mix_cautions
from vrxapp.prescription.pipeline import prescription
from vrxapp.season import HumateShare

TYPICAL = {product.key: product for product in typical_products()}
NARROW = SeedRow(SeedSoil.MEDIUM, 25.0, 300.0)
WIDE = SeedRow(SeedSoil.MEDIUM, 76.0, 152.0)


@pytest.fixture
def sown(season, with_results):
    """MAP with the seed of wheat: West needs 12 kg P/ha, East far more."""

    def make(row, *, product="map", crop="wheat"):
        season_ = with_results(season, [("1", "West", 60.0), ("2", "East", 10.0)])
        grown = replace(season_.crop, crop=crop)
        start = replace(season_.operations[0], product=TYPICAL[product])
        return set_seed_row(replace(season_, crop=grown, operations=(start,)), "op-1", row)

    return make


def plan_of(season):
    return prescription(season, season.operations[0])


def noted(plan):
    return " ".join(str(note) for note in plan.seed_notes)


def test_a_rate_beside_the_seed_warns_in_the_zones_that_pass_the_guide(sown):
    # 25 mm on 300 mm is 8.3 % of the ground; the guide's 50 lb/ac P2O5 (24.5 kg P/ha) is for
    # 11.1 %, so 18.3 kg P/ha are safe: 12 kg in the west are, the east's more than 30 are not
    plan = plan_of(sown(NARROW))
    assert "placed with the seed, East: " in noted(plan)
    assert "more phosphate than is safe" in noted(plan)
    assert "no rate was changed for it" in noted(plan)
    assert set(plan.seed_notes) <= set(plan.notes)


def test_the_check_changes_no_rate(sown):
    spread, placed = plan_of(sown(None)), plan_of(sown(NARROW))
    assert np.array_equal(spread.rates_kg_ha, placed.rates_kg_ha)
    assert spread.seed_notes == ()


def test_a_wide_band_bears_more(sown):
    assert "East: more phosphate" in noted(plan_of(sown(NARROW)))
    highest = [float(noted(plan_of(sown(row))).split("allow ")[1].split()[0]) for row in
               (NARROW, WIDE)]  # fmt: skip
    assert highest[0] < highest[1]


def test_the_crop_of_the_season_decides_the_group(sown):
    # canola on 300 mm rows: 20 lb/ac of P2O5 at most, so even 12 kg P/ha in the west is too much
    plan = plan_of(sown(NARROW, crop="wheat"))
    other = sown(NARROW, crop="canola")
    assert "West" not in noted(plan)
    assert "every zone: more phosphate" in noted(plan_of(other))


def test_a_crop_that_no_guide_names_is_judged_as_the_tenderest(sown):
    season = sown(NARROW)
    season = replace(season, crop=replace(season.crop, crop="clover_hay"))
    assert "judged as the tenderest group (pulse)" in noted(plan_of(season))


def test_the_caution_says_which_it_is(sown):
    spread = " ".join(mix_cautions(sown(None).operations[0]))
    placed = " ".join(mix_cautions(sown(NARROW).operations[0]))
    assert "not checked for placing with the seed" in spread
    assert "not checked for placing with the seed" not in placed
    assert "checked against the guides" in placed
    assert "Salt index of MAP: 26.7" in placed
    assert "Salt index" not in spread


def test_only_the_product_counts_and_not_the_humate_in_the_mix(sown):
    season = sown(WIDE)
    mixed = set_humate(season, "op-1", HumateShare(TYPICAL["soluble_humate"], 5.0, 20.0))
    assert [n.message for n in plan_of(season).seed_notes] == [
        n.message for n in plan_of(mixed).seed_notes
    ]
