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


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        take_one(*sys.argv[2:])
    else:
        main()
