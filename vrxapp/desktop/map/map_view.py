"""The map of the window: the moving ground, and the features on it that can be picked."""

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QPainter
from PySide6.QtWidgets import QWidget

from vrxapp.desktop.map.frame import frame_of_view
from vrxapp.desktop.map.highlight import bounds_of_row, draw_highlight, region_of_row
from vrxapp.desktop.map.layer import Layer
from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.picking import Feature, Picker
from vrxapp.desktop.map.tool_map import ToolMap
from vrxapp.desktop.map.zone_layer import ZoneLayer

REACH_PX = 9.0
FINE_REACH_PX = 5.0
KEYS_TEXT = (
    "Arrow keys pan, plus and minus zoom, Home shows everything. Tab and Shift Tab step "
    "through features, Enter opens one, Escape lets go of it, Control Tab leaves the map."
)
NOWHERE = Feature("", -1)


class MapView(ToolMap):
    """A map whose features can be hovered, picked, stepped through and opened."""

    feature_activated = Signal(str, int)  # layer and row that was clicked or opened by Enter
    feature_hovered = Signal(str, int)  # layer and row under the pointer, or "" and -1
    selection_changed = Signal(str, int)  # layer and row, or "" and -1

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._picker = Picker()
        self._selected: Feature | None = None
        self._hovered: Feature | None = None
        self._active_layer: str | None = None
        self.setObjectName("mapView")
        self.setAccessibleName("Paddock map")
        self.setAccessibleDescription(KEYS_TEXT)
        self.position_changed.connect(self._on_position_changed)
        self.pointer_left.connect(self._on_pointer_left)
        self.ground_clicked.connect(self._on_ground_clicked)

    def set_layers(self, layers: Sequence[Layer]) -> None:
        """Show layers, the lowest first; a selected row stays selected while there is one."""
        super().set_layers(layers)
        self._picker.set_layers(self.layers())
        self._hover(None)
        if self._selected is not None and self._layer_of(self._selected) is None:
            self._select(None)

    def set_active_layer(self, layer_name: str | None) -> None:
        """Let the Tab key step through one layer, or through the topmost that has features."""
        self._active_layer = layer_name

    def active_layer(self) -> str | None:
        """The layer that the Tab key steps through."""
        steppable = [layer.name for layer in self.layers() if _is_steppable(layer)]
        if self._active_layer in steppable:
            return self._active_layer
        return steppable[-1] if steppable else None

    def select(self, layer_name: str, row: int | None) -> None:
        """Select a row of a layer, or let go of what is selected in it."""
        if row is not None:
            feature = Feature(layer_name, row)
            if self._layer_of(feature) is None:
                raise ValueError(f"the map has no row {row} in a layer {layer_name!r}")
            self._select(feature)
        elif self._selected is not None and self._selected.layer_name == layer_name:
            self._select(None)

    def selected(self) -> Feature | None:
        """The layer's name and the row selected, or None."""
        return self._selected

    def draw_over(self, painter: QPainter) -> None:
        """Draw what is hovered, what is selected, and what the tool in hand shows."""
        if self._hovered is not None or self._selected is not None:
            self._draw_highlights(painter)
        self.draw_tool(painter)

    def _draw_highlights(self, painter: QPainter) -> None:
        """Draw what is hovered and what is selected."""
        frame = frame_of_view(self.view(), self.scheme(), self.paths())
        for feature in (self._hovered, self._selected):
            layer = self._layer_of(feature)
            if layer is not None:
                is_selected = feature == self._selected
                draw_highlight(painter, frame, layer, feature.row, is_selected=is_selected)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A tool first; Enter opens, Escape lets go, Control Tab leaves; the rest moves the map."""
        self.show_focus()
        if self.took_key(event):
            return
        key = event.key()
        if key in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and self._selected is not None:
            self.feature_activated.emit(*self._selected)
        elif key == Qt.Key.Key_Escape and self._selected is not None:
            self._select(None)
        elif key == Qt.Key.Key_Tab:
            super().focusNextPrevChild(True)  # noqa: FBT003 - Qt takes it by position
        elif key == Qt.Key.Key_Backtab:
            super().focusNextPrevChild(False)  # noqa: FBT003
        else:
            super().keyPressEvent(event)

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: A002, FBT001
        """Step to the next feature; after the last one the focus goes on."""
        row = self._row_after(1 if next else -1)
        if row is None:
            return super().focusNextPrevChild(next)
        self.show_focus()
        self._select(Feature(self.active_layer(), row))
        self._bring_into_view(self._selected)
        return True

    def _row_after(self, step: int) -> int | None:
        """The next row of the active layer that has a place, or None at its end."""
        name = self.active_layer()
        layer = next((layer for layer in self.layers() if layer.name == name), None)
        if layer is None:
            return None
        rows = np.flatnonzero(np.isfinite(layer.boxes[:, 0]))[::step]
        if self._selected is not None and self._selected.layer_name == name:
            rows = rows[rows * step > self._selected.row * step]
        return int(rows[0]) if len(rows) else None

    def _bring_into_view(self, feature: Feature) -> None:
        """Centre the map on a feature whose middle can't be seen."""
        bounds = bounds_of_row(self._layer_of(feature), feature.row)
        easting_m, northing_m = (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2
        west, south, east, north = self.view().bounds
        if not (west < easting_m < east and south < northing_m < north):
            self.center_on(easting_m, northing_m)

    def _layer_of(self, feature: Feature | None) -> Layer | None:
        """The layer that holds a feature, or None if that is gone."""
        for layer in self.layers() if feature is not None else ():
            if layer.name == feature.layer_name and 0 <= feature.row < layer.rows:
                return layer
        return None

    def _select(self, feature: Feature | None) -> None:
        """Make a feature the selected one."""
        if feature != self._selected:
            before, self._selected = self._selected, feature
            self._update_around(before, feature)
            self.setAccessibleDescription(self._spoken(feature))
            self.selection_changed.emit(*(feature or NOWHERE))

    def _hover(self, feature: Feature | None) -> None:
        """Make a feature the hovered one."""
        if feature != self._hovered:
            before, self._hovered = self._hovered, feature
            self._update_around(before, feature)
            self.feature_hovered.emit(*(feature or NOWHERE))

    def _update_around(self, *features: Feature | None) -> None:
        """Have the pixels around some features drawn again."""
        for feature in features:
            layer = self._layer_of(feature)
            if layer is not None:
                self.update(region_of_row(layer, feature.row, self.view()))

    def _spoken(self, feature: Feature | None) -> str:
        """What a screen reader says of the map: what is selected, and the keys."""
        if feature is None:
            return KEYS_TEXT
        labels = getattr(self._layer_of(feature), "labels", None)
        said = labels[feature.row].replace("\n", ", ") if labels is not None else ""
        return f"{said or f'{feature.layer_name} {feature.row + 1}'} selected. {KEYS_TEXT}"

    def _feature_at(self, easting_m: float, northing_m: float) -> Feature | None:
        """The feature that a place on the ground stands for."""
        metres_per_pixel = self.view().metres_per_pixel
        return self._picker.feature_at(
            easting_m,
            northing_m,
            reach_m=REACH_PX * metres_per_pixel,
            fine_reach_m=FINE_REACH_PX * metres_per_pixel,
        )

    @Slot(float, float)
    def _on_position_changed(self, easting_m: float, northing_m: float) -> None:
        is_busy = self.is_dragging() or self.tool() is not None
        self._hover(None if is_busy else self._feature_at(easting_m, northing_m))

    @Slot()
    def _on_pointer_left(self) -> None:
        self._hover(None)

    @Slot(float, float)
    def _on_ground_clicked(self, easting_m: float, northing_m: float) -> None:
        if self.tool() is not None:
            return
        feature = self._feature_at(easting_m, northing_m)
        self._select(feature)
        if feature is not None:
            self.feature_activated.emit(*feature)


def _is_steppable(layer: Layer) -> bool:
    """Whether the Tab key may step through a layer; millions of points are no steps."""
    return isinstance(layer, ZoneLayer | LineLayer | MarkerLayer) and layer.is_pickable
