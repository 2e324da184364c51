"""The tile board: what is painted, what stands in for it, and what is painted next."""

from collections.abc import Iterator
from functools import partial
from typing import NamedTuple

from PySide6.QtCore import QObject, QRect, Signal, Slot
from PySide6.QtGui import QColor, QPainter, QPixmap, QRegion

from vrxapp.desktop.map.frame import Frame, frame_of_tile
from vrxapp.desktop.map.layer import Layer, touches
from vrxapp.desktop.map.path_store import PathStore
from vrxapp.desktop.map.tile_store import LayerTiles, Sheet, SheetStore
from vrxapp.desktop.map.view_transform import (
    RUNGS_PER_DOUBLING,
    TILE_PX,
    TileKey,
    ViewTransform,
    pixels_per_metre,
)
from vrxapp.desktop.map.work_queue import Work, WorkQueue
from vrxapp.legend import LIGHT, Scheme

#: Sheets of at most this many other rungs stand in for a missing one.
MOST_STAND_IN_RUNGS = 3
#: Finer sheets than this would be too many to draw in one frame.
FINEST_STAND_IN = 2 * RUNGS_PER_DOUBLING


class SheetKey(NamedTuple):
    """What a piece of work paints: which tile, of which edition, how well."""

    tile: TileKey
    edition: int
    is_draft: bool


class TileBoard(QObject):
    """Paints tiles in slices, keeps them, and blits what it has."""

    painted = Signal(object)
    sharpened = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.paths = PathStore()
        self._layers: tuple[Layer, ...] = ()
        self._scheme = LIGHT
        self._pixel_ratio = 1.0
        self._edition = 0
        self._sheets = SheetStore()
        self._layer_tiles = LayerTiles()
        self._unsharp: set[TileKey] = set()
        self._needed = 0
        self._asked: object = None
        self._queue = WorkQueue(self)
        self._queue.finished.connect(self._on_work_finished)

    def set_layers(self, layers: tuple[Layer, ...]) -> None:
        """Show other layers; the same object as before keeps its tiles and its paths."""
        self._layers = layers
        self._layer_tiles.keep_only(layers)
        self.paths.keep_only([layer.geometries for layer in layers if hasattr(layer, "geometries")])
        self._start_edition()

    def set_surroundings(self, scheme: Scheme, pixel_ratio: float) -> None:
        """Paint with other colours, or for a screen of another density."""
        if (scheme, pixel_ratio) != (self._scheme, self._pixel_ratio):
            self._scheme, self._pixel_ratio = scheme, pixel_ratio
            self._layer_tiles.clear()
            self._sheets.clear()
            self._start_edition()

    def forget(self) -> None:
        """Drop every picture, so that nothing of an earlier paddock stands in."""
        self._sheets.clear()
        self._asked = None

    def request(self, view: ViewTransform, *, is_draft: bool, extra: dict[object, Work]) -> bool:
        """Have all tiles in view painted, then `extra` work, then a ring around the view.

        Tells whether something in view had still to be done.
        """
        visible = view.tiles()
        asked = (visible, self._edition, is_draft)
        if asked == self._asked and not extra:
            return False
        self._asked = asked
        ring = set(view.tiles(ring=1)).difference(visible)
        self._needed = len(visible) + len(ring)
        missing = [key for key in visible if not self._is_sharp(key, is_draft=is_draft)]
        spare = [key for key in ring if not self._is_sharp(key, is_draft=is_draft)]
        was_sharp, self._unsharp = not self._unsharp, set(missing)
        paint = partial(self._paint_sheet, view=view, is_draft=is_draft)
        edition = self._edition
        self._queue.replace(
            {SheetKey(key, edition, is_draft): partial(paint, key) for key in missing}
            | extra
            | {SheetKey(key, edition, is_draft): partial(paint, key) for key in spare}
        )
        if not missing and not was_sharp:
            self.sharpened.emit()
        return bool(missing or extra)

    def is_sharp(self, view: ViewTransform) -> bool:
        """Whether every tile in view shows the present layers, finished."""
        return all(self._is_sharp(key, is_draft=False) for key in view.tiles())

    def draw(self, painter: QPainter, view: ViewTransform) -> None:
        """Blit what is painted of a view, and stand-ins for what isn't."""
        missing = QRegion()
        for key in view.tiles():
            sheet = self._sheets.get(key)
            x, y = key.column * TILE_PX - view.left_px, key.row * TILE_PX - view.top_px
            if sheet is not None:
                painter.drawPixmap(x, y, sheet.pixmap)
            else:
                missing += QRect(x, y, TILE_PX, TILE_PX)
        if not missing.isEmpty():
            painter.save()
            painter.setClipRegion(missing)
            painter.fillRect(missing.boundingRect(), QColor(self._scheme.background))
            self._draw_stand_ins(painter, view, missing)
            painter.restore()

    def _draw_stand_ins(self, painter: QPainter, view: ViewTransform, missing: QRegion) -> None:
        """Draw scaled sheets of the nearest rungs that have any, the nearest last."""
        rungs = [rung for rung in self._sheets.rungs() if rung - view.rung <= FINEST_STAND_IN]
        rungs.sort(key=lambda rung: abs(rung - view.rung))
        found = []
        for rung in rungs:
            scale = pixels_per_metre(view.rung) / pixels_per_metre(rung)
            side = TILE_PX * scale
            blits = []
            for key in self._sheets.keys_at(rung):
                # Both edges are rounded the same way, so that neighbours meet.
                left, right = round(key.column * side), round((key.column + 1) * side)
                top, bottom = round(key.row * side), round((key.row + 1) * side)
                target = QRect(left - view.left_px, top - view.top_px, right - left, bottom - top)
                if missing.intersects(target):
                    blits.append((target, key))
            if blits:
                found.append(blits)
            if len(found) == MOST_STAND_IN_RUNGS:
                break
        for blits in reversed(found):
            for target, key in blits:
                sheet = self._sheets.get(key)
                if sheet is not None:
                    painter.drawPixmap(target, sheet.pixmap)

    @Slot(object)
    def _on_work_finished(self, key: object) -> None:
        """Tell of a new tile, and of the last one in view."""
        if isinstance(key, SheetKey):
            self.painted.emit(key.tile)
            if key.tile in self._unsharp:
                self._unsharp.discard(key.tile)
                if not self._unsharp:
                    self.sharpened.emit()

    def _start_edition(self) -> None:
        """Make all sheets outdated; they stand in until they are painted anew."""
        self._edition += 1
        self._queue.abandon()

    def _is_sharp(self, key: TileKey, *, is_draft: bool) -> bool:
        """Whether a tile shows the present layers, finished unless drafts will do."""
        sheet = self._sheets.get(key)
        if sheet is None or sheet.edition != self._edition:
            return False
        return is_draft or not sheet.is_draft

    def _paint_sheet(self, key: TileKey, view: ViewTransform, *, is_draft: bool) -> Iterator[None]:
        """Paint what is missing of a tile in each layer, then flatten the layers."""
        edition, layers = self._edition, self._layers
        drafts = [is_draft and layer.has_drafts for layer in layers]
        for layer, layer_is_draft in zip(layers, drafts, strict=True):
            if not self._layer_tiles.has(layer, key, is_draft=layer_is_draft):
                frame = frame_of_tile(key, view, self._scheme, self.paths, is_draft=layer_is_draft)
                yield from self._paint_layer(layer, key, frame)
        pixmap = QPixmap(TILE_PX, TILE_PX)
        pixmap.fill(QColor(self._scheme.background))
        with QPainter(pixmap) as painter:
            for layer, layer_is_draft in zip(layers, drafts, strict=True):
                tile = self._layer_tiles.get(layer, key, is_draft=layer_is_draft)
                if tile is not None:
                    painter.setOpacity(layer.opacity)
                    painter.drawPixmap(0, 0, tile)
        self._sheets.put(key, Sheet(pixmap, edition, any(drafts)), at_least=2 * self._needed)

    def _paint_layer(self, layer: Layer, key: TileKey, frame: Frame) -> Iterator[None]:
        """Paint one layer's part of a tile."""
        tile = None
        if touches(layer.bounds, frame.bounds(layer.margin_px * frame.pixel_ratio)):
            tile = QPixmap(TILE_PX, TILE_PX)
            tile.fill(QColor(0, 0, 0, 0))
            with QPainter(tile) as painter:
                yield from layer.paint(painter, frame)
        at_least = 2 * self._needed * len(self._layers)
        self._layer_tiles.put(layer, key, tile, is_draft=frame.is_draft, at_least=at_least)
