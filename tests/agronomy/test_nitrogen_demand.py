"""Nitrogen demand against the handbook's check values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.crop_removal import Nutrient, default_removal, nutrient_removal
from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.nitrogen_demand import (
    crop_nitrogen_uptake,
    grain_nitrogen,
    nitrogen_supply_needed,
    protein_factor,
    protein_factors,
    suggests_nitrogen_ran_short,
)
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade, source


@pytest.mark.parametrize(
    ("harvest", "yield_t_ha", "protein", "expected", "tolerance"),
    [
        pytest.param("wheat_grain", 3.0, 11.0, 57.8947, 0.05, id="NDEM-01"),
        pytest.param("wheat_grain", 6.8, 13.0, 155.04, 0.1, id="NDEM-02"),
        pytest.param("sorghum_grain", 5.0, 10.0, 80.0, 0.05, id="NDEM-05"),
    ],
)
def test_grain_holds_the_handbook_nitrogen(harvest, yield_t_ha, protein, expected, tolerance):
    factor = protein_factor(harvest).protein_per_n
    found = grain_nitrogen(yield_t_ha, protein, protein_per_n=factor)
    assert found == pytest.approx(expected, abs=tolerance)


def test_dry_grain_at_2_28_percent_holds_what_the_article_prints():
    # NDEM-02; milling-wheat-nitrogen: 6800 kg x 2.28 % = 155
    assert nutrient_removal(6.8, 22.8) == pytest.approx(155.04, abs=0.1)


def test_a_crop_takes_up_more_than_its_grain_holds():
    # NDEM-03; milling-wheat-nitrogen: 155 / 0.68 = 228
    assert crop_nitrogen_uptake(155.0, 0.68) == pytest.approx(227.941, abs=0.1)


@pytest.mark.parametrize(
    ("grain_n", "efficiency", "expected"),
    [
        pytest.param(57.895, 0.50, 115.79, id="NDEM-04"),
        pytest.param(80.0, 0.40, 200.0, id="NDEM-06"),
    ],
)
def test_supply_is_the_grain_by_the_efficiency(grain_n, efficiency, expected):
    assert nitrogen_supply_needed(grain_n, efficiency) == pytest.approx(expected, abs=0.1)


def test_canola_takes_the_handbook_nitrogen():
    # NBUD-03; ipni-2012-canola: 40 kg N in a tonne of seed
    canola = default_removal("canola_seed", Nutrient.NITROGEN)
    assert nutrient_removal(2.0, canola.kg_per_unit) == pytest.approx(80.0, abs=0.01)


def test_canola_at_half_efficiency_asks_for_what_was_measured():
    # norton-2016: each tonne of seed required about 80 kg N to be taken up
    grain = nutrient_removal(1.0, default_removal("canola_seed", Nutrient.NITROGEN).kg_per_unit)
    half = figure(FigureTable.NITROGEN, "efficiency_rule").value
    measured = figure(FigureTable.NITROGEN, "canola_supply").value
    assert nitrogen_supply_needed(grain, half) == pytest.approx(measured)


def test_wheat_of_low_protein_probably_ran_short():
    # grdc-2021-protein: less than 11.5 %
    found = suggests_nitrogen_ran_short([11.4, 11.5, np.nan])
    assert found.tolist() == [True, False, False]


@pytest.mark.parametrize("factor", protein_factors(), ids=lambda f: f.harvest)
def test_protein_factors_are_published(factor):
    assert factor.grade is source(factor.source).grade is Grade.PUBLISHED
    assert factor.protein_per_n == (5.7 if factor.harvest == "wheat_grain" else 6.25)


def test_a_harvest_without_a_factor_lists_those_with_one():
    with pytest.raises(UnknownChoiceError, match="barley_grain"):
        protein_factor("greasy_wool")


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: grain_nitrogen(-1.0, 11.0, protein_per_n=5.7), "yield_t_ha"),
        (lambda: grain_nitrogen(3.0, 110.0, protein_per_n=5.7), "protein_percent"),
        (lambda: grain_nitrogen(3.0, 11.0, protein_per_n=0.0), "protein_per_n"),
        (lambda: nitrogen_supply_needed(60.0, 50.0), "efficiency"),
        (lambda: nitrogen_supply_needed(60.0, 0.0), "efficiency"),
        (lambda: crop_nitrogen_uptake(60.0, 1.1), "nitrogen_harvest_index"),
    ],
)
def test_a_value_out_of_range_is_refused_by_name(call, named):
    with pytest.raises(SoilInputError, match=named):
        call()


@given(st.floats(0, 15), st.floats(0, 20), st.floats(0.1, 0.9), st.floats(0, 0.1))
def test_a_better_efficiency_never_asks_for_more(yield_t_ha, protein, efficiency, better):
    grain = grain_nitrogen(yield_t_ha, protein, protein_per_n=5.7)
    worse = nitrogen_supply_needed(grain, efficiency)
    assert nitrogen_supply_needed(grain, efficiency + better) <= worse + 1e-9
    assert worse >= grain
