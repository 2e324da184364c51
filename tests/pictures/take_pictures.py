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
    "ground-exclusions": ("ground", "exclusions"),
    "ground-points": ("ground", "points"),
    "ground-samples": ("ground", "samples"),
    "ground-guidance": ("ground", "guidance"),
    "zones": ("stage", "zones"),
    "zones-explain": ("zones_explained",),
    "zones-from-data": ("zones_from_data",),
    "tests": ("stage", "tests"),
    "tests-estimates": ("stage", "tests", {"paddock": 1, "fold": "estimateFoldButton"}),
    "map-result": ("map_result",),
    "rates": ("stage", "rates"),
    "handover": ("stage", "handover"),
    "budget-by-curves": ("rates_dialog", "budgetCurvesButton", "curvesDialog"),
    "yield-from-water": ("rates_dialog", "yieldFromWaterButton", "waterDialog"),
    "other-paddock": ("stage", "rates", {"paddock": 1}),
    "map-layer": ("stage", "rates", {"layer": "Apparent conductivity"}),
    "figures": ("look_up", "figures", "ece-by-line"),
    "rules": ("look_up", "rules", "gypsum"),
    "sources": ("look_up", "sources", "moody-2007"),
}
"""Function of `scenes` for each picture, and what it is given."""


def main() -> None:
    """Take all pictures, each in a process of its own, since the scale is set at the start."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "build/pictures").absolute()
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        for look, (scale, size), scene in product(LOOKS, SCALES.items(), SCENES):
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
    import scenes

    from vrxapp.desktop.application import application, fill
    from vrxapp.desktop.main_window import MainWindow
    from vrxapp.desktop.map.map_view import MapView

    app = application()
    window = MainWindow(is_dark=look == "dark")
    window.show()
    fill(window)
    name, *given = SCENES[scene]
    named = given.pop() if given and isinstance(given[-1], dict) else {}
    shown = getattr(scenes, name)(window, *given, **named)
    app.processEvents()
    maps = shown.findChildren(MapView)
    while window.desk.jobs.is_busy() or not all(view.is_sharp() for view in maps):
        app.processEvents()
    app.processEvents()
    shown.grab().save(path)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        take_one(*sys.argv[2:])
    else:
        main()
