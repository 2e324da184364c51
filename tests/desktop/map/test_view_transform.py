"""Ground to pixels and back."""

import pytest

from vrxapp.desktop.map.view_transform import (
    HIGHEST_RUNG,
    LOWEST_RUNG,
    TILE_PX,
    ViewTransform,
    pixels_per_metre,
)

PADDOCK = (552_000.0, 6_241_000.0, 553_000.0, 6_241_800.0)


@pytest.fixture
def view():
    return ViewTransform(width_px=1_200, height_px=800).fitted(PADDOCK)


def test_eight_rungs_double_the_size():
    assert pixels_per_metre(8) == 2.0
    assert pixels_per_metre(-8) == 0.5


def test_fitting_shows_all_with_a_margin_and_no_more_than_needed(view):
    west, south, east, north = view.bounds
    assert west < PADDOCK[0] < PADDOCK[2] < east
    assert south < PADDOCK[1] < PADDOCK[3] < north
    nearer = view.zoomed(1, 600, 400).bounds
    assert nearer[3] - nearer[1] < (PADDOCK[3] - PADDOCK[1]) / 0.88


def test_a_pixel_leads_to_the_ground_and_back(view):
    easting, northing = view.to_ground(321.0, 123.0)
    assert view.to_pixels(easting, northing) == pytest.approx((321.0, 123.0), abs=1e-6)


def test_north_is_up_and_east_is_right(view):
    x, y = view.to_pixels(552_500.0, 6_241_400.0)
    assert view.to_pixels(552_510.0, 6_241_400.0)[0] > x
    assert view.to_pixels(552_500.0, 6_241_410.0)[1] < y


def test_zooming_keeps_the_ground_under_the_pointer(view):
    before = view.to_ground(900.0, 100.0)
    nearer = view.zoomed(5, 900.0, 100.0)
    assert nearer.to_ground(900.0, 100.0) == pytest.approx(before, abs=1 / nearer.pixels_per_metre)


def test_zooming_ends_at_both_ends_of_the_ladder(view):
    assert view.zoomed(10_000, 0, 0).rung == HIGHEST_RUNG
    assert view.zoomed(-10_000, 0, 0).rung == LOWEST_RUNG


def test_panning_there_and_back_finds_the_same_tiles(view):
    assert view.panned(733, -91).panned(-733, 91) == view
    assert set(view.panned(TILE_PX, 0).tiles()) != set(view.tiles())


def test_tiles_cover_the_view_the_middle_ones_first(view):
    keys = view.tiles()
    left = min(key.column for key in keys) * TILE_PX
    right = (max(key.column for key in keys) + 1) * TILE_PX
    top = min(key.row for key in keys) * TILE_PX
    bottom = (max(key.row for key in keys) + 1) * TILE_PX
    assert left <= view.left_px < left + TILE_PX
    assert right - TILE_PX < view.left_px + view.width_px <= right
    assert top <= view.top_px < top + TILE_PX
    assert bottom - TILE_PX < view.top_px + view.height_px <= bottom
    middle = (view.left_px + 600, view.top_px + 400)
    assert abs((keys[0].column + 0.5) * TILE_PX - middle[0]) <= TILE_PX
    assert abs((keys[0].row + 0.5) * TILE_PX - middle[1]) <= TILE_PX


def test_a_ring_adds_one_tile_on_each_side(view):
    columns = {key.column for key in view.tiles()}
    assert {key.column for key in view.tiles(ring=1)} == {
        *columns,
        min(columns) - 1,
        max(columns) + 1,
    }


def test_a_denser_screen_keeps_the_ground_for_each_pixel_of_the_widget(view):
    dense = view.resized(2_400, 1_600, 2.0)
    assert dense.metres_per_pixel == view.metres_per_pixel
    assert dense.bounds == pytest.approx(view.bounds, abs=view.metres_per_pixel)


def test_a_single_place_can_be_fitted():
    place = (552_000.0, 6_241_000.0, 552_000.0, 6_241_000.0)
    west, south, east, north = ViewTransform(width_px=400, height_px=300).fitted(place).bounds
    assert west < place[0] < east
    assert south < place[1] < north
