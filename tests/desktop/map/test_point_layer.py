"""Many points: each is found, each is drawn, and a drag may leave some out."""

import numpy as np
import pytest

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.path_store import PathStore
from vrxapp.desktop.map.pixels import packed_color
from vrxapp.desktop.map.point_index import point_index
from vrxapp.desktop.map.point_layer import PointLayer
from vrxapp.desktop.map.view_transform import ViewTransform
from vrxapp.legend import LIGHT

BLUE = packed_color("#3a78b8")


def frame_on(bounds, *, width=200, height=150, is_draft=False):
    view = ViewTransform(width_px=width, height_px=height).fitted(bounds)
    return Frame(
        view.rung,
        view.left_px,
        view.top_px,
        width,
        height,
        1.0,
        LIGHT,
        PathStore(),
        is_draft=is_draft,
    )


def inside_rim(layer, frame):
    pixels = layer.pixels(frame)
    rim = (pixels.shape[1] - frame.width_px) // 2
    return pixels[rim : rim + frame.height_px, rim : rim + frame.width_px]


@pytest.fixture
def random():
    return np.random.default_rng(11)


def scattered(random, count, place):
    west, south = place(0, 0)
    return west + 400.0 * random.random(count), south + 300.0 * random.random(count)


def test_all_points_in_some_ground_are_found(random, place):
    easting, northing = scattered(random, 20_000, place)
    index = point_index(easting, northing)
    west, south = place(110, 70)
    bounds = (west, south, west + 60.0, south + 45.0)
    inside = np.flatnonzero(
        (easting >= west)
        & (easting <= west + 60.0)
        & (northing >= south)
        & (northing <= south + 45.0)
    )
    found = index.row_of_point[index.chosen(bounds)]
    assert set(inside) <= set(found.tolist())
    assert len(found) < 20_000 / 8


def test_every_point_is_in_the_index_once_and_none_without_a_place(random, place):
    easting, northing = scattered(random, 5_000, place)
    easting[[3, 70]] = np.nan
    index = point_index(easting, northing)
    assert sorted(index.row_of_point) == sorted(set(range(5_000)) - {3, 70})


def test_a_share_of_points_is_spread_over_all_the_ground(random, place):
    easting, northing = scattered(random, 40_000, place)
    rows = point_index(easting, northing, share=0.2).row_of_point
    assert len(rows) == 8_000
    counts, *_ = np.histogram2d(easting[rows], northing[rows], bins=4)
    assert counts.min() > 350


def test_a_point_is_drawn_where_it_lies(place):
    easting, northing = place(100, 60)
    corners = [place(0, 0), place(400, 300)]
    layer = PointLayer(
        "points",
        [easting, *(corner[0] for corner in corners)],
        [northing, *(corner[1] for corner in corners)],
        np.array([BLUE, 0, 0], np.uint32),
    )
    frame = frame_on(layer.bounds)
    rows, columns = np.nonzero(inside_rim(layer, frame) == BLUE)
    x = easting * frame.pixels_per_metre - frame.left_px
    y = -northing * frame.pixels_per_metre - frame.top_px
    assert columns.mean() == pytest.approx(x, abs=1.0)
    assert rows.mean() == pytest.approx(y, abs=1.0)


def test_points_outside_the_frame_leave_no_trace(place):
    west, south = place(0, 0)
    layer = PointLayer(
        "points", [west, west + 4_000.0], [south, south], np.full(2, BLUE, np.uint32)
    )
    frame = frame_on((west + 1_000.0, south - 50.0, west + 1_100.0, south + 50.0))
    assert not inside_rim(layer, frame).any()


def test_points_grow_as_one_comes_nearer(random, place):
    easting, northing = scattered(random, 10_000, place)
    layer = PointLayer("points", easting, northing, np.full(10_000, BLUE, np.uint32))
    west, south = place(200, 150)
    far = inside_rim(layer, frame_on(layer.bounds))
    near = inside_rim(layer, frame_on((west, south, west + 40.0, south + 30.0)))
    count = (easting > west) & (easting < west + 40) & (northing > south) & (northing < south + 30)
    assert (far == BLUE).sum() <= 10_000
    assert (near == BLUE).sum() > 5 * count.sum()


def test_a_draft_shows_a_share_of_very_many(random, place):
    easting, northing = scattered(random, 250_000, place)
    layer = PointLayer("points", easting, northing, np.full(250_000, BLUE, np.uint32))
    assert layer.has_drafts
    draft = inside_rim(layer, frame_on(layer.bounds, width=900, height=700, is_draft=True))
    whole = inside_rim(layer, frame_on(layer.bounds, width=900, height=700))
    assert 0.1 < (draft == BLUE).sum() / (whole == BLUE).sum() < 0.4


def test_fewer_points_need_no_draft(random, place):
    easting, northing = scattered(random, 1_000, place)
    assert not PointLayer("points", easting, northing, np.zeros(1_000, np.uint32)).has_drafts


def test_new_colors_need_no_new_sorting(random, place):
    easting, northing = scattered(random, 3_000, place)
    layer = PointLayer("points", easting, northing, np.zeros(3_000, np.uint32))
    colored = layer.recolored(np.arange(3_000, dtype=np.uint32))
    assert colored.index is layer.index
    assert colored.sorted_colors.tolist() == layer.index.row_of_point.tolist()


def test_no_points_are_no_ground(show_map):
    layer = PointLayer("points", [], [], np.zeros(0, np.uint32))
    assert layer.bounds is None
    assert show_map(layer).is_sharp()


def test_points_are_seen_on_the_map(random, show_map, place, count_color):
    easting, northing = scattered(random, 5_000, place)
    view = show_map(PointLayer("points", easting, northing, np.full(5_000, BLUE, np.uint32)))
    assert 5_000 < count_color(view, "#3a78b8") < 120_000
