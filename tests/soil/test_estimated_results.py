"""Results worked out from another test carry their mark, and no rate takes them for measured."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.soil.estimated_results import (
    organic_matter,
    ph_cacl2_from_water,
    ph_water_from_cacl2,
    total_carbon_from_walkley_black,
    total_soluble_salts,
)
from vrxapp.soil.estimates import estimate_marked, require_measured
from vrxapp.sources import Grade, source


@pytest.mark.parametrize(
    ("estimate", "expected", "tolerance"),
    [
        # Rayment and Lyons 2011, chapter 6
        pytest.param(organic_matter(2.0), 3.448, 0.001, id="OM-01"),
        pytest.param(total_carbon_from_walkley_black(1.5, factor=1.30), 1.95, 0.001, id="OM-02"),
        pytest.param(total_carbon_from_walkley_black(1.5, factor=1.08), 1.62, 0.001, id="OM-03"),
        # Rayment and Lyons 2011, method 3B1
        pytest.param(total_soluble_salts(0.50), 0.168, 0.0005, id="TSS-01"),
        pytest.param(total_soluble_salts(1.20), 0.4032, 0.0005, id="TSS-02"),
        # Conyers and Davey 1988, abstract, and its inverse
        pytest.param(ph_cacl2_from_water(6.0), 5.4, 0.01, id="PH-01"),
        pytest.param(ph_cacl2_from_water(5.0), 4.35, 0.01, id="PH-02"),
        pytest.param(ph_water_from_cacl2(4.8), 5.42857, 0.01, id="PH-03"),
    ],
)
def test_an_estimate_gives_the_handbook_value(estimate, expected, tolerance):
    assert estimate.values == pytest.approx(expected, abs=tolerance)
    assert source(estimate.source).grade is estimate.grade is Grade.PUBLISHED
    assert estimate.basis


@given(st.floats(3.0, 10.0))
def test_ph_comes_back_from_the_other_scale(ph_water):
    there = ph_cacl2_from_water([ph_water]).values
    assert ph_water_from_cacl2(there).values[0] == pytest.approx(ph_water)


@given(st.floats(3.5, 9.0), st.floats(0.0, 1.0))
def test_a_higher_ph_in_water_is_a_higher_ph_in_calcium_chloride(ph, more):
    low, high = ph_cacl2_from_water([ph, ph + more]).values
    assert low <= high < ph + more


def test_an_estimated_ph_is_refused_where_a_measured_one_is_asked_for():
    with pytest.raises(SoilInputError, match="ph_cacl2 is an estimate") as caught:
        require_measured(ph_cacl2=ph_cacl2_from_water([5.0]), clay_percent=[20.0])
    assert "Have pH in calcium chloride measured" in caught.value.note.mend


def test_measured_columns_pass():
    assert require_measured(ph_cacl2=[5.0], clay_percent=np.array([20.0])) is None


def test_an_estimate_is_shown_with_its_mark_and_a_missing_one_not_at_all():
    found = ph_cacl2_from_water([6.0, np.nan])
    assert estimate_marked(found, 0) == "~5.4 pH (estimated)"
    assert estimate_marked(found, 1) == ""


def test_an_estimate_cannot_be_written_to():
    with pytest.raises(ValueError, match="read-only"):
        organic_matter([2.0]).values[0] = 9.0


@pytest.mark.parametrize("factor", [0.9, 0.0, np.nan])
def test_a_factor_that_loses_carbon_is_refused(factor):
    with pytest.raises(SoilInputError, match="never finds more"):
        total_carbon_from_walkley_black([1.5], factor=factor)


@pytest.mark.parametrize("ph", [-1.0, 65.0])
def test_what_cannot_be_a_ph_is_refused(ph):
    with pytest.raises(SoilInputError, match="ph_water"):
        ph_cacl2_from_water([ph])
