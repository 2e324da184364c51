"""Rasters under the zones: chosen, dropped, opened, taken out; told about when they are gone."""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import rasterio
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QInputDialog, QToolButton
from rasterio.transform import Affine

from vrxapp.farm import with_season
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.map_layers import link_raster

LAYERS = shipped_folder("sample_fields") / "layers"
CTRL = Qt.KeyboardModifier.ControlModifier


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


@pytest.fixture
def combo(window):
    return find(window, QComboBox, "layerCombo")


def choose(qtbot, combo, text):
    """Choose an entry as a user does who opens the list and clicks."""
    combo.showPopup()
    view = combo.view()
    spot = view.visualRect(combo.model().index(combo.findText(text), 0)).center()
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    combo.window().activateWindow()  # without a screen nobody else gives the keys back
    qtbot.waitUntil(combo.window().isActiveWindow)


def names(window):
    return [layer.name for layer in window.map.layers()]


def entries(combo):
    return [combo.itemText(i) for i in range(combo.count())]


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


def write_raster(path, season, *, bands=1, cell_m=25.0, value=7.0):
    """A raster of one value over a paddock."""
    west, south, east, north = season.paddock.boundary.bounds
    shape = (round((north - south) / cell_m) + 2, round((east - west) / cell_m) + 2)
    with rasterio.open(
        path, "w", driver="GTiff", height=shape[0], width=shape[1], count=bands, dtype="float32",
        crs=season.paddock.crs,
        transform=Affine(cell_m, 0.0, west - cell_m, 0.0, -cell_m, north + cell_m),
    ) as out:  # fmt: skip
        for band in range(1, bands + 1):
            out.write(np.full(shape, value * band, dtype="float32"), band)
            out.set_band_description(band, f"survey {band}")
    return path


def color_inside(window):
    """The colour of the map inside Red rise, under its label."""
    shape = window.desk.document.season.zones.shapes[2]
    spot = shape.representative_point()
    view = window.map.view()
    x, y = view.to_pixels(spot.x, spot.y)
    pixel = QPoint(round(x / view.pixel_ratio), round(y / view.pixel_ratio) + 45)
    return window.map.grab().toImage().pixelColor(pixel).name()


def test_a_layer_is_laid_under_the_zones_and_taken_off_again(qtbot, window, combo):
    assert entries(combo) == ["Rates only", "Apparent conductivity", "Vegetation index"]
    before, view = color_inside(window), window.map.view()
    choose(qtbot, combo, "Apparent conductivity")
    qtbot.waitUntil(lambda: names(window)[:2] == ["raster", "zones"])
    qtbot.waitUntil(window.map.is_sharp)
    assert color_inside(window) != before
    assert window.map.view() == view  # nothing moves
    legend = window.desk.layers._shown.classes.legend
    assert legend.title == "Apparent conductivity"
    assert all(step.label.endswith("mS/m") for step in legend.steps)
    choose(qtbot, combo, "Rates only")
    assert "raster" not in names(window)
    qtbot.waitUntil(window.map.is_sharp)
    assert color_inside(window) == before
    assert window.desk.document.undo_stack.count() == 0  # looking is no edit


def test_the_list_is_reached_and_used_by_keys_alone(qtbot, window, combo):
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_K, CTRL)
    assert combo.view().isVisible()
    assert combo.accessibleName() == "Map layer"
    assert "Ctrl+K" in combo.toolTip()
    qtbot.keyClick(combo.view(), Qt.Key.Key_Down)
    qtbot.keyClick(combo.view(), Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "raster" in names(window))


def test_a_layer_is_removed_and_undo_brings_it_back(qtbot, window, combo):
    remove = find(window, QToolButton, "removeLayerButton")
    assert not remove.isEnabled()
    choose(qtbot, combo, "Vegetation index")
    qtbot.waitUntil(lambda: "raster" in names(window))
    qtbot.mouseClick(remove, Qt.MouseButton.LeftButton)
    assert entries(combo) == ["Rates only", "Apparent conductivity"]
    assert "raster" not in names(window)
    assert window.desk.document.undo_stack.undoText() == "Remove map layer Vegetation index"
    qtbot.keyClick(window, Qt.Key.Key_Z, CTRL)
    assert entries(combo)[2] == "Vegetation index"


def test_a_dropped_raster_becomes_a_layer_of_the_paddock_on_screen(qtbot, window, combo, tmp_path):
    path = write_raster(tmp_path / "yield_map.tif", window.desk.document.season)
    drop(window, path)
    qtbot.waitUntil(lambda: "raster" in names(window))
    assert combo.currentText() == "survey 1"
    assert window.desk.document.season.layers[-1].path == path
    assert window.desk.document.undo_stack.undoText() == "Add map layer survey 1"


def test_a_raster_of_another_place_is_refused_in_words(qtbot, window, combo):
    qtbot.keyClick(window, Qt.Key.Key_PageDown, CTRL)
    assert not combo.isEnabled() or combo.count() == 1
    drop(window, LAYERS / "conductivity.tif")
    qtbot.waitUntil(window.message.isVisible)
    assert "nothing of the raster lies on the paddock 'Two Mile Sands'" in window.message.text()
    assert window.desk.document.season.layers == ()


def test_of_several_bands_one_is_asked_for(qtbot, window, combo, tmp_path, monkeypatch):
    path = write_raster(tmp_path / "two.tif", window.desk.document.season, bands=2)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    qtbot.keyClick(window, Qt.Key.Key_K, CTRL | Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: window.findChild(QInputDialog, "bandDialog") is not None)
    dialog = find(window, QInputDialog, "bandDialog")
    assert dialog.comboBoxItems() == ["1 survey 1", "2 survey 2"]
    choose(qtbot, dialog.findChild(QComboBox), "2 survey 2")
    qtbot.keyClick(dialog, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: combo.currentText() == "survey 2")
    assert window.desk.document.season.layers[-1].band == 2
    qtbot.waitUntil(lambda: window.desk.layers._shown is not None)
    assert window.desk.layers._shown.classes.legend.steps[0].label == "14"


def test_only_what_the_screen_can_show_is_read_and_more_when_it_comes_near(
    qtbot, window, combo, tmp_path
):
    season = window.desk.document.season
    drop(window, write_raster(tmp_path / "fine.tif", season, cell_m=0.5))
    qtbot.waitUntil(lambda: window.desk.layers._shown is not None, timeout=20_000)
    layers, view = window.desk.layers, window.map.view()
    first = layers._shown
    assert not first.is_finest
    assert first.pixels.pixels.size <= 1.1 * view.width_px * view.height_px
    window.map.zoom_by(24)
    qtbot.waitUntil(lambda: layers._shown is not first, timeout=20_000)
    near = layers._shown
    assert near.cell_m < first.cell_m
    assert near.classes is first.classes
    seen = window.map.view().bounds
    assert near.bounds[0] <= max(seen[0], season.paddock.boundary.bounds[0])
    assert near.pixels.pixels.size <= 4.4 * view.width_px * view.height_px
    window.map.pan_by(3_000, 0)
    qtbot.waitUntil(lambda: layers._shown is not near, timeout=20_000)


@pytest.mark.parametrize(("spoil", "said"), [("gone", "any more"), ("changed", "has changed")])
def test_a_file_that_is_gone_or_changed_is_told_and_the_farm_opens(
    qtbot, window, combo, tmp_path, sample, spoil, said
):
    path = tmp_path / "survey.tif"
    shutil.copy(LAYERS / "conductivity.tif", path)
    season = sample.seasons[0]
    layer = replace(season.layers[0], path=path)
    farm_file = tmp_path / "farm.gpkg"
    write_farm(with_season(sample, replace(season, layers=(layer,))), farm_file)
    if spoil == "gone":
        path.unlink()
    else:
        write_raster(path, season)
    drop(window, farm_file)
    qtbot.waitUntil(lambda: "farm.gpkg" in window.windowTitle())
    assert said in window.message.text()
    window.message.hide()
    choose(qtbot, combo, "Apparent conductivity")
    qtbot.waitUntil(window.message.isVisible)
    assert said in window.message.text()
    assert combo.currentText() == "Rates only"
    assert "raster" not in names(window)


def test_a_farm_and_its_rasters_can_move_together(tmp_path, sample):
    season = sample.seasons[0]
    (tmp_path / "one" / "maps").mkdir(parents=True)
    path = tmp_path / "one" / "maps" / "survey.tif"
    shutil.copy(LAYERS / "conductivity.tif", path)
    layer = replace(season.layers[0], path=path)
    farm = with_season(sample, replace(season, layers=(layer,)))
    write_farm(farm, tmp_path / "one" / "farm.gpkg")
    assert read_farm(tmp_path / "one" / "farm.gpkg").seasons[0].layers == (layer,)
    shutil.move(tmp_path / "one", tmp_path / "two")
    (moved,) = read_farm(tmp_path / "two" / "farm.gpkg").seasons[0].layers
    assert moved.path == Path(tmp_path / "two" / "maps" / "survey.tif")
    assert moved.path.is_file()


def test_a_raster_over_two_paddocks_stays_on_when_the_other_is_chosen(
    qtbot, window, combo, tmp_path, sample
):
    home, other = sample.seasons[:2]
    west, south, east, north = (
        pick(box) for pick, box in zip(
            (min, min, max, max),
            zip(home.paddock.boundary.bounds, other.paddock.boundary.bounds, strict=True),
            strict=True,
        )
    )  # fmt: skip
    path, cell_m = tmp_path / "both.tif", 50.0
    shape = (round((north - south) / cell_m), round((east - west) / cell_m))
    with rasterio.open(
        path, "w", driver="GTiff", height=shape[0], width=shape[1], count=1, dtype="float32",
        crs=home.paddock.crs, transform=Affine(cell_m, 0.0, west, 0.0, -cell_m, north),
    ) as out:  # fmt: skip
        out.write(np.arange(shape[0] * shape[1], dtype="float32").reshape(shape), 1)
    layer = link_raster(path, home.paddock)
    farm = sample
    for season in (home, other):
        farm = with_season(farm, replace(season, layers=(layer,)))
    window.desk._show(farm)
    choose(qtbot, combo, "both")
    qtbot.waitUntil(lambda: "raster" in names(window))
    first = window.desk.layers._shown
    qtbot.keyClick(window, Qt.Key.Key_PageDown, CTRL)
    assert "raster" not in names(window)  # never that of the other paddock
    qtbot.waitUntil(lambda: "raster" in names(window))
    assert combo.currentText() == "both"
    assert window.desk.layers._shown.paddock is window.desk.document.season.paddock
    ends = [s.classes.legend.steps[0].label for s in (first, window.desk.layers._shown)]
    assert ends[0] != ends[1]  # classes are those of each paddock


def test_two_rasters_of_one_name_are_told_apart(qtbot, window, combo, tmp_path):
    season = window.desk.document.season
    drop(
        window,
        write_raster(tmp_path / "a.tif", season),
        write_raster(tmp_path / "b.tif", season, value=8.0),
    )
    qtbot.waitUntil(lambda: entries(combo)[3:] == ["survey 1", "survey 1 (2)"])
