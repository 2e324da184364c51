"""The map as a user meets it: mouse, wheel, keys, and the pixels on screen."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import DARK, LIGHT, Legend, Step

# The platform without a screen says so once for each window that has a least size.
pytestmark = pytest.mark.qt_log_ignore("does not support propagateSizeHints")

PLUM, GREEN, STRAW = Step("60", "#8e4b97"), Step("95", "#55ba87"), Step("150", "#fbec84")


class CountedLayer:
    """A layer that paints nothing and counts how often it was asked to."""

    name = "counted"
    rows = 0
    margin_px = 0.0
    opacity = 1.0

    def __init__(self, bounds, *, has_drafts=False):
        self.bounds = bounds
        self.has_drafts = has_drafts
        self.frames = []

    def paint(self, painter, frame):
        self.frames.append(frame)
        yield


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


def test_a_click_opens_and_selects_the_zone(qtbot, show_map, zones, pixel_of):
    view = show_map(zones)
    with (
        qtbot.waitSignal(view.feature_activated) as activated,
        qtbot.waitSignal(view.selection_changed) as changed,
    ):
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=pixel_of(view, 240, 40))
    assert activated.args == changed.args == ["zones", 1]
    assert view.selected() == ("zones", 1)


def test_a_click_into_a_hole_lets_go(qtbot, show_map, zones, pixel_of):
    view = show_map(zones)
    view.select("zones", 1)
    with qtbot.assertNotEmitted(view.feature_activated):
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=pixel_of(view, 300, 150))
    assert view.selected() is None


def test_a_sample_wins_over_the_zone_below(qtbot, show_map, zones, pixel_of, place):
    samples = MarkerLayer("samples", *zip(place(50, 50), strict=True), (STRAW,))
    view = show_map(samples, zones)
    with qtbot.waitSignal(view.feature_activated) as activated:
        spot = pixel_of(view, 50, 50) + QPoint(4, 3)
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=spot)
    assert activated.args == ["samples", 0]


def test_tab_steps_through_zones_and_enter_opens(qtbot, show_map, zones):
    view = show_map(zones)
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Tab)
    assert view.selected() == ("zones", 0)
    qtbot.keyClick(view, Qt.Key.Key_Tab)
    assert view.selected() == ("zones", 1)
    qtbot.keyClick(view, Qt.Key.Key_Backtab, Qt.KeyboardModifier.ShiftModifier)
    with qtbot.waitSignal(view.feature_activated) as activated:
        qtbot.keyClick(view, Qt.Key.Key_Return)
    assert activated.args == ["zones", 0]
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.selected() is None


def test_tab_steps_through_the_layer_at_work(qtbot, show_map, zones, place):
    samples = MarkerLayer("samples", *zip(place(50, 50), strict=True), (STRAW,))
    view = show_map(zones, samples)
    assert view.active_layer() == "samples"
    view.set_active_layer("zones")
    qtbot.keyClick(view, Qt.Key.Key_Tab)
    assert view.selected() == ("zones", 0)


def test_tab_brings_a_far_zone_into_view(qtbot, show_map, zones, place):
    view = show_map(zones)
    view.zoom_by(24)
    view.center_on(*place(0, 0))
    qtbot.keyClick(view, Qt.Key.Key_Tab)
    qtbot.keyClick(view, Qt.Key.Key_Tab)
    west, south, east, north = view.view().bounds
    easting, northing = place(300, 150)
    assert west < easting < east
    assert south < northing < north


@pytest.fixture
def map_beside_a_field(qtbot, zones):
    window = QWidget()
    qtbot.addWidget(window)
    layout = QVBoxLayout(window)
    view, line = MapView(), QLineEdit()
    layout.addWidget(view)
    layout.addWidget(line)
    view.set_layers([zones])
    with qtbot.waitActive(window):
        window.show()
    view.setFocus()
    yield view, line
    window.close()


def test_after_the_last_zone_the_focus_goes_on(qtbot, map_beside_a_field):
    view, line = map_beside_a_field
    for _ in range(3):
        qtbot.keyClick(view, Qt.Key.Key_Tab)
    qtbot.waitUntil(line.hasFocus)
    assert view.selected() == ("zones", 1)


def test_control_tab_leaves_the_map_at_once(qtbot, map_beside_a_field):
    view, line = map_beside_a_field
    qtbot.keyClick(view, Qt.Key.Key_Tab, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(line.hasFocus)
    assert view.selected() is None


def test_the_keyboard_focus_is_seen_and_the_mouse_needs_none(
    qtbot, map_beside_a_field, count_color, pixel_of
):
    view, line = map_beside_a_field
    qtbot.keyClick(view, Qt.Key.Key_Right)
    assert count_color(view, LIGHT.accent) > 2 * (view.width() + view.height())
    line.setFocus()
    qtbot.waitUntil(line.hasFocus)
    assert count_color(view, LIGHT.accent) == 0
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(8, 8))
    assert view.hasFocus()
    assert count_color(view, LIGHT.accent) == 0


def test_hovering_tells_what_lies_under_the_pointer(qtbot, show_map, zones, pixel_of):
    view = show_map(zones)
    with qtbot.waitSignals([view.feature_hovered, view.position_changed]):
        qtbot.mouseMove(view, pixel_of(view, 50, 50))
    with qtbot.waitSignal(view.feature_hovered) as left:
        qtbot.mouseMove(view, pixel_of(view, 300, 150))
    assert left.args == ["", -1]


def test_the_position_is_told_in_projected_metres(qtbot, show_map, zones, pixel_of, place):
    view = show_map(zones)
    with qtbot.waitSignal(view.position_changed) as moved:
        qtbot.mouseMove(view, pixel_of(view, 120, 80))
    assert moved.args == pytest.approx(place(120, 80), abs=view.view().metres_per_pixel)


def test_the_selected_zone_is_outlined(show_map, unlabelled_zones, count_color):
    view = show_map(unlabelled_zones)
    assert count_color(view, LIGHT.accent) == 0
    view.select("zones", 0)
    around = 2 * (200 + 300) / view.view().metres_per_pixel
    assert count_color(view, LIGHT.accent) > 2 * around
    view.select("zones", None)
    assert count_color(view, LIGHT.accent) == 0


def test_selecting_and_hovering_paint_no_tile_anew(qtbot, show_map, zones, pixel_of):
    below = CountedLayer(zones.bounds)
    view = show_map(below, zones)
    qtbot.wait(50)
    painted = len(below.frames)
    view.select("zones", 1)
    qtbot.mouseMove(view, pixel_of(view, 50, 50))
    view.repaint()
    assert view.is_sharp()
    assert len(below.frames) == painted


def test_a_layer_that_stays_keeps_its_tiles(qtbot, show_map, zones, color_at):
    below = CountedLayer(zones.bounds)
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


def test_drafts_do_while_the_mouse_is_down_and_are_finished_at_rest(qtbot, show_map, zones):
    counted = CountedLayer(zones.bounds, has_drafts=True)
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


def test_a_selection_outlives_new_colors_but_not_its_layer(qtbot, show_map, zones):
    view = show_map(zones)
    view.select("zones", 1)
    view.set_layers([zones.restyled((STRAW,), (0, 0))])
    assert view.selected() == ("zones", 1)
    with qtbot.waitSignal(view.selection_changed) as changed:
        view.set_layers([])
    assert changed.args == ["", -1]
    assert view.selected() is None


@pytest.mark.parametrize(("name", "row"), [("zones", 2), ("zones", -1), ("strips", 0)])
def test_what_is_not_there_cannot_be_selected(show_map, zones, name, row):
    view = show_map(zones)
    with pytest.raises(ValueError, match="no row"):
        view.select(name, row)


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


def test_a_reader_aloud_learns_the_keys_and_the_selection(show_map, zones):
    view = show_map(zones)
    assert view.accessibleName() == "Paddock map"
    assert "Tab" in view.accessibleDescription()
    view.select("zones", 1)
    assert view.accessibleDescription().startswith("East, 95 kg/ha selected.")
