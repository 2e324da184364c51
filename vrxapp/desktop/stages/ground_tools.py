"""The tools of the Ground stage: what is drawn on the map is told to the sheet that asked."""

from collections.abc import Callable
from enum import StrEnum
from functools import partial

from PySide6.QtCore import QObject, Signal, Slot
from shapely import Point
from shapely.geometry.base import BaseGeometry

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.map.map_tool import MapTool
from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.sketch_tool import PointTool, SketchTool
from vrxapp.errors import VrxError
from vrxapp.season import Season


class GroundTool(StrEnum):
    """What a click on the map does."""

    AREA = "area"
    LINE = "line"
    PLACE = "place"
    MOVE = "move"


class GroundTools(QObject):
    """Gives the map its tools, tells what was drawn, and applies edits."""

    refused = Signal(object)  # the error
    tool_changed = Signal(str)  # key of the tool in hand, "" for none
    drawn = Signal(str, object)  # key of the tool, and a shapely geometry [m]

    def __init__(self, document: FarmDocument, map_view: MapView, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._map = document, map_view
        self._tools: dict[GroundTool, MapTool] = {}
        for key, is_area in ((GroundTool.AREA, True), (GroundTool.LINE, False)):
            sketch = SketchTool(is_area=is_area, parent=self)
            sketch.sketched.connect(partial(self._on_drawn, key))
            self._tools[key] = sketch
        for key in (GroundTool.PLACE, GroundTool.MOVE):
            pointer = PointTool(self)
            pointer.pointed.connect(partial(self._on_pointed, key))
            self._tools[key] = pointer
        map_view.tool_changed.connect(self._on_tool_changed)

    def take_up(self, key: str) -> None:
        """Take a tool in hand; an empty key puts it away."""
        self._map.set_tool(self._tools[GroundTool(key)] if key else None)
        if key:
            self._map.setFocus()

    def take_down(self) -> None:
        """Leave the map to another farm."""
        self._map.set_tool(None)
        self._map.tool_changed.disconnect(self._on_tool_changed)

    def edit(self, text: str, change: Callable[[Season], Season]) -> bool:
        """Apply an edit, or tell why it cannot be; whether it could."""
        try:
            self._document.edit(text, change)
        except VrxError as error:
            self.refused.emit(error)
            return False
        return True

    def choose(self, layer: str, row: int) -> None:
        """Mark a row of a layer on the map, where the map shows it; -1 for none."""
        shown = {known.name: known.rows for known in self._map.layers()}
        if row < shown.get(layer, 0):
            self._map.select(layer, row if row >= 0 else None)

    def _on_drawn(self, key: GroundTool, shape: BaseGeometry) -> None:
        self.drawn.emit(str(key), shape)

    def _on_pointed(self, key: GroundTool, easting_m: float, northing_m: float) -> None:
        self.drawn.emit(str(key), Point(easting_m, northing_m))

    @Slot()
    def _on_tool_changed(self) -> None:
        held = self._map.tool()
        self.tool_changed.emit(next((str(k) for k, t in self._tools.items() if t is held), ""))
