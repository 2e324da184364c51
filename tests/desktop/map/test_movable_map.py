"""The ground on screen: what is shown, and how mouse, wheel and keys move it."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import DARK, LIGHT, Legend, Step

PLUM, GREEN, STRAW = Step("60", "#8e4b97"), Step("95", "#55ba87"), Step("150", "#fbec84")


def turn_wheel(view, pixel, units):
    event = QWheelEvent(
        QPointF(pixel),
        view.mapToGlobal(QPointF(pixel)),
        QPoint(),
        QPoint(0, units),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(view, event)


def drag(qtbot, view, start, end):
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(view, (start + end) / 2)
    qtbot.mouseMove(view, end)
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)


def test_an_empty_map_is_calm_and_says_so(show_map, count_color):
    view = show_map()
    assert view.grab().toImage().pixelColor(5, 5).name() == LIGHT.background
    assert count_color(view, LIGHT.background) > 0.95 * 640 * 480
    assert count_color(view, LIGHT.text) > 10


def test_zones_show_their_fill_and_a_hole_shows_the_ground(show_map, zones, color_at):
    view = show_map(zones)
    assert color_at(view, 40, 40) == PLUM.fill
    assert color_at(view, 240, 40) == GREEN.fill
    assert color_at(view, 300, 150) == LIGHT.background
    assert color_at(view, -10, 150) == LIGHT.background


def test_the_first_layers_are_all_in_view(show_map, zones):
    west, south, east, north = show_map(zones).view().bounds
    assert (west, south) < zones.bounds[:2]
    assert (east, north) > zones.bounds[2:]


def test_dragging_keeps_the_ground_under_the_hand(qtbot, show_map, zones):
    view = show_map(zones)
    start, end = QPoint(300, 200), QPoint(180, 290)
    before = view.ground_at(QPointF(start))
    drag(qtbot, view, start, end)
    assert view.ground_at(QPointF(end)) == pytest.approx(before)


def test_a_drag_opens_nothing(qtbot, show_map, zones, pixel_of):
    view = show_map(zones)
    with qtbot.assertNotEmitted(view.feature_activated):
        drag(qtbot, view, pixel_of(view, 100, 100), pixel_of(view, 140, 160))


def test_the_wheel_zooms_at_the_pointer(qtbot, show_map, zones):
    view = show_map(zones)
    pointer = QPointF(400, 130)
    before, scale = view.ground_at(pointer), view.view().metres_per_pixel
    with qtbot.waitSignal(view.scale_changed) as changed:
        turn_wheel(view, pointer, 120)
    assert changed.args[0] == view.view().metres_per_pixel < scale
    assert view.ground_at(pointer) == pytest.approx(before, abs=view.view().metres_per_pixel)


def test_small_turns_of_a_wheel_add_up(show_map, zones):
    view = show_map(zones)
    before = view.view().rung
    for _ in range(3):
        turn_wheel(view, QPoint(300, 200), 20)
    assert view.view().rung == before + 1


def test_after_a_zoom_scaled_tiles_stand_in_at_once(qtbot, show_map, zones, color_at):
    view = show_map(zones)
    turn_wheel(view, QPoint(320, 240), 240)
    assert not view.is_sharp()
    assert color_at(view, 150, 150) == PLUM.fill
    with qtbot.waitSignal(view.sharpened):
        pass
    assert view.is_sharp()
    assert color_at(view, 150, 150) == PLUM.fill


@pytest.mark.parametrize(
    ("key", "east_sign", "north_sign"),
    [
        (Qt.Key.Key_Left, -1, 0),
        (Qt.Key.Key_Right, 1, 0),
        (Qt.Key.Key_Up, 0, 1),
        (Qt.Key.Key_Down, 0, -1),
    ],
)
def test_arrow_keys_look_further(qtbot, show_map, zones, key, east_sign, north_sign):
    view = show_map(zones)
    middle = QPointF(320, 240)
    easting, northing = view.ground_at(middle)
    qtbot.keyClick(view, key)
    moved = np.array(view.ground_at(middle)) - (easting, northing)
    assert np.sign(np.round(moved, 6)).tolist() == [east_sign, north_sign]


def test_plus_and_minus_zoom_and_home_shows_all_again(qtbot, show_map, zones):
    view = show_map(zones)
    fitted = view.view()
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    assert view.view().metres_per_pixel < fitted.metres_per_pixel
    qtbot.keyClick(view, Qt.Key.Key_Minus)
    qtbot.keyClick(view, Qt.Key.Key_Minus)
    assert view.view().metres_per_pixel > fitted.metres_per_pixel
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert view.view() == fitted


def test_the_position_is_told_in_projected_metres(qtbot, show_map, zones, pixel_of, place):
    view = show_map(zones)
    with qtbot.waitSignal(view.position_changed) as moved:
        qtbot.mouseMove(view, pixel_of(view, 120, 80))
    assert moved.args == pytest.approx(place(120, 80), abs=view.view().metres_per_pixel)


def test_a_layer_that_stays_keeps_its_tiles(qtbot, counted_layer, show_map, zones, color_at):
    below = counted_layer(zones.bounds)
    view = show_map(below, zones)
    painted = len(below.frames)
    view.set_layers([below, zones.restyled((PLUM, STRAW), (1, 1))])
    assert not view.is_sharp()
    qtbot.waitUntil(view.is_sharp)
    assert color_at(view, 40, 40) == STRAW.fill
    in_view = set(view.view().tiles())
    keys = [(frame.left_px, frame.top_px) for frame in below.frames]
    assert painted >= len(in_view)
    assert len(keys) == len(set(keys))


def test_while_new_tiles_are_painted_the_old_ones_stay(qtbot, show_map, zones, color_at):
    view = show_map(zones)
    view.set_layers([zones.restyled((PLUM, STRAW), (1, 1))])
    assert color_at(view, 40, 40) == PLUM.fill
    qtbot.waitUntil(view.is_sharp)
    assert color_at(view, 40, 40) == STRAW.fill


def test_sharpened_is_told_once_and_only_when_nothing_is_missing(qtbot, show_map, zones):
    view = show_map(zones)
    told = []
    view.sharpened.connect(lambda: told.append(view.is_sharp()))
    view.zoom_by(8)
    qtbot.waitUntil(lambda: told == [True])
    qtbot.keyClick(view, Qt.Key.Key_Home)
    qtbot.waitUntil(view.is_sharp)
    view.repaint()
    assert told == [True] * len(told)
    assert len(told) <= 2


def test_drafts_do_while_the_mouse_is_down_and_are_finished_at_rest(
    qtbot, counted_layer, show_map, zones
):
    counted = counted_layer(zones.bounds, has_drafts=True)
    view = show_map(counted, zones)
    view.zoom_by(16)
    qtbot.waitUntil(view.is_sharp)
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=QPoint(500, 400))
    qtbot.mouseMove(view, QPoint(400, 300))
    qtbot.mouseMove(view, QPoint(30, 20))
    qtbot.waitUntil(lambda: any(frame.is_draft for frame in counted.frames))
    assert not view.is_sharp()
    counted.frames.clear()
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=QPoint(30, 20))
    qtbot.waitUntil(view.is_sharp)
    assert counted.frames
    assert not any(frame.is_draft for frame in counted.frames)


def test_two_layers_of_one_name_are_refused(show_map, zones):
    view = show_map()
    with pytest.raises(ValueError, match="two layers of one name"):
        view.set_layers([zones, zones])


def test_the_dark_scheme_is_dark_around_the_same_fills(qtbot, show_map, zones, color_at):
    view = show_map(zones)
    view.set_dark(True)
    qtbot.waitUntil(view.is_sharp)
    assert color_at(view, 40, 40) == PLUM.fill
    assert color_at(view, 300, 150) == DARK.background


def test_the_legend_stands_in_the_corner_while_there_is_one(show_map, zones, count_color):
    view = show_map(zones)
    assert count_color(view, STRAW.fill) == 0
    view.set_legend(Legend("Rate", "kg/ha", (PLUM, GREEN, STRAW)))
    swatch = count_color(view, STRAW.fill)
    assert 300 < swatch < 900
    corner = view.grab().toImage().copy(320, 240, 320, 240)
    in_corner = sum(
        corner.pixelColor(x, y).name() == STRAW.fill for x in range(320) for y in range(240)
    )
    assert in_corner == swatch
    view.set_legend(None)
    assert count_color(view, STRAW.fill) == 0


def test_a_fitted_map_still_shows_all_in_another_size(qtbot, show_map, zones):
    view = show_map(zones)
    view.resize(300, 400)
    west, _, east, _ = view.view().bounds
    assert west < zones.bounds[0]
    assert east > zones.bounds[2]
    assert (east - west) / view.view().metres_per_pixel == pytest.approx(300)


def test_a_map_moved_by_the_user_keeps_its_middle_in_another_size(show_map, zones, place):
    view = show_map(zones)
    view.center_on(*place(123, 45))
    scale = view.view().metres_per_pixel
    view.resize(300, 400)
    assert view.view().metres_per_pixel == scale
    assert view.ground_at(QPointF(150, 200)) == pytest.approx(place(123, 45), abs=scale)


def test_ground_elsewhere_is_gone_to(show_map, zones, block):
    view = show_map(zones)
    view.zoom_by(8)
    far = ZoneLayer("zones", [block(50_000, 0, 50_400, 300)], (PLUM,))
    view.set_layers([far])
    west, _, east, _ = view.view().bounds
    assert west < far.bounds[0] < far.bounds[2] < east
