"""A budget by response curves on screen: curves given by keys and clicks, worked out, and kept."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QLabel,
    QListWidget,
    QPushButton,
    QTableWidget,
    QWidget,
)

LEFT = Qt.MouseButton.LeftButton


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


def choose(qtbot, parent, name, text):
    combo = find(parent, QComboBox, name)
    combo.setFocus()
    qtbot.wait(QApplication.keyboardInputInterval() + 50)
    qtbot.keyClicks(combo, text)
    assert combo.currentText().startswith(text)


def type_number(qtbot, parent, name, text):
    field = find(parent, QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def give(qtbot, dialog, zone, kind, numbers):
    choose(qtbot, dialog, "curveZoneCombo", zone)
    choose(qtbot, dialog, "curveKindCombo", kind)
    for place, number in enumerate(numbers, start=1):
        type_number(qtbot, dialog, f"curveNumber{place}SpinBox", number)
    qtbot.mouseClick(find(dialog, QPushButton, "addCurveButton"), LEFT)


@pytest.fixture
def opened(qtbot, window):
    """A function that opens the dialog by its button."""
    window.show_stage("rates")

    def dialog():
        qtbot.mouseClick(find(window, QPushButton, "budgetCurvesButton"), LEFT)
        made = [d for d in window.findChildren(QDialog, "curvesDialog") if d.isVisible()]
        assert len(made) == 1
        return made[0]

    return dialog


def test_the_money_goes_where_the_curves_say(qtbot, window, opened):
    dialog = opened()
    work = find(dialog, QPushButton, "workCurvesButton")
    assert not work.isEnabled()
    give(qtbot, dialog, "every", "Linear", ("3", "0.05", "12"))
    give(qtbot, dialog, "Creek", "Quadratic", ("4", "0.06", "-0.004"))
    assert find(dialog, QListWidget, "curvesList").count() == 2
    type_number(qtbot, dialog, "curveMoneySpinBox", "1500")
    type_number(qtbot, dialog, "curveCropPriceSpinBox", "330")
    assert work.isEnabled()
    qtbot.mouseClick(work, LEFT)
    table = find(dialog, QTableWidget, "curveResults")
    qtbot.waitUntil(lambda: table.rowCount() == 4)
    zones = {table.item(row, 1).text(): row for row in range(4)}
    # the knot of 12 kg P/ha is 54.5 kg/ha of MAP; the parabola pays no further than its top
    assert table.item(zones["Red rise"], 5).text() == "54.5"
    assert float(table.item(zones["Creek flat"], 5).text()) < 7.5 / 0.22
    assert "Spent 1,500" in find(dialog, QLabel, "curvesToldLabel").text()
    plot = find(dialog, QWidget, "returnPlot")
    assert plot.isVisible()
    assert plot.accessibleDescription().count("brings") == 11
    assert window.desk.document.undo_stack.count() == 0  # a question changes nothing


def test_another_question_takes_the_answer_away(qtbot, opened):
    dialog = opened()
    give(qtbot, dialog, "every", "Linear", ("3", "0.05", "12"))
    type_number(qtbot, dialog, "curveCropPriceSpinBox", "330")
    qtbot.mouseClick(find(dialog, QPushButton, "workCurvesButton"), LEFT)
    table = find(dialog, QTableWidget, "curveResults")
    qtbot.waitUntil(lambda: table.rowCount() == 4)
    type_number(qtbot, dialog, "curveExtraSpinBox", "50")
    assert table.rowCount() == 0
    assert not find(dialog, QWidget, "returnPlot").isVisible()


def test_what_is_no_curve_says_what_to_mend(qtbot, opened):
    dialog = opened()
    give(qtbot, dialog, "every", "Mitscherlich", ("4", "5", "0.1"))
    assert "Give a response from 0 to the plateau" in find(dialog, QLabel, "curveWordsLabel").text()
    assert find(dialog, QListWidget, "curvesList").count() == 0


def test_the_curves_are_there_when_the_dialog_is_opened_again(qtbot, opened):
    dialog = opened()
    give(qtbot, dialog, "every", "Linear", ("3", "0.05", "12"))
    buttons = find(dialog, QDialogButtonBox, "curvesButtons")
    qtbot.mouseClick(buttons.button(QDialogButtonBox.StandardButton.Close), LEFT)
    again = opened()
    curves = find(again, QListWidget, "curvesList")
    assert curves.count() == 1
    curves.setCurrentRow(0)
    qtbot.mouseClick(find(again, QPushButton, "removeCurveButton"), LEFT)
    assert curves.count() == 0


def test_another_farm_begins_without_the_curves_of_the_one_before(qtbot, window, opened):
    dialog = opened()
    give(qtbot, dialog, "every", "Linear", ("3", "0.05", "12"))
    dialog.close()
    before = window.desk.document
    window.desk.open_sample()  # its seasons have the same ids
    qtbot.waitUntil(lambda: window.desk.document is not before)
    window.show_stage("rates")
    assert find(opened(), QListWidget, "curvesList").count() == 0


def test_an_answer_to_an_older_question_is_not_shown(qtbot, window, opened):
    dialog = opened()
    give(qtbot, dialog, "every", "Linear", ("3", "0.05", "12"))
    type_number(qtbot, dialog, "curveCropPriceSpinBox", "330")
    with qtbot.waitSignal(window.desk.jobs.finished):
        qtbot.mouseClick(find(dialog, QPushButton, "workCurvesButton"), LEFT)
        type_number(qtbot, dialog, "curveMoneySpinBox", "10")
    assert find(dialog, QTableWidget, "curveResults").rowCount() == 0


def test_enter_in_a_field_adds_no_curve_that_is_half_made(qtbot, opened):
    dialog = opened()
    give(qtbot, dialog, "every", "Linear", ("3", "0.05", "12"))
    choose(qtbot, dialog, "curveZoneCombo", "Creek")
    type_number(qtbot, dialog, "curveNumber1SpinBox", "4")
    assert find(dialog, QListWidget, "curvesList").count() == 1
    assert dialog.isVisible()
