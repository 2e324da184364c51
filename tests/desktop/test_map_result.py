"""A soil result mapped on screen: ways compared, settings, layers, undo, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QAbstractButton,
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QFileDialog,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QTableWidget,
    QToolButton,
    QWidget,
)

from vrxapp.desktop.lab.variogram_plot import round_ticks
from vrxapp.files.farm_file import read_farm
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.match_rows import use_as_proposed

LEFT = Qt.MouseButton.LeftButton
GRID = shipped_folder("sample_fields") / "two_mile_sands" / "lab_grid_samples.csv"
SANDS = 1


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


def dialog_of(window):
    """The window for maps that is open now."""
    return next((d for d in window.findChildren(QDialog, "mapResultDialog") if d.isVisible()), None)


def settled(window, dialog):
    return dialog.study is not None and not window.desk.jobs.is_busy()


def press(qtbot, parent, name, kind=QPushButton):
    qtbot.mouseClick(find(parent, kind, name), LEFT)


def choose(qtbot, dialog, name, text):
    combo = find(dialog, QComboBox, name)
    combo.setFocus()
    qtbot.keyClicks(combo, text)
    qtbot.keyClick(combo, Qt.Key.Key_Return)


def typed(qtbot, dialog, name, text):
    box = find(dialog, QDoubleSpinBox, name)
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Tab)


@pytest.fixture
def sands(window):
    """The window with the grid samples of Two Mile Sands in its farm."""
    document = window.desk.document
    sheet = lab_results(GRID)
    document.edit_farm("Use the sheet", lambda farm: use_as_proposed(farm, sheet))
    document.choose_season(document.farm.seasons[SANDS].id)
    window.show_stage("tests")
    return window


@pytest.fixture
def dialog(qtbot, sands):
    """The window for maps, opened by the button of the Tests sheet, its first study done."""
    press(qtbot, sands, "mapResultButton")
    dialog = dialog_of(sands)
    qtbot.waitUntil(lambda: settled(sands, dialog))
    return dialog


@pytest.fixture
def saved(qtbot, sands, tmp_path):
    """The same farm with a file of its own."""
    sands.desk.save_to(tmp_path / "farm.gpkg")
    qtbot.waitUntil(lambda: not sands.desk.jobs.is_busy())
    return tmp_path / "farm.gpkg"


def shows(window, name):
    combo = find(window, QComboBox, "layerCombo")
    return combo.currentText() == name and "raster" in [m.name for m in window.map.layers()]


def rows_of(dialog):
    table = find(dialog, QTableWidget, "mapWaysTable")
    return [
        [table.item(row, column).text() for column in range(table.columnCount())]
        for row in range(table.rowCount())
    ]


def test_the_ways_are_compared_and_the_advised_one_is_marked(dialog):
    rows = rows_of(dialog)
    assert [row[0] for row in rows] == [
        "one mean for the paddock", "zone means", "inverse distance", "kriging",
    ]  # fmt: skip
    assert [row[4] for row in rows] == ["", "", "", "advised"]
    assert {row[3] for row in rows} == {"63"}
    header = find(dialog, QTableWidget, "mapWaysTable").horizontalHeaderItem(1).text()
    assert header == "Typical difference, logarithms"
    assert find(dialog, QLabel, "mapAdvice").text().startswith("Advised: kriging")
    said = find(dialog, QPlainTextEdit, "mapSaid").toPlainText()
    assert "practical range" in said
    assert "skewed" in said


def test_the_menu_opens_it_too(qtbot, sands):
    action = find(sands, QAction, "mapResultAction")
    assert action.shortcut().toString() == "Ctrl+Shift+R"
    action.trigger()
    assert dialog_of(sands) is not None


def test_the_mean_is_saved_beside_the_farm_file_linked_and_shown(qtbot, saved, dialog, sands):
    press(qtbot, dialog, "mapMeanButton")
    qtbot.waitUntil(lambda: shows(sands, "Colwell P 0-10 cm"))
    (layer,) = sands.desk.document.season.layers
    assert layer.path == saved.parent / "two_mile_sands_colwell_p_0_10_cm_kriging.tif"
    assert layer.unit == "mg/kg"
    assert "Written and read back" in dialog.findChild(QWidget, "messageBar").text()
    assert find(dialog, QPlainTextEdit, "mapSaid").toPlainText().startswith("Scrub hill: mean ")
    undo = sands.desk.document.undo_stack
    assert undo.undoText() == "Map Colwell P 0-10 cm"
    undo.undo()
    assert sands.desk.document.season.layers == ()
    assert layer.path.exists()


def test_error_and_chance_come_from_the_same_file(qtbot, saved, dialog, sands):
    for name, shown in (
        ("mapMeanButton", "Colwell P 0-10 cm"),
        ("mapErrorButton", "Colwell P 0-10 cm, standard error"),
        ("mapChanceButton", "Colwell P 0-10 cm, chance below 35 mg/kg"),
        ("mapMeanButton", "Colwell P 0-10 cm"),
    ):
        press(qtbot, dialog, name)
        qtbot.waitUntil(lambda shown=shown: shows(sands, shown))
    layers = sands.desk.document.season.layers
    assert [layer.band for layer in layers] == [1, 2, 3]
    assert len({layer.path for layer in layers}) == 1
    sands.desk.save_to(saved)
    qtbot.waitUntil(lambda: not sands.desk.jobs.is_busy())
    assert read_farm(saved).seasons[SANDS].layers == layers


def test_another_critical_value_makes_another_file_and_no_older_one_is_lost(
    qtbot, saved, dialog, sands
):
    press(qtbot, dialog, "mapChanceButton")
    qtbot.waitUntil(lambda: shows(sands, "Colwell P 0-10 cm, chance below 35 mg/kg"))
    typed(qtbot, dialog, "mapCriticalBox", "20")
    press(qtbot, dialog, "mapChanceButton")
    qtbot.waitUntil(lambda: shows(sands, "Colwell P 0-10 cm, chance below 20 mg/kg"))
    assert len(list(saved.parent.glob("*.tif"))) == 2


def test_an_unsaved_farm_is_asked_for_a_place(qtbot, dialog, sands, monkeypatch, tmp_path):
    asked = []

    def answer(path):
        monkeypatch.setattr(
            QFileDialog, "getSaveFileName", lambda *given: (asked.append(given[2]), (path, ""))[1]
        )

    answer("")
    press(qtbot, dialog, "mapMeanButton")
    assert sands.desk.document.season.layers == ()
    assert asked[0].endswith("two_mile_sands_colwell_p_0_10_cm_kriging.tif")
    answer(str(tmp_path / "mine"))
    press(qtbot, dialog, "mapMeanButton")
    qtbot.waitUntil(lambda: shows(sands, "Colwell P 0-10 cm"))
    assert sands.desk.document.season.layers[0].path == tmp_path / "mine.tif"


def test_a_name_without_its_ending_replaces_nothing_unasked(
    qtbot, dialog, sands, monkeypatch, tmp_path
):
    (tmp_path / "mine.tif").write_bytes(b"mine")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "mine"), ""))
    press(qtbot, dialog, "mapMeanButton")
    assert "mine.tif exists already" in find(dialog, QWidget, "messageBar").text()
    assert not sands.desk.jobs.is_busy()
    assert (tmp_path / "mine.tif").read_bytes() == b"mine"


def test_a_critical_value_that_was_typed_stays_when_zones_change(qtbot, dialog, sands):
    typed(qtbot, dialog, "mapCriticalBox", "22")
    zones = sands.desk.document.season.zones
    sands.desk.document.edit(
        "Rename", lambda season: replace(season, zones=replace(zones, names=("A", "B", "C")))
    )
    qtbot.waitUntil(lambda: settled(sands, dialog))
    assert find(dialog, QDoubleSpinBox, "mapCriticalBox").value() == 22.0


def test_expert_settings_lie_behind_a_fold_and_compare_anew(qtbot, dialog, sands):
    fields = find(dialog, QWidget, "expertMapFields")
    assert not fields.isVisible()
    press(qtbot, dialog, "mapExpertFoldButton", QToolButton)
    assert fields.isVisible()
    first = dialog.study
    choose(qtbot, dialog, "mapScaleCombo", "values")
    qtbot.waitUntil(lambda: settled(sands, dialog) and dialog.study is not first)
    assert find(dialog, QTableWidget, "mapWaysTable").horizontalHeaderItem(1).text().endswith(
        "mg/kg"
    )  # fmt: skip
    typed(qtbot, dialog, "mapRatioBox", "0.5")
    typed(qtbot, dialog, "mapDirectionBox", "40")
    qtbot.waitUntil(
        lambda: (
            settled(sands, dialog)
            and "towards 40°" in find(dialog, QPlainTextEdit, "mapSaid").toPlainText()
        )
    )


def test_a_way_that_knows_no_error_offers_none_and_says_why(qtbot, dialog, sands):
    press(qtbot, dialog, "mapExpertFoldButton", QToolButton)
    choose(qtbot, dialog, "mapWayCombo", "inverse")
    qtbot.waitUntil(lambda: settled(sands, dialog))
    assert "Taken instead: inverse distance" in find(dialog, QLabel, "mapAdvice").text()
    assert find(dialog, QPushButton, "mapMeanButton").isEnabled()
    for name in ("mapErrorButton", "mapChanceButton"):
        button = find(dialog, QPushButton, name)
        assert not button.isEnabled()
        assert "no error" in button.toolTip()


def test_the_chance_waits_for_a_critical_value(qtbot, dialog):
    button = find(dialog, QPushButton, "mapChanceButton")
    assert button.isEnabled()  # the plan has one for Colwell P at 0-10 cm
    typed(qtbot, dialog, "mapCriticalBox", "0")
    assert not button.isEnabled()
    assert button.toolTip() == "Set a critical value first"


def test_zones_of_a_map_are_not_told_beside_another_study(qtbot, saved, dialog, sands):
    zones = sands.desk.document.season.zones
    press(qtbot, dialog, "mapMeanButton")
    sands.desk.document.edit(
        "Rename", lambda season: replace(season, zones=replace(zones, names=("A", "B", "C")))
    )
    qtbot.waitUntil(lambda: settled(sands, dialog), timeout=20_000)
    assert list(saved.parent.glob("*.tif"))  # the map itself was made
    said = find(dialog, QPlainTextEdit, "mapSaid").toPlainText()
    assert not any(f"{name}: mean" in said for name in zones.names)


def test_another_test_is_studied_and_takes_its_own_critical_value(qtbot, dialog, sands):
    choose(qtbot, dialog, "mapTestCombo", "pH")
    qtbot.waitUntil(lambda: settled(sands, dialog))
    assert dialog.study.analyte.key == "ph_cacl2"
    assert find(dialog, QDoubleSpinBox, "mapCriticalBox").text() == "none"
    assert find(dialog, QTableWidget, "mapWaysTable").horizontalHeaderItem(1).text() == (
        "Typical difference, pH"
    )


def test_a_running_map_can_be_stopped_from_the_window(qtbot, saved, dialog, sands):
    press(qtbot, dialog, "mapExpertFoldButton", QToolButton)
    typed(qtbot, dialog, "mapCellBox", "0.6")
    press(qtbot, dialog, "mapMeanButton")
    cancel = find(dialog, QPushButton, "mapCancelButton")
    qtbot.waitUntil(cancel.isVisible)
    qtbot.mouseClick(cancel, LEFT)
    qtbot.waitUntil(lambda: not sands.desk.jobs.is_busy(), timeout=30_000)
    qtbot.waitUntil(lambda: not cancel.isVisible())
    assert sands.desk.document.season.layers == ()
    assert not list(saved.parent.glob("*.tif"))


def test_without_positions_the_mend_is_offered(qtbot, window, monkeypatch):
    press(qtbot, window, "mapResultButton")
    assert dialog_of(window) is None
    assert "No sample of Long Bend has a position" in window.message.text()
    asked = []
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (asked.append(1), ("", ""))[1])
    (offer,) = [
        b for b in window.message.findChildren(QAbstractButton) if b.text() == "Open a lab sheet"
    ]
    qtbot.mouseClick(offer, LEFT)
    assert asked == [1]


def spoil(window, change):
    """Change the results of the samples of the open paddock."""

    def changed(season):
        columns = tuple(
            replace(column, values=change(column.values)) for column in season.tests.columns
        )
        return replace(season, tests=replace(season.tests, columns=columns))

    window.desk.document.edit("Spoil", changed)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda values: np.full(len(values), 12.0), "All samples have the same"),
        (lambda values: np.where(np.arange(len(values)) < 2, values, np.nan), "at least 3 samples"),
    ],
    ids=["alike", "two"],
)
def test_samples_that_bear_no_map_are_refused_in_its_own_window(qtbot, dialog, sands, change, told):
    spoil(sands, change)
    bar = find(dialog, QWidget, "messageBar")
    qtbot.waitUntil(lambda: bar.isVisible() and told in bar.text())
    assert rows_of(dialog) == []
    assert not find(dialog, QPushButton, "mapMeanButton").isEnabled()


def test_few_samples_show_zone_means_and_no_variogram(qtbot, dialog, sands):
    spoil(sands, lambda values: np.where(np.arange(len(values)) < 20, values, np.nan))
    qtbot.waitUntil(lambda: settled(sands, dialog))
    assert [row[0] for row in rows_of(dialog)] == ["one mean for the paddock", "zone means"]
    assert "20 samples do not bear kriging" in find(dialog, QLabel, "mapAdvice").text()
    plot = find(dialog, QWidget, "variogramPlot")
    assert plot.accessibleDescription().startswith("No variogram")


def test_it_follows_the_paddock_on_screen_and_goes_where_nothing_can_be_mapped(
    qtbot, dialog, sands
):
    document = sands.desk.document
    document.choose_season(document.farm.seasons[0].id)
    qtbot.waitUntil(lambda: dialog_of(sands) is None)


def test_the_plot_shows_dots_line_and_range(qtbot, dialog):
    plot = find(dialog, QWidget, "variogramPlot")
    assert "practical range" in plot.accessibleDescription()
    image = plot.grab().toImage()
    colors = {
        image.pixelColor(x, y).name() for x in range(image.width()) for y in range(image.height())
    }
    palette = plot.palette()
    assert palette.link().color().name() in colors
    assert palette.text().color().name() in colors


@pytest.mark.parametrize(
    ("highest", "ticks"),
    [
        (598.0, [0, 200, 400]),
        (0.62, [0, 0.2, 0.4, 0.6]),
        (1000.0, [0, 200, 400, 600, 800, 1000]),
        (8.0, [0, 2, 4, 6, 8]),
        (0.0, [0]),
    ],
)
def test_ticks_are_round(highest, ticks):
    assert round_ticks(highest) == ticks


def test_every_field_is_named_and_no_key_is_given_twice(dialog):
    for kind in (QComboBox, QDoubleSpinBox, QTableWidget, QPlainTextEdit):
        for field in dialog.findChildren(kind):
            assert field.accessibleName(), field.objectName()
    texts = [label.text() for label in dialog.findChildren(QLabel) if label.buddy()]
    texts += [button.text() for button in dialog.findChildren(QAbstractButton)]
    keys = [text[text.index("&") + 1].casefold() for text in texts if "&" in text]
    assert len(keys) == len(set(keys)), sorted(keys)
