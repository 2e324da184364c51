"""Classes on the Tests sheet: words, bars, tips, other scales, queries and changes."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QDoubleSpinBox,
    QLabel,
    QListWidget,
    QStyleOptionViewItem,
    QTableWidget,
    QToolButton,
    QWidget,
)

from vrxapp.agronomy.critical_values import own_critical_value
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.lab_tests import TestsSheet
from vrxapp.desktop.stages.scale_bar import AIMS_ROLE, COUNT_ROLE, POSITION_ROLE
from vrxapp.desktop.theme import apply_theme
from vrxapp.edits.rates import set_critical_value
from vrxapp.progress import Unwatched
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
def document(farm):
    """The farm with the later season shown."""
    document = FarmDocument(farm)
    document.season_id = farm.seasons[1].id
    return document


@pytest.fixture
def sheet(qtbot, private_settings, document):
    """The Tests sheet of the later season, as narrow as the window lets it be."""
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


def test_a_test_below_what_its_rate_aims_at_stands_first_and_its_bar_shows_the_value(qtbot, sheet):
    choose_sample(qtbot, sheet, 2)
    results, row = row_of(sheet, "Colwell P")
    # 14 of 35 to 42 mg/kg: what a wheat rate of southern New South Wales aims at
    assert row == 0
    item = results.item(row, 1)
    assert item.text() == "below 35 to 42"
    assert "Below the critical range of 35 to 42 mg/kg (wheat, southern" in item.toolTip()
    assert "grdc-2020-p-budget" in item.toolTip()
    assert (item.data(COUNT_ROLE), item.data(AIMS_ROLE)) == (3, pytest.approx([1 / 3, 2 / 3]))
    assert item.data(POSITION_ROLE) == pytest.approx(14 / 35 / 3)
    choose_sample(qtbot, sheet, 3)
    assert class_of(sheet, "Colwell P").text() == "above 35 to 42"


def test_ones_own_value_counts_at_once_and_is_marked_as_ones_own(qtbot, sheet, document):
    choose_sample(qtbot, sheet, 1)
    own = own_critical_value("wheat", "colwell_p", 20.0, reason="our strips")
    document.edit("Own value", partial(set_critical_value, critical=own))
    item = class_of(sheet, "Colwell P")  # 23 mg/kg
    assert item.text() == "above 20"
    assert "Above the critical value of 20 mg/kg (wheat, your own)" in item.toolTip()
    assert item.data(COUNT_ROLE) == 2
    by_olsen = own_critical_value("wheat", "olsen_p", 20.0, reason="our strips")
    document.edit("Olsen", partial(set_critical_value, critical=by_olsen))
    assert class_of(sheet, "Colwell P").text() == "no class"  # no other method is lent a value


@pytest.mark.parametrize("is_dark", [False, True])
def test_the_aim_is_drawn_where_it_lies_on_the_bar(qtbot, sheet, document, is_dark):
    apply_theme(QApplication.instance(), is_dark=is_dark)
    try:
        choose_sample(qtbot, sheet, 2)
        own = own_critical_value("wheat", "colwell_p", 20.0, reason="our strips")
        document.edit("Own value", partial(set_critical_value, critical=own))
        inked = inked_at(sheet, "Colwell P", above_bottom=3 + 3.5 + 6)
        # 14 of 20: the mark at 0.35 of the bar; the aim at a half, taller than any tick
        left, right = 8 + 4.5, 200 - 8 - 4.5
        shares = [(x - left) / (right - left) for x in inked]
        assert any(abs(share - 0.5) < 0.02 for share in shares)
        assert any(abs(share - 0.35) < 0.04 for share in shares)
        assert not any(share > 0.55 or share < 0.25 for share in shares)
    finally:
        apply_theme(QApplication.instance(), is_dark=False)


def test_a_lacking_test_is_estimated_marked_and_the_way_is_chosen_under_the_fold(qtbot, sheet):
    choose_sample(qtbot, sheet, 1)
    name = "Conductivity of the saturation extract"
    results, row = row_of(sheet, name)
    assert results.item(row, 0).text() == f"{name}\n~2.1 to 3.25 dS/m"
    assert results.item(row, 0).font().italic()
    assert "rayment-lyons-2011; published" in class_of(sheet, name).toolTip()
    body = find(sheet, QComboBox, "eceWayCombo")
    assert not body.isVisible()
    qtbot.mouseClick(find(sheet, QToolButton, "estimateFoldButton"), LEFT)
    assert body.isVisible()
    body.setFocus()
    qtbot.keyClicks(body, "Talsma")
    results, row = row_of(sheet, name)
    assert results.item(row, 0).text() == f"{name}\n~3.2 dS/m"
    assert "Salt:" not in class_of(sheet, name).toolTip()
    qtbot.mouseClick(find(sheet, QCheckBox, "saltLossCheckBox"), LEFT)
    tip = class_of(sheet, name).toolTip()
    assert "Wheat (unverified) would yield 100 %" in tip
    assert "from memory, unverified" in tip


def test_total_carbon_waits_for_a_factor(qtbot, sheet, document):
    season = document.season
    tests = results(season, organic_carbon=[1.5, 1.5, 1.5, 1.5])
    document.edit("Carbon", partial(replace, tests=tests))
    row_of(sheet, "Organic carbon")
    with pytest.raises(ValueError, match="Total organic carbon"):
        row_of(sheet, "Total organic carbon")
    qtbot.mouseClick(find(sheet, QToolButton, "estimateFoldButton"), LEFT)
    factor = find(sheet, QDoubleSpinBox, "carbonFactorSpinBox")
    assert factor.text() == "none chosen"
    factor.setFocus()
    factor.selectAll()
    qtbot.keyClicks(factor, "1.08")
    qtbot.keyClick(factor, Qt.Key.Key_Return)
    shown, row = row_of(sheet, "Total organic carbon")
    assert shown.item(row, 0).text().endswith("~1.62 %")


def test_replicates_tell_how_sure_the_class_is(qtbot, sheet, document):
    season = document.season
    tests = results(season, exch_na=[0.1] * 4, chloride=[90.0, 110.0, 100.0, 95.0])
    repeated = replace(tests, sample_ids=("A",) * 4)
    document.edit("Replicates", partial(replace, tests=repeated))
    shown, row = row_of(sheet, "Chloride")
    assert "class" in shown.item(row, 0).text()
    assert "% sure" in shown.item(row, 0).text()
    assert "Chances: very low" in shown.item(row, 1).toolTip()
    assert "4 results, mean 98.75 mg/kg" in shown.item(row, 1).toolTip()


def test_a_big_sheet_is_worked_out_in_the_background(qtbot, sheet, document):
    season = document.season
    asked = []
    sheet.work_requested.connect(lambda *request: asked.append(request))
    count = 2001
    big = results(season, chloride=[50.0] * 4)
    big = replace(
        big,
        file_rows=np.arange(2, count + 2),
        sample_ids=tuple(f"S{number}" for number in range(count)),
        zone_names=(season.zones.names[0],) * count,
        longitude_degree=np.full(count, np.nan),
        latitude_degree=np.full(count, np.nan),
        depths_cm=("0-10",) * count,
        columns=(
            AnalyteColumn(analyte("chloride"), np.full(count, 50.0), np.full(count, "", "<U1")),
        ),
    )
    document.edit("Big sheet", partial(replace, tests=big))
    assert find(sheet, QTableWidget, "sampleResults").rowCount() == 0
    ((text, work, on_done),) = asked
    assert text == "Working out the classes"
    on_done(work(Unwatched()))
    assert class_of(sheet, "Chloride").text() == "very low"
    choose_sample(qtbot, sheet, 3)
    assert len(asked) == 1  # the rest of it is at hand
    assert class_of(sheet, "Chloride").text() == "very low"


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
    # just below the upper edge of the mark, above all ticks
    inked = inked_at(sheet, test, above_bottom=3 + 3.5 + 7)
    assert inked
    left, right = 8 + 4.5, 200 - 8 - 4.5
    return ((inked[0] + inked[-1]) / 2 - left) / (right - left)


def inked_at(sheet, test, *, above_bottom):
    """Where a row of pixels of the bar is drawn on, in a cell of 200 by 40."""
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
    line = int(40 - above_bottom)
    lit = [image.pixelColor(QPoint(x, line)).lightness() for x in range(200)]
    return [x for x in range(200) if abs(lit[x] - ground.lightness()) > 100]
