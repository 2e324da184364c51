"""The ground on screen: a widget that shows layers at a place and scale, and only blits."""

import math
from collections.abc import Iterator, Sequence

from PySide6.QtCore import QEvent, QPointF, QSize, Qt, QTimer, Signal, Slot
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from vrxapp.desktop.map.decorations import Decorations, draw_focus
from vrxapp.desktop.map.label_art import LabelArt
from vrxapp.desktop.map.labels import LabelBoard
from vrxapp.desktop.map.layer import Layer, touches, union_of
from vrxapp.desktop.map.path_store import PathStore
from vrxapp.desktop.map.tiles import TileBoard
from vrxapp.desktop.map.view_transform import TILE_PX, Bounds, TileKey, ViewTransform
from vrxapp.legend import DARK, LIGHT, Legend, Scheme

KEYBOARD_REASONS = {
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
}
EMPTY_TEXT = "Nothing on the map yet"
#: Share of the map's width up to which the legend gets ground of its own.
MOST_FOR_LEGEND = 0.35


class MapSurface(QWidget):
    """Layers, legend, scale bar and north arrow; whoever moves the view calls it."""

    scale_changed = Signal(float)  # metres in one pixel of the widget
    view_changed = Signal()  # another part of the ground, or another scale
    sharpened = Signal()  # the last tile and label in view has been painted

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._layers: tuple[Layer, ...] = ()
        self._scheme = LIGHT
        self._view = ViewTransform()
        self._is_fitted = True
        self._is_hurried = False
        self._is_awaited = False
        self._shows_focus = False
        self._labels = LabelBoard()
        self._label_art = LabelArt(self.font().family(), self._scheme, 1.0)
        self._decorations = Decorations()
        self._kept_right_px = 0
        self._board = TileBoard(self)
        self._board.painted.connect(self._on_tile_painted)
        self._board.sharpened.connect(self._on_something_ready)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(160, 120)

    def layers(self) -> tuple[Layer, ...]:
        """The layers shown, the lowest first."""
        return self._layers

    def set_layers(self, layers: Sequence[Layer]) -> None:
        """Show layers, the lowest first; one that is the same object keeps its tiles.

        The view stays, unless nobody has moved it yet or the new ground lies elsewhere.
        """
        names = [layer.name for layer in layers]
        if len(set(names)) < len(names):
            raise ValueError(
                f"two layers of one name in {names}: signals could not tell them apart"
            )
        before, self._layers = self.ground(), tuple(layers)
        self._board.set_layers(self._layers)
        self._labels.set_layers(self._layers)
        ground = self.ground()
        if before is not None and ground is not None and not touches(before, ground):
            self._board.forget()
            self._is_fitted = True
        if self._is_fitted:
            self._show(self._fitted(self._view))
        self._refresh()

    def set_legend(self, legend: Legend | None) -> None:
        """Show a legend in the corner, or none."""
        self._decorations.set_legend(legend)
        self.update()

    def set_dark(self, is_dark: bool) -> None:  # noqa: FBT001 - a slot for a theme's switch
        """Show the ground in the colours of the dark or of the light scheme."""
        self._scheme = DARK if is_dark else LIGHT
        self._refresh()

    def ground(self) -> Bounds | None:
        """The ground that the layers cover [m], or None where there is nothing."""
        return union_of([layer.bounds for layer in self._layers])

    def view(self) -> ViewTransform:
        """What part of the ground is shown, and how large."""
        return self._view

    def scheme(self) -> Scheme:
        """The colours of the surroundings."""
        return self._scheme

    def paths(self) -> PathStore:
        """The outlines kept for the layers shown."""
        return self._board.paths

    def is_sharp(self) -> bool:
        """Whether all in view is painted, labels too, with no stand-in and no draft."""
        are_placed = self._labels.are_placed(self._view.rung, self._label_art)
        return are_placed and self._board.is_sharp(self._view)

    def fit(self) -> None:
        """Show all layers beside the legend, and go on so when the window changes its size."""
        self._is_fitted = True
        self._keep_clear_of_legend(self._view)
        self._show(self._fitted(self._view))

    def _keep_clear_of_legend(self, view: ViewTransform) -> None:
        """Give the legend ground of its own, unless that would take too much of a small map."""
        width = self._decorations.legend_width(view, self._scheme, self.font().family())
        self._kept_right_px = width if width < MOST_FOR_LEGEND * view.width_px else 0

    def _fitted(self, view: ViewTransform) -> ViewTransform:
        """A view that shows all layers; what an edit does to the legend moves nothing."""
        ground = self.ground()
        return view if ground is None else view.fitted(ground, right_px=self._kept_right_px)

    def center_on(self, easting_m: float, northing_m: float) -> None:
        """Bring a place on the ground to the middle, without another scale."""
        self._is_fitted = False
        self._show(self._view.centered_on(easting_m, northing_m))

    def pan_by(self, right: float, down: float) -> None:
        """Push the ground by pixels of the widget."""
        self._is_fitted = False
        ratio = self._view.pixel_ratio
        self._show(self._view.panned(round(right * ratio), round(down * ratio)))

    def zoom_by(self, rungs: int, at: QPointF | None = None) -> None:
        """Zoom in by rungs of the ladder (eight double the size), or out, around a pixel."""
        self._is_fitted = False
        pixel = (at or QPointF(self.width() / 2, self.height() / 2)) * self._view.pixel_ratio
        self._show(self._view.zoomed(rungs, pixel.x(), pixel.y()))

    def set_hurried(self, is_hurried: bool) -> None:  # noqa: FBT001 - a state, not a choice
        """Let drafts do while the ground is moving; the finished tiles follow at rest."""
        if is_hurried != self._is_hurried:
            self._is_hurried = is_hurried
            self._request()

    def show_focus(self) -> None:
        """Frame the map while the keys go here, because they are being used."""
        if not self._shows_focus:
            self._shows_focus = True
            self.update()

    def ground_at(self, position: QPointF) -> tuple[float, float]:
        """Easting and northing [m] under a pixel of the widget."""
        pixel = position * self._view.pixel_ratio
        return self._view.to_ground(pixel.x(), pixel.y())

    def sizeHint(self) -> QSize:
        """Large enough to work on."""
        return QSize(900, 640)

    def draw_over(self, painter: QPainter) -> None:
        """Draw what lies over the tiles and under the labels, in device pixels."""

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Blit tiles, then what lies over them; nothing is painted anew here."""
        view, family = self._view, self.font().family()
        with QPainter(self) as painter:
            painter.scale(1.0 / view.pixel_ratio, 1.0 / view.pixel_ratio)
            if self._layers:
                self._board.draw(painter, view)
                self.draw_over(painter)
                are_drawn = self._labels.draw(painter, view, self._label_art)
                self._decorations.draw(painter, view, self._scheme, family)
            else:
                self._draw_emptiness(painter)
            if self._shows_focus and self.hasFocus():
                draw_focus(painter, view, self._scheme)
        if self._layers and not are_drawn:
            # Not at once: what the user does comes first.
            QTimer.singleShot(0, self.update)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the middle in the middle, or all of the ground in view."""
        super().resizeEvent(event)
        self._measure()

    def event(self, event: QEvent) -> bool:
        """Follow the window to a screen of another density."""
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self._measure()
        return super().event(event)

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the font."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._refresh()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keys go, to whoever came here by keyboard."""
        super().focusInEvent(event)
        if event.reason() in KEYBOARD_REASONS:
            self._shows_focus = True
        elif event.reason() == Qt.FocusReason.MouseFocusReason:
            self._shows_focus = False
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that the keys go elsewhere."""
        super().focusOutEvent(event)
        self.update()

    def _measure(self) -> None:
        """Take over the widget's size and density."""
        ratio = self.devicePixelRatioF()
        size = math.ceil(self.width() * ratio), math.ceil(self.height() * ratio)
        view = self._view.resized(*size, ratio)
        self._keep_clear_of_legend(view)
        self._show(self._fitted(view) if self._is_fitted else view)

    def _show(self, view: ViewTransform) -> None:
        """Make a view current."""
        if view != self._view:
            before, self._view = self._view, view
            if view.metres_per_pixel != before.metres_per_pixel:
                self.scale_changed.emit(view.metres_per_pixel)
            self._refresh()
            self.view_changed.emit()

    def _refresh(self) -> None:
        """Have what is in view painted, in the present colours."""
        ratio, family = self._view.pixel_ratio, self.font().family()
        self._board.set_surroundings(self._scheme, ratio)
        if self._label_art.key != (family, self._scheme, ratio):
            self._label_art = LabelArt(family, self._scheme, ratio)
        self._request()
        self.update()

    def _request(self) -> None:
        """Queue the tiles and labels that are missing."""
        extra = {}
        if not self._labels.are_placed(self._view.rung, self._label_art):
            extra["labels", self._layers, self._view.rung, self._label_art.key] = self._placing
        is_work = self._board.request(self._view, is_draft=self._is_hurried, extra=extra)
        self._is_awaited = self._is_awaited or is_work

    def _placing(self) -> Iterator[None]:
        """Place the labels and show them."""
        yield from self._labels.place(self._view, self._label_art)
        self.update()
        self._on_something_ready()

    @Slot()
    def _on_something_ready(self) -> None:
        """Tell, once, that tiles and labels are both there."""
        if self._is_awaited and self.is_sharp():
            self._is_awaited = False
            self.sharpened.emit()

    @Slot(object)
    def _on_tile_painted(self, key: TileKey) -> None:
        """Show a new tile, if it belongs to this scale."""
        if key.rung == self._view.rung:
            ratio = self._view.pixel_ratio
            left = (key.column * TILE_PX - self._view.left_px) / ratio
            top = (key.row * TILE_PX - self._view.top_px) / ratio
            side = math.ceil(TILE_PX / ratio) + 1
            self.update(math.floor(left), math.floor(top), side, side)

    def _draw_emptiness(self, painter: QPainter) -> None:
        """Draw the bare background with a quiet word."""
        whole = self.rect()
        painter.save()
        painter.resetTransform()
        painter.fillRect(whole, QColor(self._scheme.background))
        painter.setPen(QColor(self._scheme.text))
        painter.drawText(whole, Qt.AlignmentFlag.AlignCenter, EMPTY_TEXT)
        painter.restore()
