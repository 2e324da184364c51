"""The window as its users meet it: real clicks and keys, and what they then see."""

import shutil
import signal
import subprocess
import sys

import geopandas
import pytest
import shapefile
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QTableView,
    QTableWidget,
    QTextBrowser,
    QToolButton,
    QWidget,
)

from vrxapp.desktop.application import fill
from vrxapp.desktop.autosave import recovery_file
from vrxapp.desktop.main_window import MainWindow
from vrxapp.files.farm_file import read_farm
from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")


def find(window, kind, name):
    """A widget by its object name."""
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


def type_number(qtbot, window, name, text):
    """Type a number into a field and press Enter."""
    field = find(window, QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    return field


def choose(qtbot, window, name, text):
    """Choose an entry of a combo box with the keyboard."""
    combo = find(window, QComboBox, name)
    index = combo.findText(text)
    assert index >= 0, [combo.itemText(i) for i in range(combo.count())]
    combo.setFocus()
    while combo.currentIndex() != index:
        key = Qt.Key.Key_Down if combo.currentIndex() < index else Qt.Key.Key_Up
        qtbot.keyClick(combo, key)
    return combo


def cell(window, zone, column):
    """A cell of the table below the map, by the zone's name."""
    model = find(window, QTableView, "zoneTable").model()
    for row in range(model.rowCount()):
        if model.index(row, 0).data() == zone:
            return model.index(row, column).data()
    raise AssertionError(zone)


def rate_of(window, zone):
    return cell(window, zone, 2)


def why(window):
    return find(window, QTextBrowser, "whyText").toPlainText()


def press_keys(qtbot, window, name):
    """Trigger a menu entry."""
    find(window, QAction, name).trigger()


def point_of(window, zone):
    """Where a zone can be clicked on the map, in pixels of the widget."""
    season = window.desk.document.season
    shape = season.zones.shapes[season.zones.names.index(zone)]
    spot = shape.representative_point()
    view = window.map.view()
    x, y = view.to_pixels(spot.x, spot.y)
    return QPoint(round(x / view.pixel_ratio), round(y / view.pixel_ratio))


def test_a_new_target_changes_the_rates_and_undo_brings_them_back(qtbot, window):
    before = rate_of(window, "Creek flat")
    field = type_number(qtbot, window, "targetYieldSpinBox", "5")
    assert rate_of(window, "Creek flat") != before
    assert "Set target yield to 5 t/ha" in find(window, QAction, "undoAction").text()
    press_keys(qtbot, window, "undoAction")
    assert rate_of(window, "Creek flat") == before
    assert field.value() == 4.0
    press_keys(qtbot, window, "redoAction")
    assert field.value() == 5.0


def test_a_click_on_a_zone_tells_why(qtbot, window):
    qtbot.mouseClick(window.map, Qt.MouseButton.LeftButton, pos=point_of(window, "Red rise"))
    qtbot.waitUntil(lambda: "Colwell P is 14 mg/kg" in why(window))
    assert find(window, QLabel, "whyHeading").text() == "Why this much: Red rise"
    assert "grdc-2020-p-budget" in why(window)
    assert find(window, QTableView, "zoneTable").currentIndex().data() == "Red rise"


def test_a_row_of_the_table_selects_on_the_map(qtbot, window):
    table = find(window, QTableView, "zoneTable")
    table.setFocus()
    table.selectRow(0)
    qtbot.keyClick(table, Qt.Key.Key_Down)
    assert window.map.selected() == ("zones", 1)
    assert "Grey box slope" in find(window, QLabel, "whyHeading").text()


def test_the_map_steps_through_zones_by_keyboard(qtbot, window):
    window.map.setFocus()
    qtbot.keyClick(window.map, Qt.Key.Key_Tab)
    first = window.map.selected()
    assert first == ("zones", 0)
    assert "Creek flat" in find(window, QLabel, "whyHeading").text()


def test_the_map_follows_an_edit(qtbot, window):
    spot = point_of(window, "Sandy top") + QPoint(0, 40)

    def color():
        return window.map.grab().toImage().pixelColor(spot)

    before = color()
    type_number(qtbot, window, "buildUpFactorSpinBox", "0")
    type_number(qtbot, window, "targetYieldSpinBox", "8")
    qtbot.waitUntil(window.map.is_sharp)
    qtbot.waitUntil(lambda: color() != before)
    assert find(window, QDoubleSpinBox, "buildUpFactorSpinBox").text() == "left out"


def test_another_product_and_a_cap_change_rates_and_money(qtbot, window):
    total = find(window, QLabel, "totalsLabel")
    before = total.text()
    choose(qtbot, window, "productCombo", "Triple superphosphate")
    assert total.text() != before
    type_number(qtbot, window, "rateCapSpinBox", "100")
    assert rate_of(window, "Red rise") == "100"
    assert cell(window, "Red rise", 5) == "Capped"
    type_number(qtbot, window, "priceSpinBox", "0")
    assert "no price" in total.text()


def test_a_critical_value_of_ones_own_is_marked_as_such(qtbot, window):
    choose(qtbot, window, "criticalValueCombo", "my own value")
    type_number(qtbot, window, "ownCriticalSpinBox", "25")
    use = find(window, QPushButton, "useOwnValueButton")
    assert not use.isEnabled()
    reason = find(window, QLineEdit, "ownReasonEdit")
    qtbot.keyClicks(reason, "ten years of strips")
    qtbot.mouseClick(use, Qt.MouseButton.LeftButton)
    find(window, QTableView, "zoneTable").selectRow(2)
    assert "ten years of strips" in why(window)
    assert "the agronomist's own" in why(window)
    press_keys(qtbot, window, "undoAction")
    assert "ten years of strips" not in why(window)


def test_a_critical_value_of_ones_own_is_for_the_layer_that_is_told(qtbot, window):
    choose(qtbot, window, "criticalValueCombo", "my own value")
    type_number(qtbot, window, "ownCriticalSpinBox", "25")
    qtbot.keyClicks(find(window, QLineEdit, "ownReasonEdit"), "strips")
    layer = find(window, QLineEdit, "ownLayerEdit")
    assert layer.text() == "0-10"
    layer.selectAll()
    qtbot.keyClicks(layer, "topsoil")
    use = find(window, QPushButton, "useOwnValueButton")
    assert not use.isEnabled()
    layer.selectAll()
    qtbot.keyClicks(layer, "0-15")
    qtbot.keyClick(layer, Qt.Key.Key_Return)
    find(window, QTableView, "zoneTable").selectRow(2)
    assert "no Colwell P result at 0-15 cm" in why(window)


def test_an_unverified_value_says_so_where_it_is_chosen_and_in_the_why(qtbot, window):
    choose(qtbot, window, "criticalValueCombo", "wheat, from PBI (unverified) !")
    find(window, QTableView, "zoneTable").selectRow(0)
    assert "from memory, unverified" in why(window)


def test_another_crop_brings_its_critical_value(qtbot, window):
    choose(qtbot, window, "cropCombo", "Canola")
    combo = find(window, QComboBox, "criticalValueCombo")
    assert combo.currentText() == "canola, southern New South Wales"


def test_a_crop_without_a_published_value_asks_for_ones_own_in_place(qtbot, window):
    choose(qtbot, window, "cropCombo", "Barley")
    combo = find(window, QComboBox, "criticalValueCombo")
    assert combo.currentText() == "none published: give your own"
    assert find(window, QWidget, "ownValueFields").isVisible()
    find(window, QTableView, "zoneTable").selectRow(2)
    assert "no critical value of phosphorus is published for barley" in why(window)
    type_number(qtbot, window, "ownCriticalSpinBox", "30")
    qtbot.keyClicks(find(window, QLineEdit, "ownReasonEdit"), "own strips")
    qtbot.mouseClick(find(window, QPushButton, "useOwnValueButton"), Qt.MouseButton.LeftButton)
    find(window, QTableView, "zoneTable").selectRow(2)
    assert "own strips" in why(window)
    type_number(qtbot, window, "phosphorusRemovalSpinBox", "3.1")
    assert "3.1 kg P/t of barley grain" in why(window)
    type_number(qtbot, window, "phosphorusRemovalSpinBox", "0")
    assert "2.95 kg P/t of barley grain" in why(window)


def test_a_sample_shows_its_results(qtbot, window):
    qtbot.mouseClick(find(window, QToolButton, "testsStageButton"), Qt.MouseButton.LeftButton)
    samples = find(window, QListWidget, "sampleList")
    assert samples.isVisible()
    samples.setCurrentRow(4)
    results = find(window, QTableWidget, "sampleResults")

    def told_of():
        rows = range(results.rowCount())
        return dict(results.item(row, 0).text().split("\n") for row in rows)

    assert told_of()["Colwell P"] == "14 mg/kg"
    assert told_of()["Effective cation exchange capacity"] == "7.9 cmol(+)/kg"
    samples.setCurrentRow(0)
    assert told_of()["Exchangeable aluminium"].startswith("<")


def test_a_sample_is_joined_to_another_zone_by_hand(qtbot, window):
    qtbot.mouseClick(find(window, QToolButton, "testsStageButton"), Qt.MouseButton.LeftButton)
    find(window, QListWidget, "sampleList").setCurrentRow(4)
    zone = find(window, QComboBox, "sampleZoneCombo")
    qtbot.keyClick(zone, Qt.Key.Key_Home)
    assert zone.currentText() == "Creek flat"
    assert rate_of(window, "Red rise") == "none"
    assert "No rate" in cell(window, "Red rise", 5)
    press_keys(qtbot, window, "undoAction")
    assert rate_of(window, "Red rise") == "140"


def test_stages_without_anything_yet_say_what_they_will_be_for(window):
    for name in ("strips", "proof"):
        button = find(window, QToolButton, f"{name}StageButton")
        assert not button.isEnabled()
        assert "will be for" in button.toolTip()


def drop(window, *paths):
    """Drop files on the window."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    action, button = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton
    none = Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(600, 300), action, data, button, none)
    QApplication.sendEvent(window, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(window, QDropEvent(QPointF(600, 300), action, data, button, none))


def test_a_dropped_lab_sheet_takes_the_place_of_the_older_one(qtbot, window):
    drop(window, SAMPLE / "lab_georeferenced.csv")
    summary = find(window, QLabel, "testsSummary")
    qtbot.waitUntil(lambda: "lab_georeferenced.csv" in summary.text())
    assert "samples" in [layer.name for layer in window.map.layers()]
    find(window, QTableView, "zoneTable").selectRow(2)
    assert "standard error" in why(window)
    press_keys(qtbot, window, "undoAction")
    assert "lab_whole_farm.csv" in summary.text()


def test_ones_own_files_run_from_the_drop_to_verified_files(qtbot, window, tmp_path, monkeypatch):
    names = ("boundary.geojson", "zones.geojson", "exclusions.geojson", "check_strips.geojson",
             "lab_composites.csv")  # fmt: skip
    for name in names:
        shutil.copy(SAMPLE / name, tmp_path / name)
    drop(window, *(tmp_path / name for name in names))
    dialog = find(window, QWidget, "openFilesDialog")
    qtbot.waitUntil(dialog.isVisible)
    for part, name in zip(("boundary", "zones", "exclusions", "strips", "lab"), names, strict=True):
        assert find(dialog, QLineEdit, f"{part}PathEdit").text() == str(tmp_path / name)
    open_it = find(dialog, QDialogButtonBox, "openFilesButtons").button(
        QDialogButtonBox.StandardButton.Open
    )
    assert not open_it.isEnabled()
    before = window.desk.document
    field = find(dialog, QDoubleSpinBox, "openYieldSpinBox")
    field.selectAll()
    qtbot.keyClicks(field, "4")
    assert open_it.isEnabled()
    qtbot.mouseClick(open_it, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.desk.document is not before)
    # replacement alone: 4 x 3 / 0.22
    qtbot.waitUntil(lambda: rate_of(window, "Creek flat") == "55")
    out = tmp_path / "out"
    out.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(out))
    qtbot.mouseClick(find(window, QToolButton, "handoverStageButton"), Qt.MouseButton.LeftButton)
    qtbot.mouseClick(find(window, QPushButton, "handOverButton"), Qt.MouseButton.LeftButton)
    result = find(window, QTextBrowser, "handOverResult")
    qtbot.waitUntil(lambda: "Put in place" in result.toPlainText(), timeout=15_000)
    assert "read back by pyshp" in result.toPlainText()
    (path,) = out.rglob("*.shp")
    with shapefile.Reader(str(path)) as reader:
        assert {record["RATE_KGHA"] for record in reader.records()} == {0.0, 55.0}


def test_a_layer_can_be_chosen_where_a_file_holds_several(qtbot, window, tmp_path):
    path = tmp_path / "zones.gpkg"
    zones = geopandas.read_file(SAMPLE / "zones.geojson")
    zones.to_file(path, layer="new")
    zones.iloc[:1].to_file(path, layer="old")
    press_keys(qtbot, window, "openFilesAction")
    dialog = find(window, QWidget, "openFilesDialog")
    qtbot.waitUntil(dialog.isVisible)
    layer = find(dialog, QComboBox, "zonesLayerCombo")
    assert not layer.isVisible()
    find(dialog, QLineEdit, "zonesPathEdit").setText(str(path))
    assert layer.isVisible()
    layer.setFocus()
    qtbot.keyClicks(layer, "old")
    find(dialog, QLineEdit, "boundaryPathEdit").setText(str(SAMPLE / "boundary.geojson"))
    qtbot.keyClicks(find(dialog, QLineEdit, "openCrsEdit"), "EPSG:7855")
    files = dialog.files()
    assert files.layers == (("zones", "old"),)
    assert files.crs == "EPSG:7855"
    dialog.reject()


def test_a_bad_file_is_told_in_the_bar_and_changes_nothing(qtbot, window, tmp_path):
    bad = tmp_path / "lab.csv"
    bad.write_text("Sample,Zone,Colwell P (mg/kg)\n1,Creek flat,lots\n")
    farm = window.desk.document.farm
    drop(window, bad)
    qtbot.waitUntil(window.message.isVisible)
    assert "lab.csv, row 2" in window.message.text()
    assert window.desk.document.farm is farm
    qtbot.mouseClick(find(window, QToolButton, "closeMessageButton"), Qt.MouseButton.LeftButton)
    assert not window.message.isVisible()


def test_an_edit_is_kept_aside_and_offered_after_a_crash(qtbot, window, sample):
    type_number(qtbot, window, "targetYieldSpinBox", "6.5")
    qtbot.waitUntil(recovery_file().exists, timeout=15_000)
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy())
    assert read_farm(recovery_file()).seasons[0].crop.target_yield_t_ha == 6.5
    window.desk.offer_recovery()
    action = find(window, QPushButton, "messageActionButton")
    press_keys(qtbot, window, "undoAction")
    before = window.desk.document
    qtbot.mouseClick(action, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.desk.document is not before)
    assert find(window, QDoubleSpinBox, "targetYieldSpinBox").value() == 6.5


KILLED = """
import os, signal
from functools import partial
from vrxapp.desktop.application import application, fill
from vrxapp.desktop.autosave import recovery_file
from vrxapp.desktop.main_window import MainWindow
from vrxapp.edits.rates import set_target_yield
app = application()
window = MainWindow()
window.show()
fill(window)
window.desk.document.edit("", partial(set_target_yield, target_yield_t_ha=6.5))
while not recovery_file().exists():
    app.processEvents()
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_what_a_killed_run_had_is_offered_by_the_next(qtbot, private_settings, sample):
    ended = subprocess.run([sys.executable, "-c", KILLED], check=False)
    assert ended.returncode == -signal.SIGKILL
    window = MainWindow()
    qtbot.addWidget(window)
    window.show()
    fill(window, sample)
    assert "ended without saving" in window.message.text()
    before = window.desk.document
    qtbot.mouseClick(find(window, QPushButton, "messageActionButton"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.desk.document is not before)
    assert find(window, QDoubleSpinBox, "targetYieldSpinBox").value() == 6.5
    window.desk.jobs.wait(5_000)


def test_a_saved_farm_leaves_nothing_to_recover(qtbot, window, tmp_path):
    type_number(qtbot, window, "targetYieldSpinBox", "6")
    qtbot.waitUntil(recovery_file().exists, timeout=15_000)
    path = tmp_path / "mine.gpkg"
    window.desk.save_to(path)
    qtbot.waitUntil(path.exists, timeout=15_000)
    qtbot.waitUntil(lambda: not recovery_file().exists())
    assert "mine.gpkg" in window.windowTitle()
    assert not window.windowTitle().startswith("*")
    assert read_farm(path).seasons[0].crop.target_yield_t_ha == 6.0


def test_closing_with_unsaved_edits_keeps_them_for_the_next_start(qtbot, window):
    type_number(qtbot, window, "targetYieldSpinBox", "7")
    window.close()
    assert read_farm(recovery_file()).seasons[0].crop.target_yield_t_ha == 7.0


def test_dark_and_light_change_at_a_key(qtbot, window):
    light = window.grab().toImage().pixelColor(900, 40)
    press_keys(qtbot, window, "darkAction")
    dark = window.grab().toImage().pixelColor(900, 40)
    assert dark.lightness() < 80 < 170 < light.lightness()


@pytest.mark.parametrize("stage", ["zones", "tests", "rates", "handover"])
def test_what_can_be_pressed_has_a_name_and_is_reached_by_tab(window, stage):
    window.show_stage(stage)
    for button in window.findChildren(QAbstractButton):
        if button.isVisibleTo(window) and not button.objectName().startswith("qt_"):
            assert button.text() or button.accessibleName() or button.toolTip(), button
    for kind in (QDoubleSpinBox, QComboBox, QLineEdit):
        for field in window.findChildren(kind):
            if field.isVisibleTo(window) and field.objectName() != "qt_spinbox_lineedit":
                assert field.accessibleName(), field.objectName()
                assert field.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_every_action_has_a_tip_and_a_place_in_a_menu(window):
    menu_actions = {
        action for menu in window.menuBar().actions() for action in menu.menu().actions()
    }
    named = [action for action in window.findChildren(QAction) if action.objectName()]
    assert len(named) >= 10
    for action in named:
        assert action in menu_actions
        assert action.toolTip()


def test_files_of_a_plan_that_was_changed_meanwhile_are_not_shown_as_those_of_the_new_one(
    qtbot, window, tmp_path
):
    window.desk.hand_over_into(tmp_path)
    window.show_stage("rates")
    type_number(qtbot, window, "rateCapSpinBox", "90")
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy(), timeout=20_000)
    assert find(window, QTextBrowser, "handOverResult").toPlainText() == ""
    assert "what is open now is another" in window.message.text()
    assert len(list(tmp_path.iterdir())) == 1
