"""What is in a file, and what a lab sheet needs, on screen."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QPlainTextEdit,
    QTableWidget,
    QTextBrowser,
)

from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")


@pytest.fixture
def chosen(qtbot, window, monkeypatch):
    """A function that chooses a file by an action, and waits for its dialog."""

    def opened(action, path, name):
        monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
        window.findChild(QAction, action).trigger()
        qtbot.waitUntil(
            lambda: window.findChild(QDialog, name) is not None or window.message.isVisible()
        )
        return window.findChild(QDialog, name)

    return opened


def test_what_is_in_a_file_is_told_and_nothing_is_opened(window, chosen):
    farm = window.desk.document.farm
    report = chosen("inspectAction", SAMPLE / "boundary.geojson", "fileReport")
    text = report.findChild(QPlainTextEdit, "fileReportText").toPlainText()
    assert "format: GeoJSON" in text
    assert "area, ha: 8" in text
    assert window.desk.document.farm is farm


def test_a_file_that_cannot_be_used_is_told_in_the_bar(window, chosen, tmp_path):
    bad = tmp_path / "x.geojson"
    bad.write_text("no")
    assert chosen("inspectAction", bad, "fileReport") is None
    assert "x.geojson" in window.message.text()


def test_a_lab_sheet_alone_tells_its_needs_and_why(qtbot, window, chosen):
    dialog = chosen("sheetNeedsAction", SAMPLE / "lab_composites.csv", "sheetNeedsDialog")
    table = dialog.findChild(QTableWidget, "sheetNeedsTable")
    assert [table.item(row, 0).text() for row in range(4)] == ["A1", "A2", "A3", "A4"]
    why = dialog.findChild(QTextBrowser, "sheetNeedsWhy")
    assert "Colwell P is 31" in why.toPlainText()
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_Down)
    assert "Colwell P is 23" in why.toPlainText()


WHOLE = """Sample,Depth (cm),Colwell P (mg/kg),PBI,Exch K (cmol(+)/kg),DTPA Zn (mg/kg)
A,0-10,30,80,0.35,0.3
B,0-10,30,80,0.40,2
"""


def test_a_whole_lab_sheet_alone_is_worked_out_as_published_and_the_rest_told(
    window, chosen, tmp_path
):
    sheet = tmp_path / "whole.csv"
    sheet.write_text(WHOLE)
    dialog = chosen("sheetNeedsAction", sheet, "sheetNeedsDialog")
    table = dialog.findChild(QTableWidget, "sheetNeedsTable")
    titles = [table.horizontalHeaderItem(c).text() for c in range(table.columnCount())]
    assert titles == ["Sample", "Phosphorus\nkg P/ha", "Potassium\nkg K/ha", "Zinc\nkg Zn/ha"]
    assert table.item(0, 2).text() == "0"
    assert "low by the soil test" in table.item(0, 3).toolTip()
    told = dialog.findChild(QTextBrowser, "sheetNeedsNotes").toPlainText()
    assert "Not worked out: lime, gypsum, nitrogen, for no way is the default" in told
    assert "Not worked out: sulfur, magnesium, calcium" in told
