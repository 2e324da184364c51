"""What earlier years left, on screen."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QDialog, QLineEdit, QPlainTextEdit, QPushButton

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.paddock_history import CropBefore
from vrxapp.need_plans import NitrogenPlan


@pytest.fixture
def dialog(window):
    window.findChild(QAction, "historyAction").trigger()
    return window.findChild(QDialog, "historyDialog")


@pytest.fixture
def press(qtbot, dialog):
    """A function that presses a button of the dialog."""
    left = Qt.MouseButton.LeftButton
    return lambda name: qtbot.mouseClick(dialog.findChild(QPushButton, name), left)


def typed(dialog, name, text):
    dialog.findChild(QLineEdit, f"history_{name}").setText(text)


def told(dialog):
    return dialog.findChild(QPlainTextEdit, "historySaid").toPlainText()


def test_earlier_years_are_kept_told_and_undone(window, dialog, press):
    press("keepHistoryButton")
    assert "year of the season is not known" in told(dialog)
    typed(dialog, "year", "2026")
    typed(dialog, "limes", "2024=2@85; 2012=1.5@top")
    press("keepHistoryButton")
    document = window.desk.document
    assert [lime.year for lime in document.season.history.limes] == [2024, 2012]
    assert "missouri-lime-2013" in told(dialog)
    assert dialog.findChild(QLineEdit, "history_limes").text() == "2024=2@85; 2012=1.5@top"
    document.undo_stack.undo()
    assert document.season.history is None


def test_legume_nitrogen_is_taken_up_only_by_its_button(window, dialog, press):
    document = window.desk.document
    plan = NitrogenPlan(figure(FigureTable.NITROGEN, "efficiency_rule"))
    document.edit("Plan nitrogen", lambda season: replace(season, nitrogen=plan))
    typed(dialog, "year", "2026")
    typed(dialog, "legume", "1,5")
    crop = dialog.findChild(QComboBox, "historyCrop")
    crop.setCurrentIndex(crop.findData(CropBefore.PULSE))
    press("keepHistoryButton")
    assert "27 kg N/ha" in told(dialog)
    assert document.season.nitrogen.legume_n_kg_ha == 0.0
    press("useLegumeButton")
    assert document.season.nitrogen.legume_n_kg_ha == 27.0


def test_what_is_no_number_is_said(dialog, press):
    typed(dialog, "year", "2026")
    typed(dialog, "phosphorus", "much")
    press("keepHistoryButton")
    assert "'much' is no number" in told(dialog)


def test_enter_in_a_field_loses_nothing_that_was_typed(qtbot, dialog):
    typed(dialog, "year", "2026")
    qtbot.keyClick(dialog.findChild(QLineEdit, "history_year"), Qt.Key.Key_Return)
    assert dialog.isVisible()
