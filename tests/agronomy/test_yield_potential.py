"""Water-limited yield against the handbook's check values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.yield_potential import (
    stored_water,
    water_limited_yield,
    yield_benchmark,
    yield_benchmarks,
    yield_target,
)
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade, source

WHEAT = yield_benchmark("wheat-south-australia")


@pytest.mark.parametrize(
    ("rain", "stored", "expected"),
    [
        pytest.param(300.0, 30.0, 4.4, id="YPOT-01"),
        pytest.param(100.0, 0.0, 0.0, id="YPOT-03"),
    ],
)
def test_wheat_yields_what_the_handbook_says(rain, stored, expected):
    # french-schultz-1984: 110 mm evaporate, 20 kg/ha for each mm more
    found = water_limited_yield(rain, WHEAT, stored_water_mm=stored)
    assert found.potential_t_ha == pytest.approx(expected, abs=0.001)


def test_a_third_of_the_summer_rain_is_stored():
    # YPOT-02; dpird-potential-yield
    assert stored_water(90.0) == pytest.approx(30.0, abs=0.1)


def test_the_western_boundary_is_the_published_one():
    # harries-2022: 25 x (WU - 45)
    found = water_limited_yield([245.0], yield_benchmark("wheat-western-australia"))
    assert found.potential_t_ha == pytest.approx([5.0])
    assert found.benchmark.grade is Grade.PUBLISHED


def test_each_step_of_the_sum_can_be_seen():
    found = water_limited_yield([300.0, 80.0, np.nan], WHEAT, stored_water_mm=20.0)
    assert found.water_mm == pytest.approx([320.0, 100.0, np.nan], nan_ok=True)
    assert found.used_mm == pytest.approx([210.0, 0.0, np.nan], nan_ok=True)
    assert [bool(text) for text in found.reason] == [False, True, True]
    assert [bool(text) for text in found.doubt] == [True, False, False]


@pytest.mark.parametrize("benchmark", yield_benchmarks(), ids=lambda b: b.key)
def test_what_is_from_memory_says_so_wherever_it_is_used(benchmark):
    assert source(benchmark.source).grade is benchmark.grade
    is_unverified = benchmark.grade is Grade.UNVERIFIED
    assert is_unverified == ("(unverified)" in benchmark.name)
    doubt = water_limited_yield([400.0], benchmark).doubt[0]
    assert is_unverified == ("unverified" in doubt)


def test_wheat_has_published_benchmarks_and_no_other_crop_has():
    assert {b.grade for b in yield_benchmarks("wheat")} == {Grade.PUBLISHED}
    assert {b.crop for b in yield_benchmarks() if b.grade is Grade.PUBLISHED} == {"wheat"}


def test_a_target_is_a_share_of_the_potential():
    assert yield_target([4.0, np.nan], 0.75) == pytest.approx([3.0, np.nan], nan_ok=True)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: water_limited_yield(-1.0, WHEAT), "growing_season_rain_mm"),
        (lambda: water_limited_yield(300.0, WHEAT, stored_water_mm=-1.0), "stored_water_mm"),
        (lambda: stored_water(-1.0), "summer_rain_mm"),
        (lambda: yield_target(4.0, 75.0), "share"),
        (lambda: yield_target(4.0, 0.0), "share"),
        (lambda: yield_target(4.0, np.nan), "share"),
    ],
)
def test_a_value_out_of_range_is_refused_by_name(call, named):
    with pytest.raises(SoilInputError, match=named):
        call()


def test_an_unknown_benchmark_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="wheat-south-australia"):
        yield_benchmark("tulips")


@given(st.floats(0, 800), st.floats(0, 200), st.floats(0, 100))
def test_more_water_never_yields_less(rain, stored, more):
    less = water_limited_yield(rain, WHEAT, stored_water_mm=stored).potential_t_ha
    assert (
        0 <= less <= water_limited_yield(rain + more, WHEAT, stored_water_mm=stored).potential_t_ha
    )
