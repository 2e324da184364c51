"""Lab sheets on screen: columns and rows put right, pasted cells, typed results."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableView,
    QTableWidget,
)

LEFT = Qt.MouseButton.LeftButton
SHEET = """\
Report of analysis;;;
Mark;P;PBI;Boron
Creek;31;95;1
LB slope 0-10cm;23;120;1
Q7;18;210;1
"""


@pytest.fixture
def sheet(tmp_path):
    """Three composites without coordinates, in columns that do not tell their method."""
    path = tmp_path / "lab.csv"
    path.write_text(SHEET, "utf-8")
    return path


@pytest.fixture
def open_sheet(qtbot, window, monkeypatch):
    """A function that opens a file by the button of the Tests stage."""

    def opened(path):
        monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
        window.show_stage("tests")
        click(qtbot, window, "openLabButton")

    return opened


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


def click(qtbot, parent, name):
    qtbot.mouseClick(find(parent, QPushButton, name), LEFT)


def dialog_of(qtbot, window, name="labSheetDialog"):
    qtbot.waitUntil(lambda: window.findChild(QDialog, name) is not None)
    dialog = window.findChild(QDialog, name)
    qtbot.waitUntil(dialog.isVisible)
    return dialog


def choose(qtbot, parent, name, text):
    """Choose from a list by typing, as a person at the keyboard does."""
    combo = find(parent, QComboBox, name)
    combo.setFocus()
    # letters typed soon after others would be taken for one word with them
    qtbot.wait(QApplication.keyboardInputInterval() + 50)
    qtbot.keyClicks(combo, text)
    assert combo.currentText().startswith(text)


def put_columns_right(qtbot, dialog):
    choose(qtbot, dialog, "useCombo1", "Sample")
    choose(qtbot, dialog, "useCombo2", "Colwell P")
    choose(qtbot, dialog, "unitCombo2", "mg/kg")
    click(qtbot, dialog, "labNextButton")


def select(dialog, *rows):
    table = find(dialog, QTableView, "sheetRows")
    table.clearSelection()
    table.setSelectionMode(QTableView.SelectionMode.MultiSelection)
    for row in rows:
        table.selectRow(row)
    table.setSelectionMode(QTableView.SelectionMode.ExtendedSelection)


def texts(table, column):
    model = table.model()
    return [model.data(model.index(row, column)) for row in range(model.rowCount())]


def summary(window):
    return find(window, QLabel, "testsSummary").text()


def test_a_sheet_that_does_not_tell_its_method_is_put_right_and_used(
    qtbot, window, open_sheet, sheet
):
    open_sheet(sheet)
    dialog = dialog_of(qtbot, window)
    assert "names the samples" in find(dialog, QLabel, "messageText").text()
    columns = find(dialog, QTableWidget, "sheetColumns")
    assert "Colwell or Olsen" in columns.item(1, 4).text()
    assert columns.item(2, 1).text() == "95, 120, 210"
    put_columns_right(qtbot, dialog)
    rows = find(dialog, QTableView, "sheetRows")
    # one row names the paddock, so those that do not may be of another one
    assert texts(rows, 2) == ["?", "Long Bend", "?"]
    assert texts(rows, 3) == ["", "Grey box slope ?", ""]
    assert texts(rows, 4) == ["?", "0-10", "?"]
    select(dialog, 0, 2)
    choose(qtbot, dialog, "rowsPaddock", "Long Bend")
    select(dialog, 0)
    choose(qtbot, dialog, "rowsZone", "Creek flat")
    select(dialog, 2)
    choose(qtbot, dialog, "rowsZone", "Red rise")
    select(dialog, 0, 2)
    qtbot.keyClicks(find(dialog, QLineEdit, "rowsLayer"), "0-10")
    click(qtbot, dialog, "rowsLayerButton")
    assert texts(rows, 4) == ["0-10"] * 3
    before = window.desk.document.farm
    click(qtbot, dialog, "labUseButton")
    assert "lab.csv: 3 samples" in summary(window)
    assert window.desk.document.season.tests.zone_names[2] == "Red rise"
    window.desk.document.undo_stack.undo()
    assert window.desk.document.farm is before


def test_a_layout_put_right_on_screen_is_remembered(
    qtbot, window, open_sheet, sheet, tmp_path, monkeypatch
):
    open_sheet(sheet)
    dialog = dialog_of(qtbot, window)
    put_columns_right(qtbot, dialog)
    click(qtbot, dialog, "labUseButton")
    qtbot.waitUntil(lambda: window.findChild(QDialog, "labSheetDialog") is None)
    later = tmp_path / "later.csv"
    later.write_text(SHEET.replace(";31;", ";9;"), "utf-8")
    open_sheet(later)
    again = dialog_of(qtbot, window)
    # the columns are known now; only the row that nobody has placed is asked for
    assert find(again, QTableView, "sheetRows").isVisible()
    assert window.desk.document.season.tests.file == "lab.csv"


def test_a_layer_that_is_none_is_refused_and_the_rows_stay(qtbot, window, open_sheet, tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("Sample,Colwell P (mg/kg)\nWho knows,9\n", "utf-8")
    open_sheet(path)
    dialog = dialog_of(qtbot, window)
    qtbot.keyClicks(find(dialog, QLineEdit, "rowsLayer"), "deep")
    click(qtbot, dialog, "rowsLayerButton")
    assert "not a layer" in find(dialog, QLabel, "messageText").text()
    assert texts(find(dialog, QTableView, "sheetRows"), 4) == ["?"]


def test_leaving_the_dialog_changes_nothing(qtbot, window, open_sheet, sheet):
    farm = window.desk.document.farm
    open_sheet(sheet)
    dialog = dialog_of(qtbot, window)
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not dialog.isVisible())
    assert window.desk.document.farm is farm


def test_another_row_becomes_the_header(qtbot, window, open_sheet, tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("Sample,PBI,pH\nMark,Olsen P (mg/kg),Depth\nCreek flat,9,0-10\n", "utf-8")
    open_sheet(path)
    # row 1 looks more like a header, and its cells are then no results
    qtbot.waitUntil(window.message.isVisible)
    qtbot.mouseClick(find(window, QPushButton, "messageActionButton"), LEFT)
    dialog = dialog_of(qtbot, window)
    cells = find(dialog, QTableWidget, "sheetCells")
    spot = cells.visualItemRect(cells.item(1, 0)).center()
    qtbot.mouseClick(cells.viewport(), LEFT, pos=spot)
    qtbot.mouseDClick(cells.viewport(), LEFT, pos=spot)
    assert find(dialog, QComboBox, "useCombo2").currentText() == "Olsen P"
    choose(qtbot, dialog, "useCombo1", "Sample")
    click(qtbot, dialog, "labNextButton")
    assert texts(find(dialog, QTableView, "sheetRows"), 3) == ["Creek flat"]


def test_results_by_area_ask_for_their_mass_and_are_then_read(qtbot, window, open_sheet, tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("Sample,Depth,Colwell P (kg/ha)\nCreek flat,0-10,31.2\n", "utf-8")
    open_sheet(path)
    dialog = dialog_of(qtbot, window)
    assert "bulk density are missing" in find(dialog, QLabel, "messageText").text()
    density = find(dialog, QDoubleSpinBox, "sheetDensitySpinBox")
    assert not density.isVisible()
    choose(qtbot, dialog, "byAreaCombo", "depth")
    assert density.isVisible()
    density.selectAll()
    qtbot.keyClicks(density, "1.2")
    qtbot.keyClick(density, Qt.Key.Key_Return)
    click(qtbot, dialog, "labNextButton")
    click(qtbot, dialog, "labUseButton")
    qtbot.waitUntil(lambda: "lab.csv" in summary(window))
    results = find(window, QTableWidget, "sampleResults")
    # 31.2 kg/ha over 1200 t/ha is 26 mg/kg, an estimate
    assert results.item(0, 0).text() == "Colwell P\n~26 mg/kg"
    assert "Estimate: from kg/ha" in results.item(0, 0).toolTip()


def test_cells_from_the_clipboard_are_used(qtbot, window):
    cells = "Sample\tZone\tDepth\tColwell P (mg/kg)\nA\tCreek flat\t0-10\t12\n"
    QGuiApplication.clipboard().setText(cells)
    window.show_stage("tests")
    click(qtbot, window, "pasteLabButton")
    qtbot.waitUntil(lambda: "pasted cells: 1 samples" in summary(window))


def test_an_empty_clipboard_is_told(qtbot, window):
    QGuiApplication.clipboard().clear()
    click(qtbot, window, "pasteLabButton")
    qtbot.waitUntil(window.message.isVisible)
    assert "empty" in window.message.text()


def type_cell(qtbot, table, row, column, text):
    table.setCurrentCell(row, column)
    qtbot.keyClick(table, text[0])
    editor = table.viewport().findChildren(QLineEdit)[-1]  # older ones are still about to go
    qtbot.keyClicks(editor, text[1:])
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: (item := table.item(row, column)) is not None and item.text() == text)


def test_results_on_paper_are_typed_in(qtbot, window):
    window.show_stage("tests")
    click(qtbot, window, "typeLabButton")
    form = dialog_of(qtbot, window, "typedResultsDialog")
    table = find(form, QTableWidget, "typedTable")
    for column, text in enumerate(("Creek flat", "", "0-10", "lots")):
        if text:
            type_cell(qtbot, table, 0, column, text)
    click(qtbot, form, "typedUseButton")
    assert "lots" in find(form, QLabel, "messageText").text()
    assert (table.currentRow(), table.currentColumn()) == (0, 3)
    type_cell(qtbot, table, 0, 3, "12")
    click(qtbot, form, "typedUseButton")
    dialog = dialog_of(qtbot, window)
    assert texts(find(dialog, QTableView, "sheetRows"), 3) == ["Creek flat"]
    click(qtbot, dialog, "labUseButton")
    assert window.desk.document.season.tests.file == "typed sheet"
    assert window.desk.document.season.tests.columns[0].values.tolist() == [12.0]


def test_copied_cells_can_be_pasted_into_the_form(qtbot, window):
    click(qtbot, window, "typeLabButton")
    form = dialog_of(qtbot, window, "typedResultsDialog")
    choose(qtbot, form, "typedTestCombo", "Olsen P")
    click(qtbot, form, "typedAddTestButton")
    table = find(form, QTableWidget, "typedTable")
    table.setCurrentCell(0, 0)
    table.setFocus()
    QGuiApplication.clipboard().setText("A\tCreek flat\t0-10\t12\nB\tRed rise\t0-10\t20\n")
    qtbot.keyClick(table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert table.item(1, 3).text() == "20"
    assert "Olsen P" in table.horizontalHeaderItem(table.columnCount() - 1).text()


def test_the_rows_of_the_present_sheet_are_matched_again(qtbot, window):
    window.show_stage("tests")
    click(qtbot, window, "matchLabButton")
    dialog = dialog_of(qtbot, window)
    assert not find(dialog, QPushButton, "labBackButton").isVisible()
    select(dialog, 0)
    choose(qtbot, dialog, "rowsZone", "Red rise")
    click(qtbot, dialog, "labUseButton")
    assert window.desk.document.season.tests.zone_names[0] == "Red rise"
