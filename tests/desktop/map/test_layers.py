"""What each layer puts on the screen."""

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QRectF, Qt

from vrxapp.desktop.map.frame import frame_of_view
from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.path_store import PathStore
from vrxapp.desktop.map.pixels import packed_color, packed_steps
from vrxapp.desktop.map.point_layer import PointLayer
from vrxapp.desktop.map.raster_layer import RasterLayer
from vrxapp.desktop.map.view_transform import ViewTransform
from vrxapp.desktop.map.zone_layer import ZoneLayer, outlines_in_frame
from vrxapp.legend import CHECK_STRIP, DARK, EXCLUSION, LIGHT, LineStyle, Step

PLUM, GREEN, STRAW = Step("60", "#8e4b97"), Step("95", "#55ba87"), Step("150", "#fbec84")


def test_a_hatched_zone_shows_fill_and_hatch(show_map, block, pixels_of):
    view = show_map(ZoneLayer("strips", [block(0, 0, 300, 300)], (CHECK_STRIP,)))
    middle = pixels_of(view)[160:320, 240:400]
    fill, ink = (
        (middle == [int(color[i : i + 2], 16) for i in (1, 3, 5)]).all(axis=2).mean()
        for color in (CHECK_STRIP.fill, CHECK_STRIP.hatch_ink)
    )
    assert 0.6 < fill < 0.95
    assert 0.02 < ink < 0.3


def test_hatching_runs_on_across_tiles(show_map, block, pixels_of):
    view = show_map(ZoneLayer("dams", [block(0, 0, 300, 300)], (EXCLUSION,)))
    inside = pixels_of(view)[112:368, 192:448].astype(int)
    # The pattern repeats after 16 pixels, wherever the borders of tiles lie.
    assert (inside[:, 16:] == inside[:, :-16]).all()
    assert (inside[16:] == inside[:-16]).all()


def test_a_zone_without_a_style_is_an_outline_on_the_ground(show_map, block, color_at, count_color):
    view = show_map(ZoneLayer("paddock", [block(0, 0, 300, 300)], (PLUM,), (-1,)))
    assert color_at(view, 150, 150) == LIGHT.background
    assert count_color(view, LIGHT.ink) > 500


def test_a_zone_far_larger_than_the_screen_is_drawn_where_it_lies(
    qtbot, show_map, block, place, color_at
):
    zones = ZoneLayer(
        "zones", [block(0, 0, 4_000, 3_000), block(4_000, 0, 8_000, 3_000)], (PLUM, GREEN), (0, 1)
    )
    view = show_map(zones)
    view.center_on(*place(4_000, 1_500))
    view.zoom_by(64)
    qtbot.waitUntil(view.is_sharp)
    reach = 100 * view.view().metres_per_pixel
    assert color_at(view, 4_000 - reach, 1_500) == PLUM.fill
    assert color_at(view, 4_000 + reach, 1_500) == GREEN.fill
    border = color_at(view, 4_000, 1_500)
    assert sum(int(border[i : i + 2], 16) for i in (1, 3, 5)) < 200


def test_of_a_detailed_zone_seen_from_near_only_the_part_at_hand_is_drawn():
    angle = np.linspace(0.0, 2.0 * np.pi, 20_000, endpoint=False)
    radius = 500.0 + 3.0 * np.sin(400.0 * angle)
    ring = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    zones = ZoneLayer("zones", [shapely.Polygon(ring)], (PLUM,))
    view = ViewTransform(width_px=300, height_px=200, rung=40).centered_on(500.0, 0.0)
    frame = frame_of_view(view, LIGHT, PathStore())
    path = outlines_in_frame(zones.geometries, zones.boxes, np.array([0]), frame)[0]
    assert 10 < path.elementCount() < 2_000
    corners = QRectF(0.0, 0.0, 300.0, 200.0)
    to_frame = frame.from_ground(frame.paths.origin_m)
    assert to_frame.map(path).boundingRect().intersects(corners)


def test_an_outline_alone_is_drawn_in_the_ink_of_its_scheme(qtbot, show_map, block, count_color):
    view = show_map(ZoneLayer("paddock", [block(0, 0, 300, 300)], (PLUM,), (-1,)))
    view.set_dark(True)
    qtbot.waitUntil(view.is_sharp)
    assert count_color(view, DARK.ink) > 500


def test_restyled_zones_share_their_ground(zones):
    other = zones.restyled((STRAW,), (0, 0))
    assert other.geometries is zones.geometries
    assert other.labels is zones.labels
    assert [other.styles[i] for i in other.style_of_row] == [STRAW, STRAW]


def test_columns_are_checked_and_cannot_be_changed(block):
    with pytest.raises(ValueError, match="one for each row"):
        ZoneLayer("zones", [block(0, 0, 1, 1)], (PLUM,), (0, 0))
    with pytest.raises(ValueError, match="2 labels for 1 rows"):
        ZoneLayer("zones", [block(0, 0, 1, 1)], (PLUM,), labels=("West", "East"))
    with pytest.raises(ValueError, match="from -1 to 0"):
        ZoneLayer("zones", [block(0, 0, 1, 1)], (PLUM,), (1,))
    with pytest.raises(ValueError, match="from 0 to 0"):
        MarkerLayer("samples", [1.0], [1.0], (PLUM,), (-1,))
    with pytest.raises(ValueError, match="one length"):
        MarkerLayer("samples", [1.0, 2.0], [1.0], (PLUM,))
    with pytest.raises(ValueError, match="one length"):
        PointLayer("points", [1.0, 2.0], [1.0, 2.0], np.zeros(3, np.uint32))
    with pytest.raises(ValueError, match="read-only"):
        ZoneLayer("zones", [block(0, 0, 1, 1)], (PLUM,)).style_of_row[0] = 1


def test_markers_are_round_with_a_dark_edge_and_a_light_rim(show_map, place, pixel_of, pixels_of):
    easting, northing = place(100, 100)
    samples = MarkerLayer("samples", [easting - 90, easting], [northing - 90, northing], (GREEN,))
    view = show_map(samples)
    pixel = pixel_of(view, 100, 100)
    row = pixels_of(view)[pixel.y(), pixel.x() - 12 : pixel.x() + 13].astype(int).sum(axis=1)
    fill = sum(int(GREEN.fill[i : i + 2], 16) for i in (1, 3, 5))
    assert row[12] == fill
    for half in (row[:12][::-1], row[13:]):
        darkest = int(half.argmin())
        assert half[darkest] < 200
        assert half[darkest:].max() > 700
        assert 3 <= darkest <= 6


def test_a_marker_without_a_place_is_left_out(qtbot, show_map, place, count_color):
    easting, northing = place(0, 0)
    samples = MarkerLayer(
        "samples", [easting, np.nan, easting], [np.nan, northing, northing], (GREEN,)
    )
    alone = MarkerLayer("samples", [easting], [northing], (GREEN,))
    assert samples.bounds == alone.bounds
    view = show_map(samples)
    assert count_color(view, GREEN.fill) == count_color(show_map(alone), GREEN.fill)
    qtbot.keyClick(view, Qt.Key.Key_Tab)
    assert view.selected() == ("samples", 2)


def test_lines_have_their_color_and_width(show_map, place, pixels_of):
    ends = [place(0, 50), place(300, 50)]
    line = LineLayer("tracks", [shapely.LineString(ends)], (LineStyle("track", "#2040c0", 5.0),))
    column = pixels_of(show_map(line))[:, 320]
    assert (column == [0x20, 0x40, 0xC0]).all(axis=1).sum() in {4, 5}


def test_a_line_without_a_color_takes_the_ink_and_dashes_leave_gaps(show_map, place, pixels_of):
    ends = shapely.LineString([place(0, 50), place(300, 50)])
    dashed = LineLayer("passes", [ends], (LineStyle("pass", width_px=4.0, dashes_px=(12.0, 8.0)),))
    view = show_map(dashed)
    ink = [int(LIGHT.ink[i : i + 2], 16) for i in (1, 3, 5)]
    on_line = (pixels_of(view)[238:243] == ink).all(axis=2).any(axis=0)[60:580]
    assert 0.45 < on_line.mean() < 0.7
    assert np.abs(np.diff(on_line.astype(int))).sum() > 30


def test_a_grid_lies_where_its_affine_says(show_map, place, color_at):
    pixels = packed_steps((PLUM, GREEN, STRAW), np.array([[0, 1], [2, -1]]))
    west, north = place(0, 200)
    view = show_map(RasterLayer("cells", pixels, (150.0, 0.0, west, 0.0, -100.0, north)))
    assert color_at(view, 75, 150) == PLUM.fill
    assert color_at(view, 225, 150) == GREEN.fill
    assert color_at(view, 75, 50) == STRAW.fill
    assert color_at(view, 225, 50) == LIGHT.background
    assert color_at(view, 149, 101) == PLUM.fill
    assert color_at(view, 151, 101) == GREEN.fill


def test_a_turned_grid_lies_along_its_passes(show_map, place, color_at):
    pixels = packed_steps((PLUM, GREEN), np.array([[0, 1]]))
    west, south = place(0, 0)
    view = show_map(RasterLayer("cells", pixels, (60.0, -80.0, west + 80.0, 80.0, 60.0, south)))
    assert color_at(view, 70, 70) == PLUM.fill
    assert color_at(view, 130, 150) == GREEN.fill
    assert color_at(view, 130, 20) == LIGHT.background


def test_a_raster_finer_than_the_screen_is_thinned_out_in_place(show_map, place, color_at):
    half = np.full((1_500, 3_000), packed_color(PLUM.fill), np.uint32)
    half[:, 1_500:] = packed_color(GREEN.fill)
    west, north = place(0, 300)
    raster = RasterLayer("cells", half, (0.2, 0.0, west, 0.0, -0.2, north))
    view = show_map(raster, width=300, height=200)
    assert color_at(view, 290, 150) == PLUM.fill
    assert color_at(view, 310, 150) == GREEN.fill
    assert color_at(view, 300, 310) == LIGHT.background


def test_a_see_through_layer_mixes_with_the_ground(show_map, block, color_at):
    half = ZoneLayer("zones", [block(0, 0, 300, 300)], (Step("", "#000000"),), opacity=0.5)
    shade = [int(color_at(show_map(half), 150, 150)[i : i + 2], 16) for i in (1, 3, 5)]
    expected = [int(LIGHT.background[i : i + 2], 16) / 2 for i in (1, 3, 5)]
    assert shade == pytest.approx(expected, abs=1.5)


def test_a_see_through_pixel_is_premultiplied():
    assert packed_color("#ff8000", 0.5) == 0x80804000
    assert packed_color("#102030") == 0xFF102030
