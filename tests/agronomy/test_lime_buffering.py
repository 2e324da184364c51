"""Buffer capacity against the handbook's check values, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime_buffering import (
    BufferFunction,
    buffer_capacity,
    buffer_capacity_spread,
    buffer_estimates,
    lime_by_buffering,
)
from vrxapp.agronomy.lime_quality import lime_product_rate
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade

TEN_CM = {"depth_cm": 10.0, "bulk_density_t_m3": 1.3}


@pytest.mark.parametrize(
    ("function", "carbon", "clay", "expected"),
    [
        pytest.param(BufferFunction.AITKEN_1990, 1.5, 20.0, 1.6542, id="LIME-14"),
        pytest.param(BufferFunction.WONG_2013, 1.5, np.nan, 1.72, id="LIME-15"),
        pytest.param(BufferFunction.AITKEN_1990, 3.0, 40.0, 3.3084, id="LIME-23"),
        pytest.param(BufferFunction.WONG_2013, 3.0, np.nan, 2.71, id="LIME-24"),
        pytest.param(BufferFunction.HOCHMAN, 1.5, np.nan, 1.9, id="LIME-25"),
        pytest.param(BufferFunction.NOBLE, 1.5, np.nan, 2.28, id="LIME-26"),
        pytest.param(BufferFunction.AITKEN_1998, 1.5, 20.0, 4.375, id="LIME-27"),
    ],
)
def test_each_estimate_gives_the_handbook_value(function, carbon, clay, expected):
    found = buffer_capacity(function, organic_carbon_percent=carbon, clay_percent=clay)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("gap", "capacity", "expected"), [pytest.param(0.7, 2.0, 0.910783, id="LIME-13")]
)
def test_lime_by_buffering_gives_the_handbook_value(gap, capacity, expected):
    # 0.7 pH x 2.0 cmol/kg/pH x 0.50043 g/cmol = 0.7006 g/kg; x 1300 t/ha = 0.911 t/ha
    assert lime_by_buffering(gap, capacity, **TEN_CM) == pytest.approx(expected, abs=0.0001)


@pytest.mark.parametrize("expected", [pytest.param(0.990706, id="LIME-16")])
def test_estimate_and_product_together_give_the_handbook_value(expected):
    capacity = buffer_capacity(
        BufferFunction.AITKEN_1990, organic_carbon_percent=1.5, clay_percent=20.0
    )
    pure = lime_by_buffering(0.8, capacity, **TEN_CM)
    rate = lime_product_rate(pure, effective_nv_percent=86.9)
    assert rate == pytest.approx(expected, abs=0.0001)


def test_the_spread_holds_every_estimate_and_is_wide():
    low, high = buffer_capacity_spread(organic_carbon_percent=1.5, clay_percent=20.0)
    assert (float(low), float(high)) == pytest.approx((1.6542, 4.375), abs=0.001)


def test_without_clay_the_spread_is_of_the_estimates_from_carbon():
    low, high = buffer_capacity_spread(organic_carbon_percent=1.5)
    assert (float(low), float(high)) == pytest.approx((1.72, 2.28), abs=0.001)


def test_an_estimate_that_reads_clay_is_missing_without_it():
    function = BufferFunction.AITKEN_1990
    assert np.isnan(buffer_capacity(function, organic_carbon_percent=1.5))


def test_peat_gets_no_estimate():
    found = buffer_capacity(BufferFunction.WONG_2013, organic_carbon_percent=[6.0, 6.1])
    assert np.isnan(found).tolist() == [False, True]


def test_all_estimates_are_marked_unverified():
    rows = buffer_estimates()
    assert {row.key for row in rows} == set(BufferFunction)
    assert {row.grade for row in rows} == {Grade.UNVERIFIED}


def test_a_negative_carbon_is_refused():
    with pytest.raises(SoilInputError, match="organic_carbon_percent"):
        buffer_capacity(BufferFunction.NOBLE, organic_carbon_percent=-1.0)


@given(st.floats(-2, 3), st.floats(0.1, 8), st.floats(0, 8))
def test_more_buffering_never_needs_less_lime(gap, capacity, more):
    less_lime = lime_by_buffering(gap, capacity, **TEN_CM)
    assert lime_by_buffering(gap, capacity + more, **TEN_CM) >= less_lime >= 0


@given(st.floats(-3, 0), st.floats(0.1, 8))
def test_at_or_above_the_target_no_lime_is_needed(gap, capacity):
    assert lime_by_buffering(gap, capacity, **TEN_CM) == 0
