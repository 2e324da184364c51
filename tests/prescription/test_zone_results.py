"""Samples joined to zones by name, by hand and by position."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.ground.projected_crs import transformed
from vrxapp.prescription.zone_results import row_places
from vrxapp.soil.by_place import RowMatch


@pytest.fixture
def at(corner):
    """Gives a sheet positions in metres from the paddock's corner."""
    return lambda table, *positions: placed(table, corner, positions)


def placed(table, corner, positions):
    points = shapely.points([(corner[0] + x, corner[1] + y) for x, y in positions])
    lon_lat = transformed(points, from_crs="EPSG:7855", to_crs="EPSG:4326")
    return replace(
        table, longitude_degree=shapely.get_x(lon_lat), latitude_degree=shapely.get_y(lon_lat)
    )


def joined(season, table, *matches):
    return row_places(table, season.zones, season.paddock, matches)


def test_a_position_finds_its_zone(season, sheet, at):
    table = at(sheet([("1", "", 20.0), ("2", "", 30.0)]), (700, 50), (100, 50))
    assert joined(season, table).rows.tolist() == [1, 0]


def test_a_hand_made_match_wins_over_the_name(season, sheet):
    table = sheet([("1", "West", 20.0)])
    assert joined(season, table, RowMatch("1", "e")).rows.tolist() == [1]


def test_a_sample_outside_the_paddock_is_left_out_and_told(season, sheet, at):
    table = at(sheet([("1", "", 20.0), ("2", "", 30.0)]), (700, 50), (5000, 50))
    places = joined(season, table)
    assert places.rows.tolist() == [1, -1]
    (note,) = places.notes
    assert (note.file, note.row) == ("sheet.csv", 3)
    assert note.value
    assert "by hand" in note.mend


def test_when_no_sample_lies_in_the_paddock_it_is_an_error(season, sheet, at):
    table = at(sheet([("1", "", 20.0)]), (5000, 50))
    with pytest.raises(GroundError, match=r"sheet\.csv, row 2: not one of the 1 samples") as raised:
        joined(season, table)
    assert "4000 m outside" in str(raised.value)


def test_rows_without_a_position_are_no_error(season, sheet):
    table = sheet([("1", "West", 20.0)])
    assert np.isnan(table.longitude_degree).all()
    assert joined(season, table).notes == ()
