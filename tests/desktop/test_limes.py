"""The limes at hand on screen: prices for what works, a value from a sieve, and maintenance."""

from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QLabel,
    QPushButton,
    QTableWidget,
    QToolButton,
)

from vrxapp.edits.prices import set_price
from vrxapp.need_plans import Purpose

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
def liming(window):
    """The window with the pass that spreads lime, priced."""
    document = window.desk.document
    season = next(
        s for s in document.farm.seasons if any(o.purpose is Purpose.LIME for o in s.operations)
    )
    document.choose_season(season.id)
    lime = next(o for o in season.operations if o.purpose is Purpose.LIME)
    document.edit_farm(
        "Price",
        partial(set_price, product_key=lime.product.key, price_per_tonne=43.0, currency="AUD"),
    )
    document.choose_operation(lime.id)
    window.show_stage("rates")
    return window


@pytest.fixture
def limes(qtbot, liming):
    """The dialog of the limes, opened from that pass."""
    window = liming
    qtbot.mouseClick(find(window, QPushButton, "limesButton"), LEFT)
    dialog = find(window, QDialog, "limesDialog")
    qtbot.waitUntil(dialog.isVisible)
    return dialog


def test_a_sieve_sets_the_value_of_a_lime_and_is_undone(qtbot, window, limes):
    document = window.desk.document
    key = document.operation.product.key
    before = document.operation.product.effective_nv_percent
    use = find(limes, QPushButton, "useSieveButton")
    assert not use.isEnabled()
    for row, (share, value) in enumerate((("91", "92"), ("8", "72"), ("1", "62")), start=1):
        type_number(qtbot, limes, f"sieveShare{row}SpinBox", share)
        type_number(qtbot, limes, f"sieveValue{row}SpinBox", value)
    # dpird-comparing-limes, Table 1
    assert "86.7 % as delivered" in find(limes, QLabel, "sieveToldLabel").text()
    assert use.isEnabled()
    qtbot.mouseClick(use, LEFT)
    assert document.operation.product.key == key
    assert document.operation.product.effective_nv_percent == 86.7
    table = find(limes, QTableWidget, "limesTable")
    assert table.item(0, 1).text() == "86.7"
    assert table.item(0, 3).text() == "49.60 AUD"  # 43 ÷ 0.867
    document.undo_stack.undo()
    assert document.operation.product.effective_nv_percent == before


def test_shares_that_are_not_the_whole_say_so(qtbot, limes):
    type_number(qtbot, limes, "sieveShare1SpinBox", "50")
    assert "not 100 %" in find(limes, QLabel, "sieveToldLabel").text()
    assert not find(limes, QPushButton, "useSieveButton").isEnabled()


def test_enter_in_a_field_keeps_the_dialog_open(qtbot, limes):
    type_number(qtbot, limes, "sieveShare1SpinBox", "91")
    assert limes.isVisible()


def choose(qtbot, parent, name, text):
    combo = find(parent, QComboBox, name)
    combo.setFocus()
    qtbot.wait(QApplication.keyboardInputInterval() + 50)
    qtbot.keyClicks(combo, text)
    assert combo.currentText().startswith(text)


def test_maintenance_is_added_only_when_it_is_whole_and_is_undone(qtbot, liming):
    document = liming.desk.document
    before = document.plan().need.tolist()
    qtbot.mouseClick(find(liming, QToolButton, "upkeepFold"), LEFT)
    choose(qtbot, liming, "upkeepNitrogenCombo", "Urea")
    assert document.plan().need.tolist() == before
    assert "share that is leached" in find(liming, QLabel, "upkeepTold").text()
    type_number(qtbot, liming, "upkeepRateSpinBox", "60")
    type_number(qtbot, liming, "upkeepLeachedSpinBox", "25")
    type_number(qtbot, liming, "upkeepYearsSpinBox", "5")
    # ACID-07: 53.59 kg/ha a year, over 5 years 0.268 t/ha
    added = [now - then for now, then in zip(document.plan().need, before, strict=True)]
    assert added == pytest.approx([0.26795] * len(before), abs=1e-4)
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.plan().need.tolist() == before
