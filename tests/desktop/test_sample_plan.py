"""The sample plan on screen, and the whole way from a bare boundary to rates by zone."""

import json
from functools import partial

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QSpinBox,
    QTableView,
    QToolButton,
    QWidget,
)

from vrxapp.desktop.ground_layers import STOPS, WALK
from vrxapp.edits.ground import change_exclusion
from vrxapp.edits.zones import rename
from vrxapp.files.formats import read_features
from vrxapp.ground.sample_positions import SamplingDesign
from vrxapp.prescription.zone_results import row_places
from vrxapp.shipped_files import shipped_folder

LEFT = Qt.MouseButton.LeftButton
SAMPLE = shipped_folder("sample_fields")


def find(window, kind, name):
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


def press(qtbot, window, name):
    button = find(window, QPushButton, name)
    assert button.isVisible(), name
    qtbot.mouseClick(button, LEFT)


def type_into(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def choose_next(qtbot, window, name, times=1):
    combo = find(window, QComboBox, name)
    combo.setFocus()
    for _ in range(times):
        qtbot.keyClick(combo, Qt.Key.Key_Down)


def plan_of(window):
    return window.desk.document.season.sample_plan


def idle(qtbot, window):
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy(), timeout=20_000)


def planned(qtbot, window):
    press(qtbot, window, "planSamplesButton")
    idle(qtbot, window)
    return plan_of(window)


@pytest.fixture
def stage(qtbot, window):
    """The window with the sample plan open, by its own key."""
    qtbot.keyClick(
        window,
        Qt.Key.Key_P,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )
    assert find(window, QPushButton, "planSamplesButton").isVisible()
    return window


def test_a_plan_by_zone_is_kept_shown_in_walking_order_and_undone(qtbot, stage):
    type_into(qtbot, find(stage, QSpinBox, "sampleStopsSpinBox"), "3")
    type_into(qtbot, find(stage, QLineEdit, "sampleDepthField"), "0-10")
    plan = planned(qtbot, stage)
    assert plan.design is SamplingDesign.BY_ZONE
    assert len(plan.sample_ids) == 12
    assert set(plan.cores.tolist()) == {9}
    layers = {layer.name: layer for layer in stage.map.layers()}
    assert layers[STOPS].labels == tuple(map(str, range(1, 13)))
    walk = shapely.get_coordinates(layers[WALK].geometries[0])
    assert walk[:, 0] == pytest.approx(layers[STOPS].easting_m)
    told = find(stage, QLabel, "samplePlanText").text()
    assert told.startswith("12 stops, 108 cores, 0-10 cm deep, 4 bags")
    assert "27 cores or more hold the error of the mean to 20 %" in told
    stage.desk.document.undo_stack.undo()
    assert plan_of(stage) is None
    assert STOPS not in {layer.name for layer in stage.map.layers()}
    assert not find(stage, QPushButton, "saveSamplePlanButton").isEnabled()


def test_lines_and_their_bearing_are_asked_for_only_where_there_are_lines(qtbot, stage):
    lines = find(stage, QSpinBox, "sampleLinesSpinBox")
    assert not lines.isVisible()
    choose_next(qtbot, stage, "sampleDesignCombo", times=2)
    assert lines.isVisible()
    assert not find(stage, QCheckBox, "sampleBulkedBox").isVisible()
    type_into(qtbot, find(stage, QDoubleSpinBox, "sampleBearingSpinBox"), "45")
    type_into(qtbot, find(stage, QSpinBox, "sampleCoresSpinBox"), "8")
    plan = planned(qtbot, stage)
    assert plan.design is SamplingDesign.TRANSECTS
    assert len(plan.sample_ids) == 24 == len(set(plan.sample_ids))
    assert set(plan.cores.tolist()) == {8}


def test_what_few_need_lies_behind_a_fold_and_counts(qtbot, stage):
    edge = find(stage, QDoubleSpinBox, "sampleEdgeSpinBox")
    assert not edge.isVisible()
    qtbot.mouseClick(find(stage, QToolButton, "samplePlanMoreFoldButton"), LEFT)
    assert edge.isVisible()
    type_into(qtbot, edge, "80")
    type_into(qtbot, find(stage, QDoubleSpinBox, "sampleBandsSpinBox"), "0.3")
    plan = planned(qtbot, stage)
    (spots,) = [layer for layer in stage.map.layers() if layer.name == STOPS]
    edge_m = shapely.boundary(stage.desk.document.season.paddock.boundary)
    points = shapely.points(spots.easting_m, spots.northing_m)
    assert shapely.distance(edge_m, points).min() > 79.9
    assert "take 8 between the bands" in " ".join(plan.advice)


def test_what_cannot_be_planned_is_told_and_nothing_is_kept(qtbot, stage):
    qtbot.mouseClick(find(stage, QToolButton, "samplePlanMoreFoldButton"), LEFT)
    type_into(qtbot, find(stage, QDoubleSpinBox, "sampleEdgeSpinBox"), "500")
    press(qtbot, stage, "planSamplesButton")
    qtbot.waitUntil(stage.message.isVisible)
    assert "is left to sample" in stage.message.text()
    assert plan_of(stage) is None


@pytest.mark.parametrize(
    ("typed", "kind", "made"),
    [
        ("plan.html", "", "plan.html"),
        ("plan", "Waypoints for a phone (*.gpx)", "plan.gpx"),
        ("plan", "Table for the bags (*.csv)", "plan.csv"),
    ],
)
def test_a_plan_is_written_in_the_format_that_was_chosen(
    qtbot, stage, tmp_path, monkeypatch, typed, kind, made
):
    planned(qtbot, stage)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / typed), kind))
    press(qtbot, stage, "saveSamplePlanButton")
    qtbot.waitUntil(stage.message.isVisible, timeout=15_000)
    assert "read back" in stage.message.text()
    path = tmp_path / made
    if made.endswith(".html"):
        assert path.read_text("utf-8").count("\N{BALLOT BOX}") == 32 + 4
    else:
        layer = "waypoints" if made.endswith(".gpx") else ""
        assert len(read_features(path, layer=layer).shapes) == 32


def test_a_plan_replaces_no_file_that_the_dialog_did_not_ask_about(
    qtbot, stage, tmp_path, monkeypatch
):
    planned(qtbot, stage)
    (tmp_path / "plan.html").write_text("mine")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "plan"), ""))
    press(qtbot, stage, "saveSamplePlanButton")
    assert "plan.html exists already" in stage.message.text()
    assert not stage.desk.jobs.is_busy()
    assert (tmp_path / "plan.html").read_text() == "mine"


def test_what_no_longer_fits_the_ground_is_told(qtbot, stage):
    planned(qtbot, stage)
    document = stage.desk.document
    assert "excluded now" not in find(stage, QLabel, "samplePlanText").text()
    document.edit("Widen", partial(change_exclusion, row=0, setback_m=150.0))
    assert "excluded now" in find(stage, QLabel, "samplePlanText").text()
    document.edit("Rename", partial(rename, zone="Red rise", name="Gravel"))
    assert (
        "8 stops of the sample plan lie in another zone now"
        in find(stage, QLabel, "samplePlanText").text()
    )


def drop(window, path):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    action, button = Qt.DropAction.CopyAction, LEFT
    none = Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(600, 300), action, data, button, none)
    QApplication.sendEvent(window, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(window, QDropEvent(QPointF(600, 300), action, data, button, none))


def test_waypoints_dropped_on_the_window_become_ground_points(qtbot, window, tmp_path):
    path = tmp_path / "gates.gpx"
    path.write_text(
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
        '<wpt lat="-35.0952" lon="147.2010"><name>North gate</name></wpt>'
        '<rte><rtept lat="-35.09" lon="147.2"/><rtept lat="-35.1" lon="147.2"/></rte></gpx>'
    )
    drop(window, path)
    qtbot.waitUntil(lambda: window.desk.document.season.ground_points != (), timeout=15_000)
    listed = find(window, QListWidget, "groundPointList")
    assert listed.isVisible()
    assert [listed.item(i).text() for i in range(listed.count())] == ["North gate  ·  gate"]


def test_a_track_round_the_paddock_is_taken_for_its_boundary(qtbot, window, tmp_path):
    ring = json.loads((SAMPLE / "boundary.geojson").read_text("utf-8"))
    corners = ring["features"][0]["geometry"]["coordinates"][0]
    points = "".join(f'<trkpt lat="{y}" lon="{x}"/>' for x, y in corners)
    path = tmp_path / "round.gpx"
    path.write_text(
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><name>Ride</name><trkseg>{points}</trkseg></trk></gpx>"
    )
    drop(window, path)
    dialog = find(window, QWidget, "openFilesDialog")
    qtbot.waitUntil(dialog.isVisible)
    assert find(dialog, QLineEdit, "boundaryPathEdit").text() == str(path)
    dialog.reject()


def test_every_format_that_is_read_can_be_browsed_for(qtbot, window, monkeypatch):
    asked = []
    monkeypatch.setattr(
        QFileDialog, "getOpenFileName", lambda *given: asked.append(given[-1]) or ("", "")
    )
    qtbot.keyClick(window, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
    dialog = find(window, QWidget, "openFilesDialog")
    qtbot.waitUntil(dialog.isVisible)
    qtbot.mouseClick(find(dialog, QToolButton, "zonesBrowseButton"), LEFT)
    dialog.reject()
    assert {"*.gpx", "*.geojson", "*.shp", "*.kmz", "*.gpkg"} <= set(
        asked[0].partition("(")[2].rstrip(")").split()
    )


def pixel(window, place):
    view = window.map.view()
    return QPointF(*view.to_pixels(*place)).toPoint() / view.pixel_ratio


def split_zone(qtbot, window, name, line):
    """Split a zone by two clicks and Enter."""
    zones = window.desk.document.season.zones
    window.map.select("zones", zones.names.index(name))
    qtbot.mouseClick(find(window, QPushButton, "splitZoneButton"), LEFT)
    for place in line:
        qtbot.mouseClick(window.map, LEFT, pos=pixel(window, place))
    qtbot.keyClick(window.map, Qt.Key.Key_Return)
    qtbot.keyClick(window.map, Qt.Key.Key_Escape)


def open_boundary_alone(qtbot, window):
    """Open a farm from nothing but its boundary."""
    before = window.desk.document
    drop(window, SAMPLE / "boundary.geojson")
    dialog = find(window, QWidget, "openFilesDialog")
    qtbot.waitUntil(dialog.isVisible)
    type_into(qtbot, find(dialog, QDoubleSpinBox, "openYieldSpinBox"), "4")
    if window.desk.document is before and dialog.isVisible():
        buttons = find(dialog, QDialogButtonBox, "openFilesButtons")
        qtbot.mouseClick(buttons.button(QDialogButtonBox.StandardButton.Open), LEFT)
    qtbot.waitUntil(lambda: window.desk.document is not before, timeout=15_000)
    qtbot.waitUntil(window.map.is_sharp)


def test_from_a_bare_boundary_to_rates_by_zone_with_two_weeks_between(
    qtbot, window, tmp_path, monkeypatch
):
    open_boundary_alone(qtbot, window)
    assert window.desk.document.season.tests is None
    # draw six zones: two lines down, one across each third
    qtbot.mouseClick(find(window, QToolButton, "zonesStageButton"), LEFT)
    west, south, east, north = window.desk.document.season.paddock.boundary.bounds
    thirds = np.linspace(west, east, 4)[1:3]
    middle = (south + north) / 2
    for x in thirds:
        names = window.desk.document.season.zones.names
        split_zone(qtbot, window, names[0], ((x, south - 30), (x, north + 30)))
    across = ((west - 30, middle), (east + 30, middle))
    for name in window.desk.document.season.zones.names:
        split_zone(qtbot, window, name, across)
    zones = window.desk.document.season.zones
    assert len(zones.ids) == 6
    # plan, print, save
    qtbot.mouseClick(find(window, QToolButton, "groundStageButton"), LEFT)
    window.desk.ground.show_samples()
    type_into(qtbot, find(window, QLineEdit, "sampleDepthField"), "0-10")
    plan = planned(qtbot, window)
    assert set(plan.sample_ids) == set(zones.names)
    page, farm = tmp_path / "plan.html", tmp_path / "farm.gpkg"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(page), ""))
    press(qtbot, window, "saveSamplePlanButton")
    qtbot.waitUntil(page.exists, timeout=15_000)
    window.desk.save_to(farm)
    idle(qtbot, window)
    # two weeks later
    before = window.desk.document
    window.desk.open_farm(farm)
    qtbot.waitUntil(lambda: window.desk.document is not before, timeout=15_000)
    season = window.desk.document.season
    assert season.zones.names == zones.names
    results = {name: 8 + 5 * row for row, name in enumerate(zones.names)}
    lab = tmp_path / "results.csv"
    lines = [f"{bag},{value},80" for bag, value in results.items()]
    lab.write_text("\n".join(["Sample,Colwell P (mg/kg),PBI", *lines]))
    drop(window, lab)
    qtbot.waitUntil(lambda: window.desk.document.season.tests is not None, timeout=15_000)
    season = window.desk.document.season
    joined = row_places(season.tests, season.zones, season.paddock, season.row_matches).rows
    assert [season.zones.names[row] for row in joined] == list(results)
    assert season.tests.depths_cm == ("0-10",) * 6
    qtbot.mouseClick(find(window, QToolButton, "ratesStageButton"), LEFT)
    type_into(qtbot, find(window, QDoubleSpinBox, "buildUpFactorSpinBox"), "3")
    made = window.desk.document.plan()
    assert not any(made.reasons)
    heading = find(window, QTableView, "zoneTable").horizontalHeader()
    assert heading.sectionSize(1) >= heading.sectionSizeHint(1)  # the unit of the need is seen
    # the poorer the zone, the more it gets
    assert made.rates_kg_ha[0] > made.rates_kg_ha[1] > made.rates_kg_ha[-1] > 0
