"""What is put on screen before a picture of it is taken: one function for each kind of scene."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QDialog,
    QListWidget,
    QPushButton,
    QTabWidget,
    QToolButton,
)
from shapely import LineString

from vrxapp.desktop.figures.look_up import LookUp
from vrxapp.desktop.figures.search_list import SearchList
from vrxapp.desktop.season_layers import ZONES
from vrxapp.desktop.zoning.layer_picks import LayerPicks
from vrxapp.edits.ground import add_points
from vrxapp.edits.guidance import add_guidance
from vrxapp.edits.layers import layer_called
from vrxapp.edits.sample_plan import set_sample_plan
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.match_rows import use_as_proposed
from vrxapp.workflows.sample_plan import planned_samples
from vrxapp.workflows.sample_settings import SampleSettings

CHOSEN_ZONE = 2


def stage(window, key: str, *, paddock: int = 0, layer: str = "", fold: str = ""):
    """A stage of a paddock, with a map layer below and a fold opened if they are asked for."""
    document = window.desk.document
    document.choose_season(document.farm.seasons[paddock].id)
    if layer:
        window.desk.layers.show_layer(layer_called(document.season, layer))
    window.map.select(ZONES, CHOSEN_ZONE)
    window.show_stage(key)
    if fold:
        button = window.findChild(QToolButton, fold)
        button.setChecked(True)
        QApplication.processEvents()
        window.sheets.currentWidget().ensureWidgetVisible(button.parentWidget())
    return window


def ground(window, part: str):
    """A part of the Ground stage, on a paddock with points, a guidance line and a sample plan."""
    stage(window, "ground")
    _mark_ground(window)
    parts = window.findChild(QTabWidget, "groundParts")
    titles = [parts.tabText(row).casefold() for row in range(parts.count())]
    parts.setCurrentIndex(titles.index(part))
    chosen = {
        "exclusions": ("exclusions", 1),
        "points": ("ground points", 2),
        "guidance": ("guidance", 0),
    }
    window.map.select(*chosen.get(part, (ZONES, None)))
    return window


def _mark_ground(window) -> None:
    document = window.desk.document
    west, south, east, _ = document.season.paddock.boundary.bounds
    points = [
        GroundPoint(name, kind, west + x, south + y, note)
        for name, kind, x, y, note in (
            ("South gate", GroundPointKind.GATE, 360.0, 10.0, "key at the house"),
            ("Heap by the track", GroundPointKind.DUMP_SITE, 700.0, 40.0, ""),
            ("Line to the pump", GroundPointKind.POWERLINE, 420.0, 700.0, "7 m clear"),
            ("Creek ford", GroundPointKind.FORD, 930.0, 640.0, ""),
            ("Soak", GroundPointKind.WET_PATCH, 640.0, 560.0, ""),
        )
    ]
    line = LineString([(west + 60, south + 250), (east - 60, south + 280)])
    guidance = [GuidanceLine("South fence", "24 m spreader", line, 24.0, 3.0)]
    document.edit("Mark", lambda season: add_points(season, points))
    document.edit("Guide", lambda season: add_guidance(season, guidance))
    settings = SampleSettings(stops=5, depth_cm="0-10")
    document.edit("Plan", lambda season: set_sample_plan(season, planned_samples(season, settings)))


def rates_dialog(window, button: str, dialog: str):
    """A dialog that a button of the Rates stage opens."""
    stage(window, "rates")
    window.findChild(QAbstractButton, button).click()
    QApplication.processEvents()
    return window.findChild(QDialog, dialog)


def look_up(window, page: str, chosen: str):
    """A page of the window for figures, rules and sources, with an example worked out."""
    LookUp(window).show_page(page)
    dialog = window.findChild(QDialog, "figuresDialog")
    lists = {one.search.objectName(): one for one in dialog.findChildren(SearchList)}
    lists[f"{page}Search"].choose(chosen)
    if page == "figures":
        dialog.findChild(QPushButton, "figureExampleButton").click()
    return dialog


def map_result(window):
    """The window that maps a result, over the grid samples of the second paddock."""
    sheet = lab_results(shipped_folder("sample_fields") / "two_mile_sands/lab_grid_samples.csv")
    document = window.desk.document
    document.edit_farm("Use the sheet", lambda farm: use_as_proposed(farm, sheet))
    document.choose_season(document.farm.seasons[1].id)
    window.findChild(QAction, "mapResultAction").trigger()
    dialog = window.findChild(QDialog, "mapResultDialog")
    dialog.findChild(QToolButton, "mapExpertFoldButton").click()
    return dialog


def zones_explained(window):
    """What the zones explain of the tests, over a map layer."""
    stage(window, "zones", layer="Apparent conductivity")
    window.desk.zones.judge()
    return window


def zones_from_data(window):
    """The window that makes zones from data, with zones that it made from two layers."""
    window.findChild(QAction, "zonesFromDataAction").trigger()
    dialog = window.findChild(QDialog, "zonesFromDataDialog")
    dialog.findChild(LayerPicks).add_sheet(
        shipped_folder("sample_fields") / "lab_georeferenced.csv"
    )
    while window.desk.jobs.is_busy():
        QApplication.processEvents()
    layers = dialog.findChild(QListWidget, "zoningLayers")
    layers.item(1).setCheckState(Qt.CheckState.Checked)
    dialog.findChild(QPushButton, "makeZonesButton").click()
    return dialog
