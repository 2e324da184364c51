"""A small ground in projected metres, and eyes for the pictures of it."""

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPoint
from PySide6.QtGui import QImage

from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import Step

EAST, NORTH = 552_000.0, 6_241_000.0
PLUM, GREEN, STRAW = Step("60", "#8e4b97"), Step("95", "#55ba87"), Step("150", "#fbec84")


class CountedLayer:
    """A layer that paints nothing and counts how often it was asked to."""

    name = "counted"
    rows = 0
    margin_px = 0.0
    opacity = 1.0

    def __init__(self, bounds, *, has_drafts=False):
        self.bounds = bounds
        self.has_drafts = has_drafts
        self.frames = []

    def paint(self, painter, frame):
        self.frames.append(frame)
        yield


@pytest.fixture
def counted_layer():
    """A layer that counts, made from its bounds."""
    return CountedLayer


@pytest.fixture
def place():
    """Easting and northing of metres from the south-west corner of the ground."""
    return lambda east, north: (EAST + east, NORTH + north)


@pytest.fixture
def block():
    """A rectangle in metres from the south-west corner of the ground."""
    return lambda west, south, east, north: shapely.box(
        EAST + west, NORTH + south, EAST + east, NORTH + north
    )


@pytest.fixture
def zones(block):
    """West and east halves of 400 m by 300 m; a dam is cut out of the eastern one."""
    east = block(200, 0, 400, 300).difference(block(260, 100, 340, 200))
    labels = ("West\n60 kg/ha", "East\n95 kg/ha")
    return ZoneLayer("zones", [block(0, 0, 200, 300), east], (PLUM, GREEN), (0, 1), labels)


@pytest.fixture
def unlabelled_zones(zones):
    """The same without labels, where pixels are counted."""
    return ZoneLayer("zones", zones.geometries, zones.styles, zones.style_of_row)


@pytest.fixture
def show_map(qtbot):
    """Shows layers in a map of a given size and waits until it is sharp."""

    def show(*layers, width=640, height=480):
        view = MapView()
        qtbot.addWidget(view)
        view.resize(width, height)
        view.set_layers(layers)
        with qtbot.waitExposed(view):
            view.show()
        qtbot.waitUntil(view.is_sharp)
        return view

    return show


@pytest.fixture
def pixel_of():
    """The pixel of the widget under metres from the corner of the ground."""

    def pixel(view, east, north):
        x, y = view.view().to_pixels(EAST + east, NORTH + north)
        ratio = view.devicePixelRatioF()
        return QPoint(round(x / ratio), round(y / ratio))

    return pixel


@pytest.fixture
def color_at(pixel_of):
    """The colour seen at metres from the corner of the ground, as "#rrggbb"."""

    def color(view, east, north):
        image = view.grab().toImage()
        return image.pixelColor(pixel_of(view, east, north) * image.devicePixelRatio()).name()

    return color


@pytest.fixture
def pixels_of():
    """All pixels of what the widget shows, as an array of rows, columns and RGB."""

    def pixels(widget):
        image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
        rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
        return rows[:, : 4 * image.width()].reshape(image.height(), -1, 4)[:, :, 2::-1].copy()

    return pixels


@pytest.fixture
def count_color(pixels_of):
    """How many pixels of a widget have exactly one colour."""

    def count(widget, color):
        wanted = [int(color[i : i + 2], 16) for i in (1, 3, 5)]
        return int((pixels_of(widget) == wanted).all(axis=2).sum())

    return count
