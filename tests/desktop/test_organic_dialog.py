"""The sum of a compost or manure on screen."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
)


@pytest.fixture
def dialog(window):
    window.findChild(QAction, "organicAction").trigger()
    return window.findChild(QDialog, "organicDialog")


def typed(dialog, name, text):
    dialog.findChild(QLineEdit, f"organic_{name}").setText(text)


def told(dialog):
    return dialog.findChild(QPlainTextEdit, "organicResult").toPlainText()


def choose(dialog, data):
    batch = dialog.findChild(QComboBox, "organicBatch")
    batch.setCurrentIndex(batch.findData(data))


def test_it_asks_for_a_rate_and_then_tells_the_sum(dialog):
    choose(dialog, "litter_sawdust")
    assert "no rate" in told(dialog)
    typed(dialog, "wet_t_ha", "6")
    assert "N: carries 171 kg/ha" in told(dialog)
    assert "botulism" in told(dialog)


def test_an_own_analysis_is_rated_by_phosphorus(dialog):
    choose(dialog, "")
    for name, text in (("moisture_percent", "35"), ("p_percent", "0,5"), ("need_p_kg_ha", "20")):
        typed(dialog, name, text)
    assert "6.15 t/ha as spread" in told(dialog)


def test_what_is_no_number_is_said(dialog):
    typed(dialog, "wet_t_ha", "six")
    assert "Rate as spread, t/ha: 'six' is no number" in told(dialog)


def test_a_dressing_is_noted_undone_and_taken_out(qtbot, window, dialog):
    document = window.desk.document
    listed = dialog.findChild(QListWidget, "dressingsList")
    choose(dialog, "feedlot_aged")
    typed(dialog, "wet_t_ha", "2")
    dialog.findChild(QLineEdit, "dressingName").setText("Yard")
    press(qtbot, dialog, "noteDressingButton")
    assert [d.analysis.name for d in document.season.dressings] == ["Yard"]
    assert "Yard: 2 t/ha as spread, this year" in listed.item(0).text()
    assert any(step.source == "sask-feedlot" for step in document.plan().trail.steps)
    press(qtbot, dialog, "noteDressingButton")
    assert "already" in dialog.findChild(QLabel, "dressingsSaid").text()
    listed.setCurrentRow(0)
    press(qtbot, dialog, "removeDressingButton")
    assert document.season.dressings == ()
    document.undo_stack.undo()
    assert len(document.season.dressings) == 1


def press(qtbot, dialog, name):
    qtbot.mouseClick(dialog.findChild(QPushButton, name), Qt.MouseButton.LeftButton)


def test_enter_in_a_field_keeps_the_sum_in_sight(qtbot, dialog):
    typed(dialog, "wet_t_ha", "6")
    qtbot.keyClick(dialog.findChild(QLineEdit, "organic_wet_t_ha"), Qt.Key.Key_Return)
    assert dialog.isVisible()
