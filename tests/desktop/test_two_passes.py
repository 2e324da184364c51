"""Lime and humate in the window: another pass on another machine, and a refusal in words."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QLabel,
    QLineEdit,
    QTableView,
    QTextBrowser,
    QToolButton,
    QWidget,
)


def find(window, kind, name):
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


def choose(qtbot, window, name, text):
    """Choose an entry as a user does who opens the list and clicks."""
    combo = find(window, QComboBox, name)
    index = combo.findText(text, Qt.MatchFlag.MatchStartsWith)
    assert index >= 0, [combo.itemText(i) for i in range(combo.count())]
    combo.showPopup()
    view = combo.view()
    spot = view.visualRect(combo.model().index(index, 0)).center()
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def type_number(qtbot, window, name, text):
    field = find(window, QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


@pytest.fixture
def with_lime(qtbot, window):
    """The window with a pass of lime added through the dialog."""
    qtbot.mouseClick(find(window, QToolButton, "addOperationButton"), Qt.MouseButton.LeftButton)
    dialog = find(window, QDialog, "newOperationDialog")
    ok = find(dialog, QDialogButtonBox, "newOperationButtons").button(
        QDialogButtonBox.StandardButton.Ok
    )
    assert not ok.isEnabled()
    qtbot.keyClicks(find(dialog, QLineEdit, "newOperationName"), "Lime in autumn")
    choose(qtbot, dialog, "newOperationPurpose", "Lime")
    choose(qtbot, dialog, "newOperationProduct", "Agricultural lime")
    assert find(dialog, QLineEdit, "newOperationMachine").text() == "Lime spreader"
    qtbot.mouseClick(ok, Qt.MouseButton.LeftButton)
    return window


def test_another_pass_is_added_shown_and_undone(qtbot, with_lime):
    window = with_lime
    combo = find(window, QComboBox, "operationCombo")
    assert combo.currentText() == "Lime in autumn"
    assert find(window, QWidget, "limeFields").isVisible()
    assert not find(window, QWidget, "phosphorusFields").isVisible()
    find(window, QAction, "undoAction").trigger()
    assert combo.currentText() == "MAP before sowing"
    assert find(window, QWidget, "phosphorusFields").isVisible()


def test_lime_asks_for_a_method_and_then_for_what_the_method_asks(qtbot, with_lime):
    window = with_lime
    totals = find(window, QLabel, "totalsLabel")
    tolerated = find(window, QDoubleSpinBox, "toleratedAluminiumSpinBox")
    assert not tolerated.isVisible()
    choose(qtbot, window, "limeMethodCombo", "exchangeable aluminium above what the crop bears")
    assert tolerated.isVisible()
    assert not find(window, QDoubleSpinBox, "bulkDensitySpinBox").isVisible()
    type_number(qtbot, window, "toleratedAluminiumSpinBox", "10")
    assert window.desk.document.season.lime.choices.tolerated_aluminium_percent == 10.0
    assert totals.text()


def test_an_unverified_method_is_marked_where_it_is_chosen(window):
    combo = find(window, QComboBox, "limeMethodCombo")
    names = [combo.itemText(i) for i in range(combo.count())]
    assert names[0] == "choose a method"
    assert all(name.endswith("!") for name in names if "unverified" in name)


def test_a_pass_is_taken_out_but_not_the_last(qtbot, with_lime):
    window = with_lime
    remove = find(window, QToolButton, "removeOperationButton")
    qtbot.mouseClick(remove, Qt.MouseButton.LeftButton)
    assert find(window, QComboBox, "operationCombo").count() == 1
    assert not remove.isEnabled()


def test_humate_travels_with_the_starter(qtbot, window):
    find(window, QTableView, "zoneTable").selectRow(3)
    choose(qtbot, window, "humateCombo", "Soluble humate")
    type_number(qtbot, window, "humateShareSpinBox", "5")
    type_number(qtbot, window, "humateCapSpinBox", "20")
    told = find(window, QTextBrowser, "whyText").toPlainText()
    assert "54.55 × (1 + 5 ÷ 100) = 57.27 kg/ha" in told  # 12 kg P/ha in MAP of 22 %
    find(window, QAction, "undoAction").trigger()
    assert find(window, QComboBox, "humateCombo").currentText() == "none"


def test_humate_with_a_nitrate_is_refused_in_words_without_a_quantity(qtbot, window):
    choose(qtbot, window, "humateCombo", "Soluble humate")
    type_number(qtbot, window, "humateShareSpinBox", "5")
    type_number(qtbot, window, "humateCapSpinBox", "20")
    choose(qtbot, window, "productCombo", "Calcium ammonium nitrate")
    said = find(window, QLabel, "totalsLabel").text()
    assert "must never meet" in said
    assert "kg" not in said
    model = find(window, QTableView, "zoneTable").model()
    assert [model.index(0, column).data() for column in (1, 2, 4)] == ["", "", ""]
