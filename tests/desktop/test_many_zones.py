"""Many zones: the window goes on while their ground is cut, and shows the rates when it is."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from PySide6.QtWidgets import QLabel, QTableView

from vrxapp.desktop.document import MANY_CORNERS, FarmDocument, PlanPendingError
from vrxapp.edits.zones import merge
from vrxapp.errors import GroundError
from vrxapp.farm import with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones

EAST, NORTH = 682_000.0, 6_124_000.0


def many_zones(*, overlap_m=0.0):
    """Squares of one hectare, ten by ten, with a corner every metre."""
    shapes = [
        shapely.segmentize(shapely.box(x, y, x + 100 + overlap_m, y + 100), 1.0)
        for y in np.arange(NORTH, NORTH + 1000, 100)
        for x in np.arange(EAST, EAST + 1000, 100)
    ]
    names = tuple(f"Zone {number}" for number in range(1, 101))
    return Zones(names, names, np.array(shapes, dtype=object))


@pytest.fixture
def big_farm(sample):
    season = replace(
        sample.seasons[0],
        paddock=Paddock("Big", "EPSG:7855", shapely.box(EAST, NORTH, EAST + 1000, NORTH + 1000)),
        zones=many_zones(),
        strips=(),
        row_matches=(),
        layers=(),
    )
    assert shapely.get_num_coordinates(season.zones.shapes).sum() > MANY_CORNERS
    return with_season(sample, season)


@pytest.fixture
def document(qtbot, window, big_farm):
    """The document of a window that shows a hundred zones."""
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy(), timeout=20_000)
    window.desk.document.edit_farm("Many zones", lambda _: big_farm)
    return window.desk.document


def told(window):
    return window.findChild(QLabel, "zonesSummary").text()


def test_the_plan_is_pending_until_the_ground_is_cut(qtbot, window, document):
    with pytest.raises(PlanPendingError, match="being worked out"):
        document.plan()
    assert "Looking whether they cover it" in told(window)
    table = window.findChild(QTableView, "zoneTable")
    assert "being worked out" in table.model().index(0, 5).data()
    qtbot.waitUntil(lambda: "without gap or overlap" in told(window), timeout=20_000)
    assert document.plan().totals.zone_area_ha[0] == pytest.approx(1.0, rel=2e-3)
    assert table.model().index(0, 3).data() == "1.00"


def test_the_ground_of_the_newest_zones_is_what_comes(qtbot, window, document):
    document.edit("Merge", lambda season: merge(season, ("Zone 1", "Zone 2")))
    document.edit("Merge", lambda season: merge(season, ("Zone 1", "Zone 3")))
    qtbot.waitUntil(lambda: "without gap or overlap" in told(window), timeout=20_000)
    assert told(window).startswith("98 zones")
    assert document.plan().totals.zone_area_ha[0] == pytest.approx(3.0, rel=2e-3)


def test_ground_that_was_cut_once_is_at_hand_after_an_undo(qtbot, window, document):
    qtbot.waitUntil(lambda: "without gap or overlap" in told(window), timeout=20_000)
    document.edit("Merge", lambda season: merge(season, ("Zone 1", "Zone 2")))
    document.undo_stack.undo()
    assert len(document.plan().zone_names) == 100


def test_cutting_that_is_cancelled_begins_again_at_the_next_look(qtbot, window, document):
    window.desk.jobs.cancel()
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy(), timeout=20_000)
    if not document.is_ground_pending(document.season):
        return  # it was done before the wish to stop arrived
    with pytest.raises(PlanPendingError):
        document.plan()
    qtbot.waitUntil(lambda: not document.is_ground_pending(document.season), timeout=20_000)
    assert len(document.plan().zone_names) == 100


def test_ground_that_cannot_be_cut_is_refused_without_trying_again(qtbot, window, document):
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy(), timeout=20_000)
    document.edit("Overlap", lambda season: replace(season, zones=many_zones(overlap_m=5.0)))
    qtbot.waitUntil(lambda: "leave gaps, overlap" in told(window), timeout=20_000)
    with pytest.raises(GroundError, match="overlap by"):
        document.plan()
    assert not window.desk.jobs.is_busy()


def test_a_document_without_a_window_cuts_at_once(qapp, big_farm):
    assert len(FarmDocument(big_farm).plan().zone_names) == 100


def test_a_farm_that_is_opened_tells_no_error_while_its_ground_is_cut(
    qtbot, window, big_farm, tmp_path
):
    path = tmp_path / "big.gpkg"
    write_farm(big_farm, path)
    window.desk.open_farm(path)
    qtbot.waitUntil(lambda: "100 zones" in told(window), timeout=20_000)
    qtbot.waitUntil(lambda: "without gap or overlap" in told(window), timeout=20_000)
    assert "worked out" not in window.message.text()
