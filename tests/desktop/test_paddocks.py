"""Several paddocks in the window: chosen by mouse and by keys, with undo going along."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QDoubleSpinBox, QLabel, QListWidget, QTableView


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


@pytest.fixture
def combo(window):
    return find(window, QComboBox, "paddockCombo")


def choose(qtbot, combo, text):
    """Choose an entry as a user does who opens the list and clicks."""
    combo.showPopup()
    view = combo.view()
    spot = view.visualRect(combo.model().index(combo.findText(text), 0)).center()
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def zones_shown(window):
    model = find(window, QTableView, "zoneTable").model()
    return [model.index(row, 0).data() for row in range(model.rowCount())]


def test_another_paddock_is_chosen_from_the_list(qtbot, window, combo):
    assert [combo.itemText(i) for i in range(combo.count())] == [
        "Long Bend", "Two Mile Sands", "Pan Block",
    ]  # fmt: skip
    find(window, QTableView, "zoneTable").selectRow(1)
    choose(qtbot, combo, "Two Mile Sands")
    assert zones_shown(window) == ["Scrub hill", "Long sand", "Bottom flat"]
    assert "Two Mile Sands" in window.windowTitle()
    assert "138.85 ha" in find(window, QLabel, "areaLabel").text()
    assert find(window, QComboBox, "operationCombo").currentText() == "Lime in summer"
    assert find(window, QListWidget, "sampleList").count() == 6
    # what was chosen in the other paddock is let go of
    assert window.map.selected() is None
    assert find(window, QLabel, "whyHeading").text() == "Why this much?"


def test_the_map_shows_the_whole_of_the_paddock_that_was_chosen(qtbot, window, combo):
    for name in ("Pan Block", "Long Bend", "Two Mile Sands"):
        choose(qtbot, combo, name)
        west, south, east, north = window.map.view().bounds
        shape = window.desk.document.season.paddock.boundary
        assert west < shape.bounds[0] < shape.bounds[2] < east
        assert south < shape.bounds[1] < shape.bounds[3] < north
        assert (east - west) * (north - south) < 8 * shape.area


def test_keys_step_through_the_paddocks_and_around(qtbot, window, combo):
    for keys, name in (
        (Qt.Key.Key_PageDown, "Two Mile Sands"),
        (Qt.Key.Key_PageDown, "Pan Block"),
        (Qt.Key.Key_PageDown, "Long Bend"),
        (Qt.Key.Key_PageUp, "Pan Block"),
    ):
        qtbot.keyClick(window, keys, Qt.KeyboardModifier.ControlModifier)
        assert combo.currentText() == name
        assert window.desk.document.season.paddock.name == name


def test_the_list_is_reached_and_used_by_keys_alone(qtbot, window, combo):
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    assert combo.view().isVisible()
    assert combo.accessibleName() == "Paddock"
    assert "Ctrl+P" in combo.toolTip()
    qtbot.keyClick(combo.view(), Qt.Key.Key_Down)
    qtbot.keyClick(combo.view(), Qt.Key.Key_Return)
    assert window.desk.document.season.paddock.name == "Two Mile Sands"


def test_undo_shows_the_paddock_that_it_changes(qtbot, window, combo):
    field = find(window, QDoubleSpinBox, "targetYieldSpinBox")
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "6")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    choose(qtbot, combo, "Pan Block")
    assert field.value() == 2.5
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert combo.currentText() == "Long Bend"
    assert field.value() == 4.0


def test_a_farm_of_one_paddock_shows_no_list(qtbot, window, combo, sample):
    assert combo.isVisible()
    window.desk._show(replace(sample, seasons=sample.seasons[:1]))
    qtbot.waitUntil(lambda: not combo.isVisible())
    window.desk._show(sample)
    qtbot.waitUntil(combo.isVisible)
