"""The row of a pass and the group of its crop."""

import pytest

from vrxapp.agronomy.crops import crops
from vrxapp.errors import MissingInputError
from vrxapp.inputs.seed_groups import TENDEREST, SeedRow, seed_group, seed_placement
from vrxapp.inputs.seed_safe_rates import (
    SeedPlacement,
    SeedSensitivity,
    SeedSoil,
    safe_seed_nitrogen,
    safe_seed_phosphorus,
)


@pytest.mark.parametrize(("spread", "row"), [(0.0, 300.0), (301.0, 300.0), (25.0, 0.0)])
def test_a_row_that_cannot_be_is_refused(spread, row):
    with pytest.raises(MissingInputError, match="not possible"):
        SeedRow(SeedSoil.LIGHT, spread, row)


@pytest.mark.parametrize("crop", [known.key for known in crops()])
def test_every_crop_can_be_placed_with_a_row(crop):
    placed = seed_placement(SeedRow(SeedSoil.HEAVY, 50.0, 250.0, is_drying=True), crop)
    assert placed.sensitivity is (seed_group(crop) or TENDEREST)
    assert (placed.soil, placed.spread_mm, placed.row_spacing_mm) == (SeedSoil.HEAVY, 50.0, 250.0)
    assert placed.is_drying


@pytest.mark.parametrize("soil", SeedSoil)
def test_no_group_bears_less_than_the_one_for_an_unknown_crop(soil):
    def safe(group):
        row = SeedPlacement(group, soil, 25.4, 228.6)
        return safe_seed_nitrogen(row).kg_ha, safe_seed_phosphorus(row).kg_ha

    for group in SeedSensitivity:
        assert all(a <= b for a, b in zip(safe(TENDEREST), safe(group), strict=True))
