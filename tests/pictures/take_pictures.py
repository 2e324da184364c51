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
    "rates": ("rates", 0, ""),
    "handover": ("handover", 0, ""),
    "other-paddock": ("rates", 1, ""),
    "map-layer": ("rates", 0, "Apparent conductivity"),
}
"""Stage, number of the paddock, and map layer of each picture."""
DIALOGS = {
    "budget-by-curves": ("budgetCurvesButton", "curvesDialog"),
    "yield-from-water": ("yieldFromWaterButton", "waterDialog"),
}
"""A button of the Rates stage and the dialog that it opens, for pictures of dialogs alone."""
CHOSEN_ZONE = 2


def main() -> None:
    """Take all pictures, each in a process of its own, since the scale is set at the start."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "build/pictures").absolute()
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        for look, (scale, size), scene in product(LOOKS, SCALES.items(), (*SCENES, *DIALOGS)):
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
    """Open the window with the sample farm, choose a zone, and take its picture."""
    from PySide6.QtWidgets import QWidget

    from vrxapp.desktop.application import application, fill
    from vrxapp.desktop.main_window import MainWindow
    from vrxapp.desktop.season_layers import ZONES
    from vrxapp.edits.layers import layer_called

    app = application()
    window = MainWindow(is_dark=look == "dark")
    window.show()
    fill(window)
    stage, paddock, layer = SCENES.get(scene, ("rates", 0, ""))
    document = window.desk.document
    document.choose_season(document.farm.seasons[paddock].id)
    if layer:
        window.desk.layers.show_layer(layer_called(document.season, layer))
    window.map.select(ZONES, CHOSEN_ZONE)
    window.show_stage(stage)
    while window.desk.jobs.is_busy() or not window.map.is_sharp():
        app.processEvents()
    app.processEvents()
    shown = window
    if scene in DIALOGS:
        button, dialog = DIALOGS[scene]
        window.findChild(QWidget, button).click()
        app.processEvents()
        shown = window.findChild(QWidget, dialog)
    shown.grab().save(path)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        take_one(*sys.argv[2:])
    else:
        main()
