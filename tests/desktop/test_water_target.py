"""The target yield from water on the Rates stage, by keys and clicks."""

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QLabel,
    QToolButton,
)

LEFT = Qt.MouseButton.LeftButton


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


def type_number(qtbot, parent, name, text):
    field = find(parent, QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


@pytest.fixture
def asked(qtbot, window):
    """The window's dialog for a target from water, for the paddock of wheat."""
    document = window.desk.document
    wheat = next(s for s in document.farm.seasons if s.crop.crop == "wheat")
    document.choose_season(wheat.id)
    window.show_stage("rates")
    qtbot.mouseClick(find(window, QToolButton, "yieldFromWaterButton"), LEFT)
    dialog = find(window, QDialog, "waterDialog")
    qtbot.waitUntil(dialog.isVisible)
    return dialog


def ok(dialog):
    buttons = find(dialog, QDialogButtonBox, "waterButtons")
    return buttons.button(QDialogButtonBox.StandardButton.Ok)


def test_a_target_from_water_is_summed_up_set_and_undone(qtbot, window, asked):
    before = window.desk.document.season.crop
    assert not ok(asked).isEnabled()  # there is no default
    combo = find(asked, QComboBox, "waterBenchmarkCombo")
    combo.setFocus()
    qtbot.wait(QApplication.keyboardInputInterval() + 50)
    qtbot.keyClicks(combo, "Wheat, South")
    type_number(qtbot, asked, "waterRainSpinBox", "300")
    type_number(qtbot, asked, "waterSummerRainSpinBox", "90")
    assert not ok(asked).isEnabled()
    type_number(qtbot, asked, "waterShareSpinBox", "75")
    said = find(asked, QLabel, "waterToldLabel").text()
    assert "= 4.4 t/ha" in said
    assert "overestimates" in said
    assert "3.3 t/ha" in said
    qtbot.mouseClick(ok(asked), LEFT)
    document = window.desk.document
    assert document.season.crop.target_yield_t_ha == 3.3
    assert "from water" in find(window, QDoubleSpinBox, "targetYieldSpinBox").text()
    document.undo_stack.undo()
    assert document.season.crop == before


def test_a_price_of_the_crop_is_kept_and_changes_no_rate(qtbot, window):
    document = window.desk.document
    window.show_stage("rates")
    rates = document.plan().rates_kg_ha.tolist()
    type_number(qtbot, window, "cropPriceSpinBox", "330")
    assert document.season.crop.price_t == 330.0
    assert document.plan().rates_kg_ha.tolist() == rates
    document.undo_stack.undo()
    assert math.isnan(document.season.crop.price_t)
