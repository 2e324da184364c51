"""The Ground stage: exclusions and points drawn, changed and taken away as a person does it."""

import zipfile

import pytest
import shapely
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QTabWidget,
    QToolButton,
)

from vrxapp.desktop.ground_layers import GUIDANCE, POINTS
from vrxapp.desktop.season_layers import EXCLUSIONS, ZONES
from vrxapp.edits.guidance import add_guidance
from vrxapp.ground.guidance import GuidanceLine, bearing_degree
from vrxapp.ground.zone_repair import do_tile
from vrxapp.shipped_files import shipped_folder

LEFT = Qt.MouseButton.LeftButton


def find(window, kind, name):
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


def press(qtbot, window, name):
    button = find(window, QPushButton, name)
    assert button.isVisible(), name
    qtbot.mouseClick(button, LEFT)


def open_part(qtbot, window, title):
    parts = find(window, QTabWidget, "groundParts")
    row = next(i for i in range(parts.count()) if parts.tabText(i) == title)
    qtbot.mouseClick(parts.tabBar(), LEFT, pos=parts.tabBar().tabRect(row).center())
    assert parts.currentIndex() == row


@pytest.fixture
def stage(qtbot, window):
    """The window with the Ground stage open."""
    qtbot.mouseClick(find(window, QToolButton, "groundStageButton"), LEFT)
    assert find(window, QListWidget, "exclusionList").isVisible()
    return window


@pytest.fixture
def points(qtbot, stage):
    """The Ground stage with its points open."""
    open_part(qtbot, stage, "Points")
    return stage


def season_of(window):
    return window.desk.document.season


def exclusions_of(window):
    return season_of(window).paddock.exclusions


def pixel(window, place):
    view = window.map.view()
    return QPointF(*view.to_pixels(*place)).toPoint() / view.pixel_ratio


def click(qtbot, window, *places):
    for place in places:
        qtbot.mouseClick(window.map, LEFT, pos=pixel(window, place))


def inside(window, zone):
    zones = season_of(window).zones
    spot = zones.shapes[zones.names.index(zone)].representative_point()
    return spot.x, spot.y


def type_into(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def choose(qtbot, window, name, text):
    combo = find(window, QComboBox, name)
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_Home)
    while combo.currentText() != text:
        before = combo.currentIndex()
        qtbot.keyClick(combo, Qt.Key.Key_Down)
        assert combo.currentIndex() != before, text


def facts(window):
    return find(window, QLabel, "groundFacts").text()


def test_an_area_is_drawn_and_its_ground_is_spread_no_more(qtbot, stage):
    before, told = exclusions_of(stage), facts(stage)
    assert "78.56 ha to spread" in told
    choose(qtbot, stage, "exclusionKindCombo", "Trees")
    press(qtbot, stage, "areaExclusionButton")
    x, y = inside(stage, "Grey box slope")
    click(qtbot, stage, (x, y), (x + 60, y), (x + 60, y + 50), (x, y + 50))
    qtbot.keyClick(stage.map, Qt.Key.Key_Return)
    drawn = exclusions_of(stage)[-1]
    assert (len(exclusions_of(stage)), drawn.name, drawn.kind) == (
        len(before) + 1,
        "Trees",
        "trees",
    )
    assert drawn.shape.area == pytest.approx(3000, rel=0.15)
    assert facts(stage) != told
    assert stage.map.tool() is None
    assert find(stage, QListWidget, "exclusionList").currentRow() == len(before)
    assert stage.map.selected() == (EXCLUSIONS, len(before))
    assert do_tile(season_of(stage).zones, season_of(stage).paddock)
    stage.desk.document.undo_stack.undo()
    assert exclusions_of(stage) is before
    assert facts(stage) == told


def test_a_line_asks_for_its_setback_before_it_is_drawn(qtbot, stage):
    press(qtbot, stage, "lineExclusionButton")
    assert stage.map.tool() is None
    assert "without a setback" in stage.message.text()
    type_into(qtbot, find(stage, QDoubleSpinBox, "exclusionSetbackSpinBox"), "12")
    press(qtbot, stage, "lineExclusionButton")
    x, y = inside(stage, "Grey box slope")
    click(qtbot, stage, (x, y), (x + 80, y))
    QTest.mouseDClick(stage.map, LEFT, pos=pixel(stage, (x + 80, y)))
    drawn = exclusions_of(stage)[-1]
    assert (drawn.shape.geom_type, drawn.setback_m) == ("LineString", 12.0)


def test_the_exclusion_clicked_on_the_map_is_changed_and_removed(qtbot, stage):
    spot = exclusions_of(stage)[0].shape.representative_point()
    click(qtbot, stage, (spot.x, spot.y))
    listed = find(stage, QListWidget, "exclusionList")
    assert listed.currentRow() == 0
    name = find(stage, QLineEdit, "exclusionNameField")
    assert name.text() == "Slope dam"
    type_into(qtbot, name, "Old dam")
    type_into(qtbot, find(stage, QDoubleSpinBox, "exclusionSetbackSpinBox"), "35")
    choose(qtbot, stage, "exclusionKindCombo", "Other")
    changed = exclusions_of(stage)[0]
    assert (changed.name, changed.kind, changed.setback_m) == ("Old dam", "other", 35.0)
    assert listed.item(0).text().startswith("Old dam  ·  other, setback 35 m")
    press(qtbot, stage, "removeExclusionButton")
    assert [e.name for e in exclusions_of(stage)] == ["Bend creek", "Shade clump"]
    assert stage.desk.document.undo_stack.undoText() == "Remove an exclusion"


def test_a_setback_that_leaves_no_ground_is_refused_in_words(qtbot, stage):
    find(stage, QListWidget, "exclusionList").setCurrentRow(0)
    before = exclusions_of(stage)
    setback = find(stage, QDoubleSpinBox, "exclusionSetbackSpinBox")
    type_into(qtbot, setback, "5000")
    assert exclusions_of(stage) is before
    assert "no ground to spread" in stage.message.text()
    assert setback.value() == before[0].setback_m


def test_exclusions_cannot_be_chosen_where_a_click_means_the_zone(qtbot, stage):
    qtbot.mouseClick(find(stage, QToolButton, "ratesStageButton"), LEFT)
    spot = exclusions_of(stage)[0].shape.representative_point()
    click(qtbot, stage, (spot.x, spot.y))
    assert stage.map.selected().layer_name == ZONES


def test_exclusions_are_added_from_a_file(qtbot, stage, tmp_path, monkeypatch):
    path = tmp_path / "trees.csv"
    path.write_text("name,longitude,latitude\nBox,147.2045,-35.0985\nFar,147.9,-35.0\n")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    choose(qtbot, stage, "exclusionKindCombo", "Trees")
    type_into(qtbot, find(stage, QDoubleSpinBox, "exclusionSetbackSpinBox"), "8")
    press(qtbot, stage, "exclusionsFromFileButton")
    qtbot.waitUntil(lambda: len(exclusions_of(stage)) == 4, timeout=15_000)
    last = exclusions_of(stage)[-1]
    assert (last.name, last.kind, last.setback_m) == ("Box", "trees", 8.0)
    assert "lie outside this paddock" in stage.message.text()


def test_a_point_is_placed_moved_noted_and_removed(qtbot, points):
    choose(qtbot, points, "pointKindCombo", "Powerline")
    press(qtbot, points, "placePointButton")
    x, y = inside(points, "Red rise")
    click(qtbot, points, (x, y))
    (point,) = season_of(points).ground_points
    assert (point.name, point.kind) == ("Powerline", "powerline")
    assert shapely.Point(point.easting_m, point.northing_m).distance(shapely.Point(x, y)) < 4
    assert points.map.tool() is None
    assert points.map.selected() == (POINTS, 0)
    assert "overhead powerlines" in find(points, QLabel, "pointCautions").text()
    type_into(qtbot, find(points, QLineEdit, "pointNoteField"), "9 m high")
    press(qtbot, points, "movePointButton")
    click(qtbot, points, (x + 80, y))
    (moved,) = season_of(points).ground_points
    assert moved.note == "9 m high"
    assert moved.easting_m == pytest.approx(x + 80, abs=4)
    press(qtbot, points, "removePointButton")
    assert season_of(points).ground_points == ()
    for _ in range(4):
        points.desk.document.undo_stack.undo()
    assert season_of(points).ground_points == ()
    assert points.desk.document.undo_stack.isClean()


def test_a_point_is_placed_with_keys_alone(qtbot, points):
    press(qtbot, points, "placePointButton")
    qtbot.keyClick(points.map, Qt.Key.Key_Space)
    assert [p.kind for p in season_of(points).ground_points] == ["gate"]


def test_a_point_clicked_on_another_stage_opens_this_one(qtbot, points):
    press(qtbot, points, "placePointButton")
    spot = inside(points, "Sandy top")
    click(qtbot, points, spot)
    open_part(qtbot, points, "Exclusions")
    qtbot.mouseClick(find(points, QToolButton, "ratesStageButton"), LEFT)
    points.map.select(ZONES, 0)
    click(qtbot, points, spot)
    assert find(points, QListWidget, "groundPointList").isVisible()
    assert find(points, QListWidget, "groundPointList").currentRow() == 0


def test_waypoints_of_a_phone_become_points(qtbot, points, tmp_path, monkeypatch):
    path = tmp_path / "gates.gpx"
    path.write_text(
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
        '<wpt lat="-35.0952" lon="147.2010"><name>North gate</name></wpt></gpx>'
    )
    asked = []
    monkeypatch.setattr(
        QFileDialog, "getOpenFileName", lambda *a: asked.append(a) or (str(path), "")
    )
    press(qtbot, points, "pointsFromFileButton")
    qtbot.waitUntil(lambda: season_of(points).ground_points != (), timeout=15_000)
    assert [(p.name, p.kind) for p in season_of(points).ground_points] == [("North gate", "gate")]
    assert "*.gpx" in asked[0][-1]
    listed = find(points, QListWidget, "groundPointList")
    assert listed.item(0).text() == "North gate  ·  gate"


def test_another_part_and_another_stage_put_the_tool_away(qtbot, points):
    press(qtbot, points, "placePointButton")
    open_part(qtbot, points, "Exclusions")
    assert points.map.tool() is None
    press(qtbot, points, "areaExclusionButton")
    qtbot.mouseClick(find(points, QToolButton, "zonesStageButton"), LEFT)
    assert points.map.tool() is None
    assert not find(points, QPushButton, "areaExclusionButton").isChecked()


def test_an_empty_name_is_refused_and_the_old_one_stays(qtbot, stage):
    find(stage, QListWidget, "exclusionList").setCurrentRow(1)
    name = find(stage, QLineEdit, "exclusionNameField")
    type_into(qtbot, name, " ")
    assert "needs a name" in stage.message.text()
    assert name.text() == "Bend creek"


def test_another_paddock_lets_go_of_what_was_chosen(qtbot, stage):
    find(stage, QListWidget, "exclusionList").setCurrentRow(1)
    document = stage.desk.document
    document.choose_season(document.farm.seasons[1].id)
    assert find(stage, QListWidget, "exclusionList").currentRow() == -1
    assert facts(stage).startswith("Two Mile Sands")


def test_another_farm_takes_the_tools_over(qtbot, points):
    press(qtbot, points, "placePointButton")
    points.desk.open_sample()
    qtbot.waitUntil(lambda: not points.desk.jobs.is_busy())
    assert points.map.tool() is None
    qtbot.mouseClick(find(points, QToolButton, "groundStageButton"), LEFT)
    press(qtbot, points, "areaExclusionButton")
    assert points.map.tool() is not None


TASK = (
    '<ISO11783_TaskData VersionMajor="4"><PFD A="PFD1" C="Long Bend" D="0"><GGP A="GGP1">'
    '<GPN A="GPN1" B="North fence" C="1"><LSG A="5"><PNT A="6" C="-35.0990" D="147.1960"/>'
    '<PNT A="7" C="-35.0960" D="147.2040"/></LSG></GPN></GGP></PFD></ISO11783_TaskData>'
)


def test_guidance_is_taken_from_task_data_leads_the_sampling_lines_and_goes(
    qtbot, stage, tmp_path, monkeypatch
):
    path = tmp_path / "TASKDATA.XML"
    path.write_text(TASK)
    asked = []
    monkeypatch.setattr(
        QFileDialog, "getOpenFileName", lambda *given: asked.append(given) or (str(path), "")
    )
    open_part(qtbot, stage, "Guidance")
    type_into(qtbot, find(stage, QLineEdit, "guidanceMachineField"), "Spreader")
    type_into(qtbot, find(stage, QDoubleSpinBox, "guidanceSwathSpinBox"), "24")
    press(qtbot, stage, "guidanceFromFileButton")
    qtbot.waitUntil(lambda: season_of(stage).guidance != (), timeout=15_000)
    assert "*.xml" in asked[0][-1]
    (line,) = season_of(stage).guidance
    assert (line.name, line.machine, line.swath_m) == ("North fence", "Spreader", 24.0)
    listed = find(stage, QListWidget, "guidanceList")
    bearing = bearing_degree(line)
    assert listed.item(0).text() == (
        f"North fence  ·  Spreader  ·  straight, {bearing:.0f}°  ·  swath 24 m"
    )
    middle = line.line.interpolate(0.5, normalized=True)
    click(qtbot, stage, (middle.x, middle.y))
    assert stage.map.selected() == (GUIDANCE, 0)
    assert listed.currentRow() == 0
    open_part(qtbot, stage, "Samples")
    choose(qtbot, stage, "sampleDesignCombo", "On lines across it")
    along = find(stage, QComboBox, "sampleAlongCombo")
    along.setFocus()
    qtbot.keyClick(along, Qt.Key.Key_Down)
    assert find(stage, QDoubleSpinBox, "sampleBearingSpinBox").value() == pytest.approx(
        bearing, abs=0.06
    )
    open_part(qtbot, stage, "Guidance")
    press(qtbot, stage, "removeGuidanceButton")
    assert season_of(stage).guidance == ()
    open_part(qtbot, stage, "Samples")
    assert not along.isVisible()


def test_guidance_is_seen_on_its_own_stage_alone(qtbot, stage):
    spot = inside(stage, "Red rise")
    line = GuidanceLine("North", "", shapely.LineString([spot, (spot[0] + 90, spot[1])]))
    stage.desk.document.edit("Add", lambda season: add_guidance(season, [line]))
    assert GUIDANCE in {layer.name for layer in stage.map.layers()}
    qtbot.mouseClick(find(stage, QToolButton, "ratesStageButton"), LEFT)
    assert GUIDANCE not in {layer.name for layer in stage.map.layers()}


def test_task_data_dropped_on_the_window_becomes_guidance(qtbot, window, tmp_path):
    path = tmp_path / "job.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("TASKDATA/TASKDATA.XML", TASK)
    window.files_dropped.emit([str(path)])
    qtbot.waitUntil(lambda: season_of(window).guidance != (), timeout=15_000)
    assert find(window, QListWidget, "guidanceList").isVisible()
    assert [line.name for line in season_of(window).guidance] == ["North fence"]
    boundary = shipped_folder("sample_fields") / "boundary.geojson"
    window.files_dropped.emit([str(path), str(boundary)])
    assert "Drop it by itself" in window.message.text()
