"""The machine of a pass, changed on the Rates sheet."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDoubleSpinBox, QLabel, QLineEdit, QToolButton


@pytest.fixture
def sheet(qtbot, window):
    window.show_stage("rates")
    button = window.findChild(QToolButton, "machineFoldButton")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    return window


def typed(qtbot, window, name, text):
    """Type a number over the one in a field, and press Enter."""
    field = window.findChild(QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_another_highest_rate_caps_the_plan_and_can_be_undone(qtbot, sheet):
    document = sheet.desk.document
    before = document.operation.machine
    typed(qtbot, sheet, "highestRateSpinBox", "100")
    assert document.operation.machine.highest_rate_kg_ha == 100.0
    assert max(document.plan().rates_kg_ha) <= 100.0
    document.undo_stack.undo()
    assert document.operation.machine == before
    field = sheet.findChild(QDoubleSpinBox, "highestRateSpinBox")
    assert field.value() == before.highest_rate_kg_ha


def test_a_machine_that_could_spread_nothing_is_told_and_not_taken(qtbot, sheet):
    document = sheet.desk.document
    before = document.season
    typed(qtbot, sheet, "lowestRateSpinBox", "9000")
    assert "cannot spread" in sheet.findChild(QLabel, "machineWords").text()
    assert document.season is before


def test_a_new_name_is_an_edit_and_the_same_name_is_none(qtbot, sheet):
    document, name = sheet.desk.document, sheet.findChild(QLineEdit, "machineNameField")
    name.setFocus()
    qtbot.keyClick(name, Qt.Key.Key_Return)
    assert document.undo_stack.count() == 0
    name.selectAll()
    qtbot.keyClicks(name, "Wide spreader")
    qtbot.keyClick(name, Qt.Key.Key_Return)
    assert document.operation.machine.name == "Wide spreader"


def test_the_fields_lie_behind_a_fold(qtbot, window):
    window.show_stage("rates")
    field = window.findChild(QDoubleSpinBox, "swathSpinBox")
    assert not field.isVisibleTo(window)
    fold = window.findChild(QToolButton, "machineFoldButton")
    qtbot.mouseClick(fold, Qt.MouseButton.LeftButton)
    assert field.isVisibleTo(window)
    assert field.accessibleName() == "Swath"
