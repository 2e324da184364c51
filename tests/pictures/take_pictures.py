"""Takes pictures of every stage of the window: light and dark, an ordinary and a dense screen.

Run it with ``bash .ci/pictures [FOLDER]``; it needs no screen.
"""

import os
import subprocess
import sys
import tempfile
from itertools import product
from pathlib import Path

LOOKS = ("light", "dark")
SCALES = {"1": "1280x720", "2": "2560x1440"}
SCENES = {
    "ground-exclusions": ("ground", 0, ""),
    "ground-points": ("ground", 0, ""),
    "ground-samples": ("ground", 0, ""),
    "ground-guidance": ("ground", 0, ""),
    "zones": ("zones", 0, ""),
    "tests": ("tests", 0, ""),
    "tests-estimates": ("tests", 1, ""),
    "rates": ("rates", 0, ""),
    "handover": ("handover", 0, ""),
    "other-paddock": ("rates", 1, ""),
    "map-layer": ("rates", 0, "Apparent conductivity"),
}
"""Stage, number of the paddock, and map layer of each picture."""
FIGURES = {"figures": "ece-by-line", "rules": "gypsum", "sources": "moody-2007"}
"""Page of the window for figures, and what is chosen on it."""
FOLDS = {"tests-estimates": "estimateFoldButton"}
"""A fold that is opened, and scrolled to, before the picture is taken."""
CHOSEN_ZONE = 2


def main() -> None:
    """Take all pictures, each in a process of its own, since the scale is set at the start."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "build/pictures").absolute()
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        for look, (scale, size), scene in product(LOOKS, SCALES.items(), (*SCENES, *FIGURES)):
            path = folder / f"{scene}-{look}-{size}.png"
            environment = {
                **os.environ,
                "QT_QPA_PLATFORM": "offscreen",
                "QT_SCALE_FACTOR": scale,
                "XDG_DATA_HOME": home,
                "XDG_CONFIG_HOME": home,
            }
            subprocess.run(
                [sys.executable, __file__, "--one", look, scene, path], env=environment, check=True
            )
            print(path)


def take_one(look: str, scene: str, path: str) -> None:
    """Open the window with the sample farm, show the scene, and take its picture."""
    from PySide6.QtWidgets import QToolButton

    from vrxapp.desktop.application import application, fill
    from vrxapp.desktop.main_window import MainWindow
    from vrxapp.desktop.season_layers import ZONES
    from vrxapp.edits.layers import layer_called

    app = application()
    window = MainWindow(is_dark=look == "dark")
    window.show()
    fill(window)
    if scene in FIGURES:
        take_figures(app, window, scene, path)
        return
    stage, paddock, layer = SCENES[scene]
    document = window.desk.document
    document.choose_season(document.farm.seasons[paddock].id)
    if layer:
        window.desk.layers.show_layer(layer_called(document.season, layer))
    window.map.select(ZONES, CHOSEN_ZONE)
    window.show_stage(stage)
    if scene in FOLDS:
        fold = window.findChild(QToolButton, FOLDS[scene])
        fold.setChecked(True)
        app.processEvents()
        window.sheets.currentWidget().ensureWidgetVisible(fold.parentWidget())
    if stage == "ground":
        mark_ground(window)
        open_ground_part(window, scene.partition("-")[2])
    while window.desk.jobs.is_busy() or not window.map.is_sharp():
        app.processEvents()
    app.processEvents()
    window.grab().save(path)


def take_figures(app, window, page: str, path: str) -> None:
    """Take a picture of the window for figures, with an example worked out."""
    from PySide6.QtWidgets import QDialog, QPushButton

    from vrxapp.desktop.figures.look_up import LookUp
    from vrxapp.desktop.figures.search_list import SearchList

    LookUp(window).show_page(page)
    dialog = window.findChild(QDialog, "figuresDialog")
    lists = {one.search.objectName(): one for one in dialog.findChildren(SearchList)}
    lists[f"{page}Search"].choose(FIGURES[page])
    if page == "figures":
        dialog.findChild(QPushButton, "figureExampleButton").click()
    while window.desk.jobs.is_busy():
        app.processEvents()
    app.processEvents()
    dialog.grab().save(path)


def mark_ground(window) -> None:
    """Give the sample paddock gates, a powerline, a guidance line and a plan of samples."""
    from shapely import LineString

    from vrxapp.edits.ground import add_points
    from vrxapp.edits.guidance import add_guidance
    from vrxapp.edits.sample_plan import set_sample_plan
    from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
    from vrxapp.ground.guidance import GuidanceLine
    from vrxapp.workflows.sample_plan import planned_samples
    from vrxapp.workflows.sample_settings import SampleSettings

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


def open_ground_part(window, part: str) -> None:
    """Open a part of the Ground sheet, with a row of it chosen."""
    from PySide6.QtWidgets import QTabWidget

    parts = window.findChild(QTabWidget, "groundParts")
    titles = [parts.tabText(row).casefold() for row in range(parts.count())]
    parts.setCurrentIndex(titles.index(part))
    layer, row = {
        "exclusions": ("exclusions", 1),
        "points": ("ground points", 2),
        "guidance": ("guidance", 0),
    }.get(part, ("zones", None))
    window.map.select(layer, row)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        take_one(*sys.argv[2:])
    else:
        main()
