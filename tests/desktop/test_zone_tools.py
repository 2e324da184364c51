"""Zones drawn and bent on the map with the mouse and with keys, as a person does it."""

import json
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QCheckBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QToolButton,
)

from vrxapp.desktop.season_layers import ZONES
from vrxapp.edits.zones import rename
from vrxapp.ground.zone_linework import OUTSIDE, edges_of, linework, nodes_of
from vrxapp.ground.zone_repair import do_tile
from vrxapp.shipped_files import shipped_folder

LEFT = Qt.MouseButton.LeftButton


def find(window, kind, name):
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


@pytest.fixture
def stage(qtbot, window):
    """The window with the Zones stage open."""
    qtbot.mouseClick(find(window, QToolButton, "zonesStageButton"), LEFT)
    assert find(window, QListWidget, "zoneList").isVisible()
    return window


def take(qtbot, window, tool):
    qtbot.mouseClick(find(window, QPushButton, f"{tool}ZoneButton"), LEFT)


def zones_of(window):
    return window.desk.document.season.zones


def tiled(window):
    season = window.desk.document.season
    return do_tile(season.zones, season.paddock)


def pixel(window, place):
    """The pixel of the map at a place on the ground."""
    view = window.map.view()
    return QPointF(*view.to_pixels(*place)).toPoint() / view.pixel_ratio


def click(qtbot, window, *places):
    for place in places:
        qtbot.mouseClick(window.map, LEFT, pos=pixel(window, place))


def drag(window, start, end):
    QTest.mousePress(window.map, LEFT, pos=start)
    for step in range(1, 6):
        QTest.mouseMove(window.map, start + (end - start) * step / 5)
    QTest.mouseRelease(window.map, LEFT, pos=end)


def movable(window):
    """A corner between two zones that is no node, and well inside."""
    lines = linework(zones_of(window).shapes)
    edges = edges_of(lines)
    outer = edges.ends[np.any(edges.sides == OUTSIDE, axis=1)]
    rows = np.setdiff1d(np.arange(len(lines.points)), [*outer.ravel(), *nodes_of(lines)])
    return tuple(lines.points[rows[len(rows) // 2]].tolist())


def across(window, name):
    """Two places west and east of a zone, with the zone between."""
    zones = zones_of(window)
    shape = zones.shapes[zones.names.index(name)]
    west, _, east, _ = shape.bounds
    north = shape.representative_point().y
    return (west - 20, north), (east + 20, north)


def test_a_zone_is_split_by_two_clicks_and_enter_and_undo_brings_it_back(qtbot, stage):
    before = zones_of(stage)
    stage.map.select(ZONES, before.names.index("Red rise"))
    take(qtbot, stage, "split")
    click(qtbot, stage, *across(stage, "Red rise"))
    qtbot.keyClick(stage.map, Qt.Key.Key_Return)
    assert "Red rise 2" in zones_of(stage).names
    assert tiled(stage)
    listed = find(stage, QListWidget, "zoneList")
    assert listed.count() == len(zones_of(stage).ids)
    stage.desk.document.undo_stack.undo()
    assert zones_of(stage) is before
    stage.desk.document.undo_stack.redo()
    assert "Red rise 2" in zones_of(stage).names


def test_a_line_whose_middle_lies_off_the_paddock_splits_the_zone_it_crosses(qtbot, stage):
    document = stage.desk.document
    document.choose_season(document.farm.seasons[1].id)  # a lane parts this paddock
    qtbot.mouseClick(find(stage, QPushButton, "wholePaddockButton"), LEFT)
    stage.map.fit()
    west, east = shapely.get_parts(document.season.paddock.boundary)
    if west.bounds[0] > east.bounds[0]:
        west, east = east, west
    y = (west.bounds[1] + west.bounds[3]) / 2
    ends = (west.bounds[0] - 20, y), (east.bounds[2] + 20, y)
    crossed = shapely.LineString(ends).intersection(document.season.paddock.boundary)
    lane_m = (crossed.geoms[0].bounds[2], crossed.geoms[1].bounds[0])
    middle = sum(lane_m) / 2  # both ends as far from the lane
    reach = min(middle - ends[0][0], ends[1][0] - middle)
    take(qtbot, stage, "split")
    click(qtbot, stage, (middle - reach, y), (middle + reach, y))
    qtbot.keyClick(stage.map, Qt.Key.Key_Return)
    assert len(zones_of(stage).ids) > 1
    assert tiled(stage)


def test_what_was_refused_is_forgotten_once_an_edit_can_be(qtbot, stage):
    document = stage.desk.document
    west, south, *_ = document.season.paddock.boundary.bounds
    stage.map.select(ZONES, None)
    take(qtbot, stage, "split")
    click(qtbot, stage, (west - 60, south - 40), (west - 30, south - 20))
    qtbot.keyClick(stage.map, Qt.Key.Key_Return)
    assert stage.message.isVisible()
    assert stage.message.text().startswith("No zone is chosen.")
    document.edit("Rename", partial(rename, zone="Creek flat", name="Creek"))
    assert not stage.message.isVisible()
    stage.message.tell("Saved.")
    document.undo_stack.undo()
    assert stage.message.isVisible()  # news stays until it is closed


def test_a_zone_is_drawn_and_finished_by_a_double_click(qtbot, stage):
    take(qtbot, stage, "draw")
    inner = zones_of(stage).shapes[1].representative_point()
    corners = [(inner.x + dx, inner.y + dy) for dx, dy in ((-60, -50), (70, -40), (60, 60))]
    click(qtbot, stage, *corners, (inner.x - 40, inner.y + 50))
    QTest.mouseDClick(stage.map, LEFT, pos=pixel(stage, (inner.x - 40, inner.y + 50)))
    zones = zones_of(stage)
    assert zones.names[-1] == "Zone 1"
    drawn = shapely.Polygon([*corners, (inner.x - 40, inner.y + 50)])
    assert zones.shapes[-1].area == pytest.approx(drawn.area, rel=0.1)
    assert tiled(stage)


def test_a_zone_is_cut_out_of_the_chosen_one_alone(qtbot, stage):
    zones = zones_of(stage)
    row = zones.names.index("Sandy top")
    others = [shape.area for k, shape in enumerate(zones.shapes) if k != row]
    stage.map.select(ZONES, row)
    take(qtbot, stage, "cut")
    west, south, east, north = zones.shapes[row].bounds
    middle = (south + north) / 2
    click(qtbot, stage, (west - 50, middle), (east + 90, middle), (east + 90, north + 90),
          (west - 50, north + 90))  # fmt: skip
    qtbot.keyClick(stage.map, Qt.Key.Key_Return)
    after = zones_of(stage)
    assert len(after.ids) == len(zones.ids) + 1
    kept = [s.area for i, s in zip(after.ids, after.shapes, strict=True) if i in zones.ids]
    del kept[row]
    assert kept == pytest.approx(others)
    assert tiled(stage)


def test_zones_are_merged_by_clicking_one_after_the_other(qtbot, stage):
    zones = zones_of(stage)
    stage.map.select(ZONES, zones.names.index("Red rise"))
    take(qtbot, stage, "merge")
    inner = zones.shapes[zones.names.index("Sandy top")].representative_point()
    click(qtbot, stage, (inner.x, inner.y))
    assert zones_of(stage).names == ("Creek flat", "Grey box slope", "Red rise")
    assert tiled(stage)
    assert stage.map.selected().row == 2


def test_a_shared_corner_is_dragged_and_both_zones_follow(qtbot, stage):
    before = zones_of(stage)
    place = movable(stage)
    take(qtbot, stage, "corners")
    start = pixel(stage, place)
    drag(stage, start, start + QPoint(9, 6))
    after = zones_of(stage)
    moved = [a is not b for a, b in zip(after.shapes, before.shapes, strict=True)]
    assert sum(moved) == 2
    assert tiled(stage)
    assert stage.desk.document.undo_stack.undoText() == "Move a corner"
    stage.desk.document.undo_stack.undo()
    assert zones_of(stage) is before


def test_a_corner_dragged_across_a_line_is_refused_in_words_and_stays(qtbot, stage):
    before = zones_of(stage)
    take(qtbot, stage, "corners")
    start = pixel(stage, movable(stage))
    drag(stage, start, QPoint(20, 20))
    assert zones_of(stage) is before
    assert stage.message.isVisible()
    assert stage.desk.document.undo_stack.count() == 0


def test_a_drag_beside_the_corners_pushes_the_map(qtbot, stage):
    take(qtbot, stage, "corners")
    view = stage.map.view()
    drag(stage, QPoint(20, 20), QPoint(60, 50))
    assert stage.map.view() != view
    assert stage.desk.document.undo_stack.count() == 0


def test_a_corner_is_put_in_by_a_double_click_and_taken_out_by_delete(qtbot, stage):
    lines = linework(zones_of(stage).shapes)
    edges = edges_of(lines)
    inner = edges.ends[np.all(edges.sides != OUTSIDE, axis=1)]
    length = np.hypot(*(lines.points[inner[:, 0]] - lines.points[inner[:, 1]]).T)
    middle = tuple(lines.points[inner[int(np.argmax(length))]].mean(axis=0).tolist())
    stage.map.center_on(*middle)
    stage.map.zoom_by(24)
    count = shapely.get_num_coordinates(zones_of(stage).shapes).sum()
    take(qtbot, stage, "corners")
    spot = pixel(stage, middle)
    QTest.mouseDClick(stage.map, LEFT, pos=spot)
    assert shapely.get_num_coordinates(zones_of(stage).shapes).sum() == count + 2
    QTest.mouseMove(stage.map, spot + QPoint(1, 0))
    qtbot.keyClick(stage.map, Qt.Key.Key_Delete)
    assert shapely.get_num_coordinates(zones_of(stage).shapes).sum() == count
    assert tiled(stage)


def test_a_corner_is_moved_without_a_mouse(qtbot, stage):
    before = zones_of(stage)
    take(qtbot, stage, "corners")
    stage.map.center_on(*movable(stage))
    stage.map.zoom_by(24)
    stage.map.center_on(*movable(stage))
    qtbot.keyClick(stage.map, Qt.Key.Key_Space)
    qtbot.keyClick(stage.map, Qt.Key.Key_Right)
    qtbot.keyClick(stage.map, Qt.Key.Key_Space)
    assert zones_of(stage) is not before
    assert tiled(stage)


def test_escape_gives_up_the_sketch_and_then_the_tool(qtbot, stage):
    take(qtbot, stage, "split")
    click(qtbot, stage, movable(stage))
    qtbot.keyClick(stage.map, Qt.Key.Key_Escape)
    assert stage.map.tool() is not None
    qtbot.keyClick(stage.map, Qt.Key.Key_Escape)
    assert stage.map.tool() is None
    assert not find(stage, QPushButton, "splitZoneButton").isChecked()


def test_another_stage_puts_the_tool_away(qtbot, stage):
    take(qtbot, stage, "draw")
    qtbot.mouseClick(find(stage, QToolButton, "ratesStageButton"), LEFT)
    assert stage.map.tool() is None
    assert not find(stage, QPushButton, "drawZoneButton").isChecked()


def test_a_zone_is_renamed_and_locked_and_then_refuses_edits(qtbot, stage):
    row = zones_of(stage).names.index("Red rise")
    stage.map.select(ZONES, row)
    field = find(stage, QLineEdit, "zoneNameField")
    assert field.text() == "Red rise"
    field.selectAll()
    qtbot.keyClicks(field, "Gravel cap")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert zones_of(stage).names[row] == "Gravel cap"
    box = find(stage, QCheckBox, "zoneLockBox")
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Space)
    assert zones_of(stage).locked_ids == {zones_of(stage).ids[row]}
    assert "locked" in find(stage, QListWidget, "zoneList").item(row).text()
    locked = zones_of(stage)
    take(qtbot, stage, "split")
    click(qtbot, stage, *across(stage, "Gravel cap"))
    qtbot.keyClick(stage.map, Qt.Key.Key_Return)
    assert zones_of(stage) is locked
    assert "'Gravel cap' is locked" in stage.message.text()


def test_zones_chosen_in_the_list_are_merged(qtbot, stage):
    listed = find(stage, QListWidget, "zoneList")
    listed.setFocus()
    listed.setCurrentRow(0)
    qtbot.keyClick(listed, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    qtbot.mouseClick(find(stage, QPushButton, "mergeChosenButton"), LEFT)
    assert zones_of(stage).names == ("Creek flat", "Red rise", "Sandy top")


def test_begin_anew_leaves_one_zone_and_the_sheet_tells_it_tiles(qtbot, stage):
    qtbot.mouseClick(find(stage, QPushButton, "wholePaddockButton"), LEFT)
    assert zones_of(stage).names == ("Whole paddock",)
    assert "without gap or overlap" in find(stage, QLabel, "zonesSummary").text()
    qtbot.mouseClick(find(stage, QPushButton, "mendZonesButton"), LEFT)
    qtbot.waitUntil(lambda: "nothing was to be mended" in stage.message.text())


def test_another_farm_takes_the_tools_over(qtbot, stage):
    take(qtbot, stage, "corners")
    stage.desk.open_sample()
    qtbot.waitUntil(lambda: not stage.desk.jobs.is_busy())
    assert stage.map.tool() is None
    qtbot.mouseClick(find(stage, QToolButton, "zonesStageButton"), LEFT)
    take(qtbot, stage, "corners")
    assert stage.map.tool() is not None


def test_a_zone_that_is_called_like_the_id_of_another_is_the_one_that_is_changed(qtbot, stage):
    other = zones_of(stage).ids[3]
    document = stage.desk.document
    document.edit("Rename", partial(rename, zone="Creek flat", name=other))
    stage.map.select(ZONES, 3)
    box = find(stage, QCheckBox, "zoneLockBox")
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Space)
    assert zones_of(stage).locked_ids == {other}
    assert zones_of(stage).names[3] == "Sandy top"


def test_zones_are_taken_from_a_file_and_what_was_mended_is_told(
    qtbot, stage, tmp_path, monkeypatch
):
    made = json.loads((shipped_folder("sample_fields") / "zones.geojson").read_text("utf-8"))
    made["features"] = made["features"][:3]
    path = tmp_path / "three.geojson"
    path.write_text(json.dumps(made))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    before = zones_of(stage)
    qtbot.mouseClick(find(stage, QPushButton, "zonesFromFileButton"), LEFT)
    qtbot.waitUntil(lambda: zones_of(stage) is not before, timeout=15_000)
    assert zones_of(stage).names[-1] == "Rest of the paddock"
    assert "lay in no zone" in stage.message.text()
    assert tiled(stage)
    stage.desk.document.undo_stack.undo()
    assert zones_of(stage) is before


def test_zones_that_overlap_are_mended_at_a_press_and_told(qtbot, stage):
    document = stage.desk.document
    zones = zones_of(stage)
    shapes = zones.shapes.copy()
    shapes[1] = shapes[1].buffer(2.0)
    spoilt = replace(zones, shapes=shapes)
    document.edit("Spoil", lambda season: replace(season, zones=spoilt))
    assert "press Mend" in find(stage, QLabel, "zonesSummary").text()
    qtbot.mouseClick(find(stage, QPushButton, "mendZonesButton"), LEFT)
    qtbot.waitUntil(lambda: tiled(stage), timeout=15_000)
    assert "overlapped" in stage.message.text()
    assert document.undo_stack.undoText() == "Mend the zones"


def test_zones_that_were_edited_meanwhile_are_not_overwritten(qtbot, stage):
    path = shipped_folder("sample_fields") / "zones.geojson"
    stage.desk.zones.open_zones(path)
    document = stage.desk.document
    document.edit("Rename", partial(rename, zone="Creek flat", name="Creek"))
    qtbot.waitUntil(lambda: not stage.desk.jobs.is_busy(), timeout=15_000)
    assert zones_of(stage).names[0] == "Creek"
    assert "were not used" in stage.message.text()
