"""A layer made of thinner ones."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.soil.by_layer import layer_notes, results_in_layer, tiles_of


@pytest.fixture
def layered(make_table):
    """A function that makes a table of one sample in several layers."""

    def made(values):
        return make_table(
            {"sulfur_kcl40": [str(v) for v in values.values()]},
            samples=["S"] * len(values),
            depths_cm=list(values),
        )

    return made


def result(table, depth_cm="0-30"):
    rows = np.zeros(len(table.sample_ids), dtype=np.intp)
    found = results_in_layer(
        table, "sulfur_kcl40", place_of_row=rows, place_count=1, depth_cm=depth_cm
    )
    return float(found.mean[0]), int(found.count[0])


def test_thinner_layers_count_by_their_thickness(layered):
    # (10 cm x 3 + 20 cm x 6) / 30 cm = 5
    assert result(layered({"0-10": 3.0, "10-30": 6.0})) == (pytest.approx(5.0), 1)


def test_the_layer_itself_goes_before_its_parts(layered):
    assert result(layered({"0-30": 9.0, "0-10": 3.0, "10-30": 6.0}))[0] == 9.0


def test_a_gap_or_an_overlap_gives_nothing(layered):
    for depths in ({"0-10": 3.0, "20-30": 6.0}, {"0-20": 3.0, "10-30": 6.0}, {"0-10": 3.0}):
        assert np.isnan(result(layered(depths))[0])
        assert tiles_of(layered(depths), "0-30") == ()


def test_the_notes_tell_what_the_layer_is_made_of(layered):
    table = layered({"0-10": 3.0, "10-30": 6.0})
    (note,) = layer_notes(table, "sulfur_kcl40", depth_cm="0-30")
    assert "0-10 and 10-30" in note.message
    (left,) = layer_notes(table, "sulfur_kcl40", depth_cm="0-10")
    assert "leaves out 1" in left.message


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.integers(1, 40), min_size=2, max_size=6))
def test_equal_layers_give_their_own_value(layered, thicknesses):
    ends = np.cumsum([0, *thicknesses])
    names = [f"{a}-{b}" for a, b in pairwise(ends)]
    assert result(layered(dict.fromkeys(names, 7.0)), f"0-{ends[-1]}")[0] == pytest.approx(7.0)
