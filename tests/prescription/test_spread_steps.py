"""What is told beside a rate on the surface: ammonia of urea, and lime that stays on top."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.gypsum_quality import gypsum_product, gypsum_purity
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.inputs.products import Material, Product, product_called, typical_products
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil
from vrxapp.need_plans import LimePlan, OwnRulePlan, Purpose
from vrxapp.prescription.pipeline import prescription, why
from vrxapp.prescription.supply import supply_per_kg
from vrxapp.spreading.machine import Machine

MACHINE = Machine("Spreader", 24.0, 1.0, 0.0, 20_000.0)
LIME = Product(
    "lime", "Lime", 0.0, 0.0, 0.0, 0.0, material=Material.LIMING_MATERIAL, effective_nv_percent=80.0
)


def typical(key):
    return product_called(key, typical_products())


def planned(season, product, *, purpose, **changes):
    operation = replace(
        season.operations[0], purpose=purpose, product=product, machine=MACHINE, **changes
    )
    return prescription(replace(season, operations=(operation,)), operation)


@pytest.fixture
def fed(season):
    """50 kg N/ha in the west, by a rule of one's own; the sheet has no result of the east."""
    rule = OwnRule(
        "Flat",
        "colwell_p",
        "0-10",
        Nutrient.NITROGEN,
        OwnShape.STEPS,
        (0.0, 100.0),
        (50.0, 0.0),
        "ours",
    )
    return replace(season, own_rules=(OwnRulePlan(rule),))


def told(plan, zone="West"):
    return [(s.text, s.source) for s in why(plan, zone)]


def test_urea_on_the_surface_tells_its_loss_as_a_range_and_adds_nothing(fed):
    plan = planned(fed, typical("urea"), purpose=Purpose.NITROGEN)
    # 50 kg N/ha ÷ 0.46 = 108.7, metered as 109; of 50.14 kg N/ha 11.7 % = 5.87 (5.4 to 27 %)
    assert plan.rates_kg_ha[0] == 109.0
    fallow = next(text for text, source in told(plan) if "fallow" in text)
    assert "of 50.14 kg N/ha as urea some 5.87 kg N/ha may be lost as ammonia (11.7 %)" in fallow
    assert "from 2.71 to 13.54. Nothing is added to the rate" in fallow
    assert ("grdc-2021-volatilisation") in {source for _, source in told(plan)}
    assert any("25 mm" in note.message for note in plan.notes)


def test_half_of_uan_counts_as_urea(fed):
    plan = planned(fed, typical("uan_32"), purpose=Purpose.NITROGEN)
    # 156 kg/ha of 16 % urea nitrogen
    assert any("of 24.96 kg N/ha as urea" in text for text, _ in told(plan))


def test_urea_with_the_seed_and_other_nitrogen_tell_no_loss(fed):
    with_seed = SeedRow(SeedSoil.LIGHT, 25.0, 250.0)
    buried = planned(fed, typical("urea"), purpose=Purpose.NITROGEN, seed_row=with_seed)
    phosphate = planned(fed, typical("dap"), purpose=Purpose.NITROGEN)
    for plan in (buried, phosphate):
        assert not any("ammonia" in text for text, _ in told(plan))


def test_nitrogen_of_no_told_form_says_that_its_loss_cannot_be_told(fed):
    own = Product("n", "District N", 46.0, 0.0, 0.0, 0.0)
    plan = planned(fed, own, purpose=Purpose.NITROGEN)
    assert any("District N are not told" in note.message for note in plan.notes)


@pytest.fixture
def sour(season, sheet):
    """pH(CaCl2) by a method of the season's own texture."""

    def made(texture):
        tests = sheet([("1", "West", 4.0), ("2", "East", 4.9)], key="ph_cacl2")
        plan = LimePlan(
            LimeMethod.TEXTURE,
            LimeChoices(target_ph_cacl2=5.5),
            bulk_density_t_m3=1.4,
            texture=texture,
        )
        return replace(season, tests=tests, lime=plan)

    return made


def test_much_lime_at_once_is_better_worked_in_or_split(sour):
    plan = planned(sour("sand"), LIME, purpose=Purpose.LIME)
    pure = plan.product_kg_ha * supply_per_kg(LIME, Purpose.LIME)
    above = pure > 2.0  # sfs-lime: the limit for sand
    assert above.tolist() == [True, False]
    assert any("Topdressed lime moves slowly" in text for text, _ in told(plan))
    assert not any("Topdressed lime" in text for text, _ in told(plan, "East"))
    assert any("much lime at once (in West)" in note.message for note in plan.notes)


def test_the_limit_on_top_is_that_of_each_zones_own_texture(sour):
    season = sour("sand")
    rows = len(season.tests.sample_ids)
    by_zone = {"West": "CL", "East": "SL"}
    told_textures = tuple(by_zone.get(name, "") for name in season.tests.zone_names)
    assert rows == len(told_textures)
    season = replace(season, tests=replace(season.tests, textures=told_textures))
    plan = planned(season, LIME, purpose=Purpose.LIME)
    steps = {step.name: step.values for step in plan.trail.steps}
    # sfs-lime: 4 t/ha on clay loam; sandy loam has no limit of its own, so the lowest counts
    assert steps["on_top_limit"].tolist() == [4.0, 2.0]
    assert steps["on_top_ground"][0] == "on clay loam"
    assert "lowest" in steps["on_top_ground"][1]


def test_the_rate_of_a_gypsum_is_that_of_its_quality(season):
    # 12 % S is 64.4 % gypsum: what a kilogram brings is the rate's own way to the same product
    product = Product("g", "Gypsum", 0.0, 0.0, 0.0, 12.0, material=Material.GYPSUM)
    per_kg = supply_per_kg(product, Purpose.GYPSUM)
    by_quality = gypsum_product([2.5], gypsum_purity([12.0])) * 1000.0
    assert np.array([2.5]) / per_kg == pytest.approx(by_quality)
