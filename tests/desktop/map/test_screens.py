"""Dense screens, and what the map may not load: both need a process of their own."""

import json
import os
import subprocess
import sys

import pytest

SCRIPT = """
import json, sys
import shapely
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QApplication
from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import EXCLUSION, Step

app = QApplication([])
app.setStyle("Fusion")
step = Step("60 kg/ha", "#8e4b97")
corner = 552_000.0, 6_241_000.0
box = shapely.box(*corner, corner[0] + 300.0, corner[1] + 200.0)
view = MapView()
view.resize(601, 401)
dam = shapely.box(corner[0] + 200.0, corner[1], corner[0] + 300.0, corner[1] + 200.0)
view.set_layers([ZoneLayer("zones", [box], (step,)), ZoneLayer("dams", [dam], (EXCLUSION,))])
view.show()
while not view.is_sharp():
    app.processEvents()
image = view.grab().toImage()
ratio = image.devicePixelRatio()
x, y = view.view().to_pixels(corner[0] + 150.0, corner[1] + 100.0)
edge = [image.pixelColor(round(x), row).name() for row in range(image.height() // 2)]
dam_x, dam_y = (round(px) for px in view.view().to_pixels(corner[0] + 220.0, corner[1] + 60.0))
row = [image.pixelColor(dam_x + i, dam_y).name() for i in range(70)]
repeats = [px for px in range(1, 65) if all(row[i] == row[i + px] for i in range(64 - px))]
loaded = {name.partition(".")[0] for name in sys.modules}
print(json.dumps({
    "ratio": ratio,
    "size": [image.width(), image.height()],
    "fill": image.pixelColor(round(x), round(y)).name(),
    "corners": [image.pixelColor(3, 3).name(), image.pixelColor(image.width() - 2, 3).name()],
    "dark_rows": sum(color == "#121a1c" for color in edge),
    "center": view.ground_at(QPointF(300.5, 200.5)),
    "hatch_repeats_px": min(repeats),
    "loaded": sorted(loaded),
}))
"""


def seen_at(scale):
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": scale}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    return json.loads(done.stdout)


@pytest.fixture(scope="module", params=["1", "1.25", "2"])
def seen(request):
    return {**seen_at(request.param), "scale": float(request.param)}


def test_every_pixel_of_a_dense_screen_is_painted(seen):
    assert seen["ratio"] == seen["scale"]
    assert seen["size"] == [round(601 * seen["scale"]), round(401 * seen["scale"])]
    assert seen["fill"] == "#8e4b97"
    assert seen["corners"] == ["#eef1ec", "#eef1ec"]


def test_an_outline_is_as_wide_to_the_eye_on_any_screen(seen):
    assert 1 <= seen["dark_rows"] <= 1.6 * seen["scale"] + 1


def test_hatching_is_about_as_wide_to_the_eye_on_any_screen(seen):
    assert seen["hatch_repeats_px"] == (32 if seen["scale"] >= 1.5 else 16)


def test_the_middle_of_the_ground_is_in_the_middle(seen):
    assert seen["center"] == pytest.approx([552_150.0, 6_241_100.0], abs=1.0)


def test_the_map_loads_nothing_heavy(seen):
    heavy = {"geopandas", "pandas", "rasterio", "pyogrio", "scipy", "sklearn", "matplotlib"}
    assert not heavy & set(seen["loaded"])
