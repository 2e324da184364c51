"""Zones from data on screen: made in the background, looked at, used in one step."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPoint, QSettings, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QFileDialog,
    QInputDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QProgressBar,
    QPushButton,
    QSpinBox,
    QTableWidget,
    QToolButton,
    QWidget,
)

from vrxapp.desktop.zoning.layer_picks import LayerPicks, PickKind
from vrxapp.edits.guidance import add_guidance
from vrxapp.edits.layers import remove_layer
from vrxapp.edits.zones import lock
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def dialog(window, qtbot):
    window.show_stage("zones")
    qtbot.mouseClick(window.findChild(QPushButton, "zonesFromDataButton"), LEFT)
    return window.findChild(QDialog, "zonesFromDataDialog")


@pytest.fixture
def press(qtbot, dialog):
    """A function that presses a button of the dialog."""
    return lambda name: qtbot.mouseClick(dialog.findChild(QPushButton, name), LEFT)


def said(dialog):
    return dialog.findChild(QLabel, "zoningSaid").text()


def can_use(dialog):
    return dialog.findChild(QPushButton, "useMadeZonesButton").isEnabled()


def items(dialog):
    found = dialog.findChild(QListWidget, "zoningLayers")
    return [found.item(row) for row in range(found.count())]


def tick(qtbot, dialog, text):
    """Tick an entry with the space bar, as keys do."""
    found = dialog.findChild(QListWidget, "zoningLayers")
    (item,) = found.findItems(text, Qt.MatchFlag.MatchStartsWith)
    found.setCurrentItem(item)
    qtbot.keyClick(found, Qt.Key.Key_Space)


def choose_method(dialog, key):
    combo = dialog.findChild(QComboBox, "zoningMethodCombo")
    combo.setCurrentIndex(combo.findData(key))


def wait_made(qtbot, dialog):
    qtbot.waitUntil(lambda: can_use(dialog), timeout=30_000)


def test_zones_are_made_looked_at_used_and_undone(qtbot, window, dialog, press):
    document = window.desk.document
    before = document.season.zones
    assert [item.text() for item in items(dialog)] == [
        "Apparent conductivity", "Vegetation index",
    ]  # fmt: skip
    press("makeZonesButton")
    assert not can_use(dialog)
    wait_made(qtbot, dialog)
    table = dialog.findChild(QTableWidget, "zoningTable")
    heads = [table.horizontalHeaderItem(k).text() for k in range(table.columnCount())]
    assert heads == ["Zone", "Area, ha", "Sureness", "Apparent conductivity, mS/m"]
    means = [float(table.item(row, 3).text()) for row in range(table.rowCount())]
    assert means == sorted(means)  # numbered from the lowest of the first layer
    areas = sum(float(table.item(row, 1).text()) for row in range(table.rowCount()))
    assert areas == pytest.approx(81.33, abs=0.05)
    assert document.season.zones is before
    assert "not used yet" in said(dialog)
    press("useMadeZonesButton")
    assert len(document.season.zones.names) == table.rowCount()
    assert shapely.coverage_is_valid(document.season.zones.shapes)
    assert "Undo brings back" in said(dialog)
    assert not can_use(dialog)
    assert document.undo_stack.undoText() == "Use zones made from data"
    document.undo_stack.undo()
    assert document.season.zones is before


def test_bars_tell_how_crisp_each_number_is_and_a_click_asks_for_it(qtbot, dialog, press):
    press("makeZonesButton")
    wait_made(qtbot, dialog)
    bars = dialog.findChild(QWidget, "crispnessBars")
    assert [number for number, _ in bars.bars()] == [2, 3, 4, 5, 6]
    assert "4 groups 0." in bars.accessibleDescription()
    spot = bars.rect_of(2).center()
    qtbot.mouseClick(bars, LEFT, pos=QPoint(round(spot.x()), round(spot.y())))
    wait_made(qtbot, dialog)
    assert dialog.findChild(QSpinBox, "zoningCountField").value() == 4
    assert dialog.findChild(QTableWidget, "zoningTable").rowCount() == 4


def test_what_was_made_cannot_be_used_after_the_choices_change(qtbot, dialog, press):
    press("makeZonesButton")
    wait_made(qtbot, dialog)
    tick(qtbot, dialog, "Vegetation index")
    assert not can_use(dialog)
    assert "press Make zones again" in said(dialog)


def test_a_locked_zone_stays_and_is_told(qtbot, window, dialog, press):
    document = window.desk.document
    document.edit("Lock", lambda season: lock(season, "Red rise"))
    kept = document.season.zones.shapes[document.season.zones.names.index("Red rise")]
    choose_method(dialog, "squares")
    dialog.findChild(QDoubleSpinBox, "zoningHectaresField").setValue(20.0)
    press("makeZonesButton")
    wait_made(qtbot, dialog)
    assert "Locked and kept as they are: 'Red rise'" in said(dialog)
    assert "samples were joined by hand" in said(dialog)
    table = dialog.findChild(QTableWidget, "zoningTable")
    assert table.item(0, 0).text() == "Red rise (locked)"
    press("useMadeZonesButton")
    after = document.season.zones.shapes[0]
    assert shapely.symmetric_difference(after, kept).area < 1e-3


def test_only_fields_that_fit_the_method_are_shown(dialog):
    def shown(kind, name):
        return dialog.findChild(kind, name).isVisibleTo(dialog)

    assert shown(QSpinBox, "zoningCountField")
    assert not shown(QLineEdit, "zoningBreaksField")
    choose_method(dialog, "breaks")
    assert shown(QLineEdit, "zoningBreaksField")
    assert not shown(QSpinBox, "zoningCountField")
    choose_method(dialog, "squares")
    assert shown(QDoubleSpinBox, "zoningHectaresField")
    assert not shown(QToolButton, "zoningTidyFoldButton")


def test_tidying_lies_behind_a_fold_and_begins_with_the_swath(qtbot, window, dialog):
    width = dialog.findChild(QDoubleSpinBox, "zoning_leastWidth")
    assert not width.isVisibleTo(dialog)
    qtbot.mouseClick(dialog.findChild(QToolButton, "zoningTidyFoldButton"), LEFT)
    assert width.isVisibleTo(dialog)
    assert width.value() == window.desk.document.season.operations[0].machine.swath_width_m


def test_breaks_that_cannot_be_read_are_told_in_the_window(qtbot, dialog, press):
    choose_method(dialog, "breaks")
    qtbot.keyClicks(dialog.findChild(QLineEdit, "zoningBreaksField"), "low")
    press("makeZonesButton")
    assert "Cannot read the breaks 'low'" in said(dialog)
    assert not can_use(dialog)


def test_what_the_workflow_refuses_is_told_in_the_window(qtbot, dialog, press):
    tick(qtbot, dialog, "Apparent conductivity")  # the only one that was ticked
    press("makeZonesButton")
    qtbot.waitUntil(lambda: "There is no layer" in said(dialog), timeout=20_000)
    assert not can_use(dialog)


def test_a_sheet_with_positions_brings_tests_to_make_and_to_judge_zones_by(
    qtbot, window, dialog, press, monkeypatch
):
    sheet = SAMPLE / "lab_georeferenced.csv"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(sheet), ""))
    menu = dialog.findChild(QToolButton, "addZoningFileButton").menu()
    menu.actions()[-1].trigger()
    qtbot.waitUntil(lambda: len(items(dialog)) == 5, timeout=20_000)
    assert QSettings().value("folders/layer") == str(SAMPLE)
    press("makeZonesButton")
    wait_made(qtbot, dialog)
    worth = dialog.findChild(QLabel, "zoningWorth").text()
    assert "of the variance of Colwell P in 36 samples" in worth
    assert "they were made from it, so that is no proof" in worth


def test_points_with_several_columns_ask_for_one(qtbot, dialog):
    path = SAMPLE / "harvests" / "wheat_2024_invented.csv"
    picks = dialog.findChild(LayerPicks)
    picks.add_points(path, kind=PickKind.HARVEST)
    qtbot.waitUntil(lambda: dialog.findChild(QInputDialog) is not None, timeout=20_000)
    question = dialog.findChild(QInputDialog)
    question.setTextValue("yield_t_ha")
    question.accept()
    assert items(dialog)[-1].text() == "wheat_2024_invented: yield_t_ha (harvest)"
    assert [pick.kind for pick in picks.picks()] == [PickKind.LINKED, PickKind.HARVEST]


def test_making_can_be_cancelled_and_leaves_nothing(qtbot, window, dialog, press):
    before = window.desk.document.season
    press("makeZonesButton")
    press("stopZoningButton")
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy(), timeout=20_000)
    assert said(dialog) == "Cancelled; nothing was made."
    assert not can_use(dialog)
    assert not dialog.findChild(QProgressBar, "zoningProgress").isVisibleTo(dialog)
    assert window.desk.document.season is before


def test_another_paddock_closes_the_window(qtbot, window, dialog):
    document = window.desk.document
    document.choose_season(document.farm.seasons[1].id)
    assert not dialog.isVisible()


def test_another_farm_closes_the_window(qtbot, window, dialog):
    with qtbot.waitSignal(dialog.finished):
        window.desk.open_sample()


def test_asking_again_shows_the_window_that_is_open(window, dialog):
    window.findChild(QAction, "zonesFromDataAction").trigger()
    assert window.findChildren(QDialog, "zonesFromDataDialog") == [dialog]


def test_the_list_follows_the_layers_of_the_paddock_and_keeps_its_ticks(qtbot, window, dialog):
    tick(qtbot, dialog, "Vegetation index")
    document = window.desk.document
    document.edit("Let go", lambda season: remove_layer(season, "Apparent conductivity"))
    assert [item.text() for item in items(dialog)] == ["Vegetation index"]
    assert items(dialog)[0].checkState() == Qt.CheckState.Checked
    document.undo_stack.undo()
    assert [item.checkState() for item in items(dialog)] == [
        Qt.CheckState.Unchecked, Qt.CheckState.Checked,
    ]  # fmt: skip


def test_squares_begin_along_the_first_straight_guidance_line(qtbot, window):
    west, south, *_ = window.desk.document.season.paddock.boundary.bounds
    lines = [
        GuidanceLine("Creek", "", shapely.LineString([(0, 0), (9, 0), (20, 5)])),
        GuidanceLine("Fence", "", shapely.LineString([(0, 0), (-300, -400)])),
    ]
    moved = [
        replace(one, line=shapely.affinity.translate(one.line, west + 400, south + 500))
        for one in lines
    ]
    window.desk.document.edit("Guide", lambda season: add_guidance(season, moved))
    window.findChild(QAction, "zonesFromDataAction").trigger()
    dialog = window.findChild(QDialog, "zonesFromDataDialog")
    bearing = dialog.findChild(QDoubleSpinBox, "zoningBearingField")
    assert bearing.value() == 36.9  # a line of 3 to 4, driven in either direction
    choose_method(dialog, "squares")
    qtbot.mouseClick(dialog.findChild(QPushButton, "makeZonesButton"), LEFT)
    wait_made(qtbot, dialog)


def test_smoothing_follows_the_cell_until_it_is_set(dialog):
    cell, smooth = (dialog.findChild(QDoubleSpinBox, f"zoning_{n}") for n in ("cell", "smooth"))
    assert smooth.value() == cell.value()
    cell.setValue(10.0)
    assert smooth.value() == 10.0
    smooth.setValue(4.0)
    cell.setValue(20.0)
    assert smooth.value() == 4.0


def test_the_menu_reaches_it_too(window):
    window.findChild(QAction, "zonesFromDataAction").trigger()
    assert window.findChild(QDialog, "zonesFromDataDialog").isVisible()


def test_the_zones_sheet_tells_what_zones_explain_until_they_change(qtbot, window):
    window.show_stage("zones")
    qtbot.mouseClick(window.findChild(QPushButton, "zoneWorthButton"), LEFT)
    text = window.findChild(QLabel, "zoneWorthText")
    qtbot.waitUntil(lambda: "Apparent conductivity" in text.text(), timeout=20_000)
    assert "explain 80 %" in text.text()
    assert "no sample has a position" in text.text()
    assert text.isVisibleTo(window)
    document = window.desk.document
    document.edit("Lock", lambda season: lock(season, "Red rise"))
    assert not text.isVisibleTo(window)


def test_the_map_and_the_table_choose_together(qtbot, dialog, press):
    press("makeZonesButton")
    wait_made(qtbot, dialog)
    table = dialog.findChild(QTableWidget, "zoningTable")
    view = dialog.findChild(QWidget, "zoningMap")
    with qtbot.waitSignal(view.selection_changed) as chosen:
        table.setCurrentCell(1, 0)
    assert chosen.args == ["zones", 1]
    view.select("zones", 0)
    assert table.currentRow() == 0


def test_mnemonics_of_the_window_stand_for_one_thing_each(dialog):
    texts = [b.text() for b in dialog.findChildren(QPushButton)]
    texts += [b.text() for b in dialog.findChildren(QToolButton)]
    texts += [label.text() for label in dialog.findChildren(QLabel) if label.buddy()]
    tabs = dialog.findChild(QWidget, "zoningTabs")
    texts += [tabs.tabText(k) for k in range(tabs.count())]
    letters = [text[text.index("&") + 1].lower() for text in texts if "&" in text]
    assert len(letters) == len(np.unique(letters)), sorted(letters)
