"""Which labels are shown, and where: largest feature first, none over another.

Places are chosen once for each scale and for the whole map, not for the view, so a
label doesn't jump while the map is panned.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter

from vrxapp.desktop.map.label_anchors import Anchors, find_anchors
from vrxapp.desktop.map.label_art import LabelArt
from vrxapp.desktop.map.layer import Layer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.view_transform import ViewTransform, pixels_per_metre

#: A label may be this much wider than the circle of free ground it is put into.
WIDER_THAN_ROOM = 1.7
#: What halo, and space above and below the letters, add to their height.
AROUND_LETTERS_PX = 8.0
GAP_PX = 2.0
CELL_PX = 64
MOST_OBSTACLES = 5_000
MOST_NEW_PICTURES = 16
#: Labels placed for a scale this far from the present one are not shown.
FARTHEST_RUNGS = 6
#: How far a label may reach from the place it belongs to.
REACH_PX = 200
AT_ONCE = 50

Box = tuple[float, float, float, float]


class Label(NamedTuple):
    """A label in its place: the middle is some device pixels away from a place on the ground."""

    text: str
    easting_m: float
    northing_m: float
    right_px: float
    down_px: float


class LabelBoard:
    """The labels of all layers."""

    def __init__(self) -> None:
        self._layers: tuple[Layer, ...] = ()
        self._anchors: list[Anchors] = []
        self._is_anchored = self._is_placed = True
        self._labels: list[Label] = []
        self._places = np.empty((0, 2))
        self._placed_for: tuple[int, tuple[object, ...]] | None = None

    def set_layers(self, layers: tuple[Layer, ...]) -> None:
        """Label other layers; the old labels stay until the new ones have their places."""
        self._layers = layers
        self._is_anchored = self._is_placed = False

    def labels(self) -> tuple[Label, ...]:
        """All labels that have a place at the present scale, in view or not."""
        return tuple(self._labels)

    def are_placed(self, rung: int, art: LabelArt) -> bool:
        """Whether the labels suit a scale and a font, and are drawn."""
        return self._is_placed and self._placed_for == (rung, art.key)

    def place(self, view: ViewTransform, art: LabelArt) -> Iterator[None]:
        """Choose the labels for a scale and draw those in view, a few at a time."""
        if not self._is_anchored:
            found: list[Anchors] = []
            for layer in self._layers:
                yield from find_anchors(layer, found, self._anchors)
            self._anchors, self._is_anchored = found, True
        taken, rung = _TakenGround(), view.rung
        self._keep_markers_clear(taken, rung, art.pixel_ratio)
        labels: list[Label] = []
        for count, (anchors, i) in enumerate(_largest_first(self._anchors)):
            label = _placed(anchors, i, rung, art, taken)
            if label is not None:
                labels.append(label)
            if count % AT_ONCE == 0:
                yield
        self._labels, self._placed_for = labels, (rung, art.key)
        self._places = np.array([label[1:3] for label in labels], dtype=float).reshape(-1, 2)
        for i in self._in_view(view).tolist():
            art.picture(labels[i].text)
            yield
        self._is_placed = True

    def draw(self, painter: QPainter, view: ViewTransform, art: LabelArt) -> bool:
        """Blit the labels in view; tell whether all that belong there could be drawn.

        Right after a change of scale the labels of the scale before are shown, as
        long as they are not too far off. Only a few new pictures are made for one
        frame; the others follow in the next.
        """
        if not self._labels or abs(self._placed_for[0] - view.rung) > FARTHEST_RUNGS:
            return True
        new_pictures = 0
        for i in self._in_view(view).tolist():
            label = self._labels[i]
            if not art.has_picture(label.text):
                new_pictures += 1
                if new_pictures > MOST_NEW_PICTURES:
                    continue
            picture = art.picture(label.text)
            x, y = view.to_pixels(label.easting_m, label.northing_m)
            left = round(x + label.right_px - picture.width() / 2)
            top = round(y + label.down_px - picture.height() / 2)
            painter.drawPixmap(left, top, picture)
        return new_pictures <= MOST_NEW_PICTURES

    def _in_view(self, view: ViewTransform) -> NDArray[np.intp]:
        """Labels that may show in a view, those of larger features first."""
        reach_m = REACH_PX * view.pixel_ratio / view.pixels_per_metre
        west, south, east, north = view.bounds
        inside = np.abs(self._places[:, 0] - (west + east) / 2) < (east - west) / 2 + reach_m
        inside &= np.abs(self._places[:, 1] - (south + north) / 2) < (north - south) / 2 + reach_m
        return np.flatnonzero(inside)

    def _keep_markers_clear(self, taken: "_TakenGround", rung: int, pixel_ratio: float) -> None:
        """Take the ground of all markers, so that no label hides one."""
        metre = pixels_per_metre(rung)
        for layer in self._layers:
            if isinstance(layer, MarkerLayer) and len(layer.easting_m) <= MOST_OBSTACLES:
                known = np.isfinite(layer.boxes[:, 0])
                radius = layer.radius_px * pixel_ratio
                for x, y in zip(
                    (layer.easting_m[known] * metre).tolist(),
                    (-layer.northing_m[known] * metre).tolist(),
                    strict=True,
                ):
                    taken.take((x - radius, y - radius, x + radius, y + radius))


class _TakenGround:
    """Boxes on the screen that are taken, filed by the squares of a coarse grid."""

    def __init__(self) -> None:
        self._boxes: dict[tuple[int, int], list[Box]] = {}

    def is_free(self, box: Box) -> bool:
        """Whether a box meets none that is taken."""
        left, top, right, bottom = box
        return not any(
            left < other[2] and right > other[0] and top < other[3] and bottom > other[1]
            for square in _squares(box)
            for other in self._boxes.get(square, ())
        )

    def take(self, box: Box) -> None:
        """Let nothing else lie here."""
        for square in _squares(box):
            self._boxes.setdefault(square, []).append(box)


def _squares(box: Box) -> list[tuple[int, int]]:
    """Squares of the grid that a box touches."""
    left, top, right, bottom = (int(side // CELL_PX) for side in box)
    return [(x, y) for x in range(left, right + 1) for y in range(top, bottom + 1)]


def _largest_first(all_anchors: list[Anchors]) -> list[tuple[Anchors, int]]:
    """All anchors of all layers, those of larger features first."""
    listed = [
        (-size, anchors, i)
        for anchors in reversed(all_anchors)
        for i, size in enumerate(anchors.size.tolist())
    ]
    listed.sort(key=lambda entry: entry[0])
    return [(anchors, i) for _, anchors, i in listed]


def _placed(
    anchors: Anchors, i: int, rung: int, art: LabelArt, taken: _TakenGround
) -> Label | None:
    """The label, or at least its heading, at the first of its places that is free."""
    metre = pixels_per_metre(rung)
    gap = GAP_PX * art.pixel_ratio
    text = anchors.layer.labels[anchors.rows[i]]
    easting_m, northing_m = float(anchors.easting_m[i]), float(anchors.northing_m[i])
    for wording in dict.fromkeys((text, text.split("\n")[0])):
        size = art.size(wording)
        width, height = size.width() / 2 + gap, size.height() / 2 + gap
        for right, down in _offsets(anchors, i, size, art.pixel_ratio, metre):
            x, y = easting_m * metre + right, -northing_m * metre + down
            box = (x - width, y - height, x + width, y + height)
            if taken.is_free(box) and _is_inside(anchors, i, x / metre, -y / metre):
                taken.take(box)
                return Label(wording, easting_m, northing_m, right, down)
    return None


def _offsets(
    anchors: Anchors, i: int, size: QSize, pixel_ratio: float, metre: float
) -> list[tuple[float, float]]:
    """Places for a label around its anchor, the best first. [device pixel]"""
    if isinstance(anchors.layer, MarkerLayer):
        clear = (anchors.layer.radius_px + GAP_PX) * pixel_ratio + 1
        right, down = size.width() / 2 + clear, size.height() / 2 + clear
        return [(right, 0.0), (-right, 0.0), (0.0, -down), (0.0, down)]
    room_px = anchors.room_m[i] * metre
    if size.height() > 2 * room_px or size.width() > 2 * WIDER_THAN_ROOM * room_px:
        letters = size - QSize(0, round(AROUND_LETTERS_PX * pixel_ratio))
        return [(0.0, 0.0)] if _lies_along(anchors, i, letters, metre) else []
    line, half = size.height() / 2, size.width() / 2
    return [
        (0.0, 0.0),
        *((0.0, sign * many * line) for many in (1, 2) for sign in (-1, 1)),
        *((sign * half, down * line) for sign in (-1, 1) for down in (0, -1, 1)),
    ]


def _lies_along(anchors: Anchors, i: int, size: QSize, metre: float) -> bool:
    """Whether an area is narrow, but long enough for the letters to lie within it."""
    row = anchors.rows[i]
    west, _, east, _ = anchors.layer.boxes[row].tolist()
    if size.width() > (east - west) * metre:
        return False
    across_m, along_m = size.width() / 2 / metre, size.height() / 2 / metre
    x, y = anchors.easting_m[i], anchors.northing_m[i]
    box = shapely.box(x - across_m, y - along_m, x + across_m, y + along_m)
    return bool(shapely.contains(anchors.layer.geometries[row], box))


def _is_inside(anchors: Anchors, i: int, easting_m: float, northing_m: float) -> bool:
    """Whether a place still lies in the feature, where that has an inside."""
    if not np.isfinite(anchors.room_m[i]):
        return True
    geometry = anchors.layer.geometries[anchors.rows[i]]
    return bool(shapely.contains_xy(geometry, easting_m, northing_m))
