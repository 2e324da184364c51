"""Samples with a position, as a map takes them from a sheet."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.errors import GroundError, UnknownChoiceError
from vrxapp.workflows.placed_samples import mappable_tests, outside_notes, placed_samples

CRS = "EPSG:7855"


@pytest.fixture
def table(placed_sheet, corner):
    """Four spots: the first twice, the third at two layers, the last without a position."""
    east = corner[0] + np.array([10.0, 10.0, 200.0, 300.0, 300.0, 400.0])
    north = corner[1] + np.array([10.0, 10.0, 50.0, 90.0, 90.0, 20.0])
    made = placed_sheet(east, north, [20.0, 24.0, 8.0, 40.0, 12.0, 99.0])
    lon = np.append(made.longitude_degree[:5], np.nan)
    return replace(
        made,
        sample_ids=("A", "A", "B", "C", "C", "D"),
        depths_cm=("0-10", "0-10", "0-10", "0-10", "10-20", "0-10"),
        longitude_degree=lon,
    )


def said(notes):
    return " ".join(map(str, notes))


def test_replicates_are_averaged_and_the_layer_of_most_rows_is_taken(table):
    placed = placed_samples(table, "colwell_p", CRS)
    assert placed.depth_cm == "0-10"
    assert placed.points.values.tolist() == [22.0, 8.0, 40.0]
    assert "results of 10-20 cm too" in said(placed.notes)
    assert "1 sample has a result but no position" in said(placed.notes)


def test_another_layer_is_taken_where_it_is_asked_for(table):
    placed = placed_samples(table, "colwell_p", CRS, depth_cm="10-20")
    assert placed.points.values.tolist() == [12.0]
    assert placed.notes == ()


def test_samples_lie_where_their_longitude_and_latitude_say(table, corner):
    points = placed_samples(table, "colwell_p", CRS).points
    assert points.easting_m == pytest.approx(corner[0] + np.array([10.0, 200.0, 300.0]), abs=0.01)
    assert points.northing_m == pytest.approx(corner[1] + np.array([10.0, 50.0, 90.0]), abs=0.01)


def test_two_samples_that_share_a_number_and_no_place_stay_two(table):
    same = replace(table, sample_ids=("1",) * 6)
    assert placed_samples(same, "colwell_p", CRS).points.values.tolist() == [22.0, 8.0, 40.0]


def test_half_the_limit_stands_for_a_result_below_detection(placed_sheet, corner):
    sheet = placed_sheet(
        corner[0] + np.arange(3.0), corner[1] + np.zeros(3), [5.0, 9.0, 200.0],
        limits=["<", "", ">"],
    )  # fmt: skip
    placed = placed_samples(sheet, "colwell_p", CRS)
    assert placed.points.values.tolist() == [2.5, 9.0, 200.0]
    assert "1 of 3 results is below detection; half the limit stands for it" in said(placed.notes)
    assert "1 of 3 results is above what was measured" in said(placed.notes)


def test_what_the_sheet_does_not_hold_is_refused_with_what_it_holds(table):
    with pytest.raises(UnknownChoiceError, match="Choose one of: colwell_p"):
        placed_samples(table, "olsen_p", CRS)
    with pytest.raises(UnknownChoiceError, match=r"layer 0-30 cm\. Choose one of: 0-10, 10-20"):
        placed_samples(table, "colwell_p", CRS, depth_cm="0-30")


def test_a_sheet_without_positions_is_refused_with_the_mend(sheet):
    with pytest.raises(GroundError, match="a longitude and a latitude for each sample"):
        placed_samples(sheet([("1", "West", 20.5)]), "colwell_p", CRS)


def test_tests_that_can_be_mapped_are_listed_with_their_samples(table, sheet):
    found = [(m.analyte.key, m.depth_cm, m.samples) for m in mappable_tests(table)]
    assert found == [("colwell_p", "0-10", 3), ("colwell_p", "10-20", 1)]
    assert mappable_tests(sheet([("1", "West", 20.5)])) == ()
    assert mappable_tests(None) == ()


def test_samples_of_another_place_are_told_with_their_distance(season, placed_sheet, corner):
    east = corner[0] + np.array([500.0, -2.0, 1300.0])
    sheet = placed_sheet(east, np.full(3, corner[1] + 400.0), [1, 2, 3])
    points = placed_samples(sheet, "colwell_p", CRS).points
    assert "1 sample lies outside Flat, up to 300 m away" in said(
        outside_notes(points, season.paddock)
    )
