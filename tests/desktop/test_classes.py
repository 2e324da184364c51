"""Classes on the Tests sheet: words, bars, tips, other scales, queries and changes."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QLabel,
    QListWidget,
    QStyleOptionViewItem,
    QTableWidget,
    QToolButton,
    QWidget,
)

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.lab_tests import TestsSheet
from vrxapp.desktop.theme import apply_theme
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable

NARROW = 300
LEFT = Qt.MouseButton.LeftButton


def results(season, **by_key):
    """A lab sheet with one composite a zone, a number for each."""
    names = season.zones.names
    columns = tuple(
        AnalyteColumn(analyte(key), np.array(values), np.full(len(names), "", "<U1"))
        for key, values in by_key.items()
    )
    return ResultsTable(
        "lab.csv",
        np.arange(2, len(names) + 2),
        tuple(f"A{number}" for number in range(len(names))),
        names,
        np.full(len(names), np.nan),
        np.full(len(names), np.nan),
        ("0-10",) * len(names),
        columns,
    )


@pytest.fixture
def farm(sample):
    """Two seasons of one paddock of four zones, each with four composites."""
    season = replace(sample.seasons[0], row_matches=())
    now = results(
        season,
        ec_1_5=[0.05, 0.5, 0.5, np.nan],
        clay=[30.0, 30.0, 50.0, 30.0],
        chloride=[2500.0, 12.0, 14.0, 10.0],
        exch_k=[0.5, 0.5, 0.5, 0.5],
        exch_na=[0.8, 0.8, 0.8, 0.8],
        cec=[10.0, 10.0, 10.0, 10.0],
        colwell_p=[40.0, 23.0, 14.0, 52.0],
    )
    before = results(season, colwell_p=[20.0, 22.0, 14.0, 80.0])
    older = replace(season, id="older", name="2025", tests=before)
    return replace(sample, seasons=(older, replace(season, tests=now)))


@pytest.fixture
def sheet(qtbot, private_settings, farm):
    """The Tests sheet of the later season, as narrow as the window lets it be."""
    document = FarmDocument(farm)
    document.season_id = farm.seasons[1].id
    sheet = TestsSheet(document)
    qtbot.addWidget(sheet)
    sheet.resize(NARROW, 900)
    sheet.show()
    qtbot.waitExposed(sheet)
    return sheet


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


def row_of(sheet, test):
    results = find(sheet, QTableWidget, "sampleResults")
    names = [results.item(r, 0).text().split("\n")[0] for r in range(results.rowCount())]
    return results, names.index(test)


def class_of(sheet, test):
    results, row = row_of(sheet, test)
    return results.item(row, 1)


def choose_sample(qtbot, sheet, row):
    samples = find(sheet, QListWidget, "sampleList")
    middle = samples.visualItemRect(samples.item(row)).center()
    qtbot.mouseClick(samples.viewport(), LEFT, pos=middle)


def test_each_result_has_its_class_and_the_tip_says_where_it_is_from(qtbot, sheet):
    choose_sample(qtbot, sheet, 1)
    # CLASS-03 and CLASS-04, rayment-lyons-2011, Table 3.1: 0.5 dS/m at 30 and at 50 % clay
    assert class_of(sheet, "Electrical conductivity").text() == "high"
    tip = class_of(sheet, "Electrical conductivity").toolTip()
    for part in ("tolerant crops cope", "rayment-lyons-2011, Table 3.1", "published", "0.45 to"):
        assert part in tip
    assert "gypsum" in tip  # the caution of the scale
    choose_sample(qtbot, sheet, 2)
    assert class_of(sheet, "Electrical conductivity").text() == "medium"


def test_what_was_worked_out_and_what_has_no_class_say_so(qtbot, sheet):
    choose_sample(qtbot, sheet, 1)
    sodium = class_of(sheet, "Exchangeable sodium percentage")
    assert sodium.text() == "sodic"  # 100 x 0.8 / 10 = 8 %
    assert "Worked out" in sodium.toolTip()
    potassium = class_of(sheet, "Exchangeable potassium")
    assert potassium.text() == "no class"
    assert "scales to choose" in potassium.toolTip()


def test_the_tip_is_read_out_too(sheet):
    item = class_of(sheet, "Chloride")
    assert item.data(Qt.ItemDataRole.AccessibleDescriptionRole) == item.toolTip()


def test_another_scale_is_chosen_by_keyboard_and_is_no_edit(qtbot, sheet):
    results, row = row_of(sheet, "Exchangeable potassium")
    assert results.item(row, 1).text() == "no class"
    qtbot.mouseClick(results.viewport(), LEFT, pos=results.visualItemRect(
        results.item(row, 0)).center())  # fmt: skip
    scale = find(sheet, QComboBox, "scaleCombo")
    assert scale.isEnabled()
    scale.setFocus()
    qtbot.keyClicks(scale, "exch")
    results, moved = row_of(sheet, "Exchangeable potassium")
    assert results.item(moved, 1).text() == "moderate (unverified)"
    assert results.currentRow() == moved < row  # it has a class now, and stands where that is
    qtbot.keyClick(scale, Qt.Key.Key_Home)
    assert class_of(sheet, "Exchangeable potassium").text() == "no class"


def test_queries_of_the_sample_open_with_a_click(qtbot, sheet):
    choose_sample(qtbot, sheet, 0)
    text = find(sheet, QLabel, "queriesText")
    assert not text.isVisible()
    qtbot.mouseClick(find(sheet, QToolButton, "queriesFoldButton"), LEFT)
    assert text.isVisible()
    assert "chloride" in text.text()
    assert "Ask the laboratory" in text.text()
    choose_sample(qtbot, sheet, 2)
    assert not find(sheet, QWidget, "queriesFold").isVisible()


def test_the_season_before_tells_what_has_changed_in_the_zone(qtbot, sheet):
    choose_sample(qtbot, sheet, 0)
    button = find(sheet, QToolButton, "changesFoldButton")
    assert button.text() == "Since 2025"
    qtbot.keyClick(button, Qt.Key.Key_Space)
    changes = find(sheet, QLabel, "changesText")
    assert changes.isVisible()
    assert changes.text().startswith("Colwell P: 20, now 40 mg/kg: risen")
    choose_sample(qtbot, sheet, 1)
    assert "no change that the laboratory could tell" in changes.text()
    choose_sample(qtbot, sheet, 3)
    assert "fallen" in changes.text()


def test_the_sheet_keeps_within_its_width(sheet):
    results = find(sheet, QTableWidget, "sampleResults")
    assert sheet.width() == NARROW
    widths = sum(results.columnWidth(column) for column in range(results.columnCount()))
    assert widths <= results.viewport().width()


@pytest.mark.parametrize("is_dark", [False, True])
def test_the_mark_stands_where_the_value_lies_in_light_and_dark(qtbot, sheet, is_dark):
    apply_theme(QApplication.instance(), is_dark=is_dark)
    try:
        choose_sample(qtbot, sheet, 1)
        marks = {}
        for test in ("Electrical conductivity", "Chloride"):
            marks[test] = mark_share(sheet, test)
        # 0.5 of high, 0.45 to 0.76: 3.16 of 6 classes; 12 of very low, 0 to 100: 0.12 of 5
        assert marks["Electrical conductivity"] == pytest.approx(3.161 / 6, abs=0.03)
        assert marks["Chloride"] == pytest.approx(0.12 / 5, abs=0.03)
    finally:
        apply_theme(QApplication.instance(), is_dark=False)


def mark_share(sheet, test):
    """Where the widest part of the mark is drawn, as a share of the bar."""
    results, row = row_of(sheet, test)
    option = QStyleOptionViewItem()
    option.initFrom(results)
    option.rect = QRect(0, 0, 200, 40)
    image = QImage(200, 40, QImage.Format.Format_RGB32)
    ground = option.palette.base().color()
    image.fill(ground)
    painter = QPainter(image)
    results.itemDelegateForColumn(1).paint(painter, option, results.model().index(row, 1))
    painter.end()
    top_of_mark = 40 - 3 - 3.5 - 8  # just below the upper edge of the mark, above all ticks
    inked = [
        x
        for x in range(200)
        if abs(image.pixelColor(QPoint(x, int(top_of_mark) + 1)).lightness() - ground.lightness())
        > 100
    ]
    assert inked
    left, right = 8 + 4.5, 200 - 8 - 4.5
    return ((inked[0] + inked[-1]) / 2 - left) / (right - left)
