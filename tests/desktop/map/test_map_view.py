"""Features on the map: hovered, picked, stepped through, opened, and seen to be so."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.legend import LIGHT, Step

# The platform without a screen says so once for each window that has a least size.
pytestmark = pytest.mark.qt_log_ignore("does not support propagateSizeHints")

STRAW = Step("150", "#fbec84")


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


def test_the_selected_zone_is_outlined(show_map, unlabelled_zones, count_color):
    view = show_map(unlabelled_zones)
    assert count_color(view, LIGHT.accent) == 0
    view.select("zones", 0)
    around = 2 * (200 + 300) / view.view().metres_per_pixel
    assert count_color(view, LIGHT.accent) > 2 * around
    view.select("zones", None)
    assert count_color(view, LIGHT.accent) == 0


def test_selecting_and_hovering_paint_no_tile_anew(qtbot, counted_layer, show_map, zones, pixel_of):
    below = counted_layer(zones.bounds)
    view = show_map(below, zones)
    qtbot.wait(50)
    painted = len(below.frames)
    view.select("zones", 1)
    qtbot.mouseMove(view, pixel_of(view, 50, 50))
    view.repaint()
    assert view.is_sharp()
    assert len(below.frames) == painted


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


def test_a_reader_aloud_learns_the_keys_and_the_selection(show_map, zones):
    view = show_map(zones)
    assert view.accessibleName() == "Paddock map"
    assert "Tab" in view.accessibleDescription()
    view.select("zones", 1)
    assert view.accessibleDescription().startswith("East, 95 kg/ha selected.")
