"""Lime from printed tables against the handbook's check values and the tables' ends."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime_tables import (
    incorporation_limit,
    lime_by_buffer_table,
    lime_by_ecec,
    lime_by_texture,
    lime_textures,
)
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade


@pytest.mark.parametrize("expected", [pytest.param(5.7, id="LIME-06")])
def test_the_buffer_table_gives_the_printed_value(expected):
    assert lime_by_buffer_table(5.5, target_ph_water=6.5) == expected


@pytest.mark.parametrize(
    ("texture", "gap", "carbon", "expected"),
    [
        pytest.param("clay loam", 1.0, np.nan, 2.7027, id="LIME-17"),
        pytest.param("sandy loam", 1.0, np.nan, 1.75439, id="LIME-18"),
        # 0.5 / 0.67 + 0.4
        pytest.param("sand", 0.5, 1.5, 1.14627, id="LIME-28"),
    ],
)
def test_the_texture_rule_gives_the_handbook_value(texture, gap, carbon, expected):
    found = lime_by_texture(gap, texture, organic_carbon_percent=carbon)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("ecec", "ph", "expected"),
    [
        pytest.param(5.0, 4.3, 2.5, id="LIME-19"),
        pytest.param(10.0, 4.0, 8.7, id="LIME-20"),
        pytest.param(4.5, 4.3, 2.3, id="LIME-21"),
    ],
)
def test_the_table_by_cec_gives_the_handbook_value(ecec, ph, expected):
    assert lime_by_ecec(ecec, ph) == pytest.approx(expected, abs=1e-9)


def test_to_5_5_the_step_from_5_2_is_added():
    # CEC 5: 2.5 to pH 5.2, and 0.7 from there to 5.5
    assert lime_by_ecec(5.0, [4.3, 5.2, 5.5], target_ph_cacl2=5.5) == pytest.approx([3.2, 0.7, 0])


def test_between_printed_rows_the_buffer_table_runs_straight():
    # half-way between 5.7 and 2.3
    assert lime_by_buffer_table(5.75, target_ph_water=6.5) == pytest.approx(4.0)


def test_outside_a_table_nothing_is_made_up():
    assert np.isnan(lime_by_buffer_table([4.4, 6.6], target_ph_water=5.5)).all()
    assert np.isnan(lime_by_ecec([0.5, 16.0, 5.0], [4.5, 4.5, 3.9])).all()
    assert np.isnan(lime_by_texture(1.0, "loam"))


@pytest.mark.parametrize("target", [5.0, 6.0, np.nan])
def test_a_target_that_the_table_was_not_made_for_is_refused(target):
    with pytest.raises(SoilInputError, match=r"5\.5"):
        lime_by_buffer_table(5.5, target_ph_water=target)
    with pytest.raises(SoilInputError, match=r"5\.2"):
        lime_by_ecec(5.0, 4.5, target_ph_cacl2=target)


def test_carbon_adds_nothing_where_there_is_no_gap():
    assert lime_by_texture([0.0, -0.3], "sand", organic_carbon_percent=2.0).tolist() == [0, 0]


def test_where_no_limit_is_told_the_lowest_one_counts():
    assert incorporation_limit(["Sand", "clay loam", "clay", ""]).tolist() == [2, 4, 2, 2]


def test_the_texture_rule_is_marked_unverified():
    assert {row.grade for row in lime_textures()} == {Grade.UNVERIFIED}


@given(st.floats(1, 15), st.floats(4.0, 6.0), st.floats(0, 1))
def test_a_higher_ph_never_needs_more_lime(ecec, ph, more):
    assert lime_by_ecec(ecec, ph + more) <= lime_by_ecec(ecec, ph) + 1e-9


@given(st.floats(5.2, 9.0), st.floats(1, 15))
def test_at_the_target_no_lime_is_needed(ph, ecec):
    assert lime_by_ecec(ecec, ph) == 0
