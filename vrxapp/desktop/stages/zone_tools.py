"""The tools of the Zones stage: what is drawn on the map becomes an edit of the season."""

from collections.abc import Callable
from enum import StrEnum
from functools import partial

import numpy as np
from PySide6.QtCore import QObject, Signal, Slot
from shapely import LineString, Point, Polygon, area, intersection, length
from shapely.geometry.base import BaseGeometry

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.map.corner_tool import CornerTool
from vrxapp.desktop.map.map_tool import MapTool, Place
from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.sketch_tool import PointTool, SketchTool
from vrxapp.edits.zones import (
    cut_from,
    draw,
    insert_vertex,
    merge,
    move_vertex,
    remove_vertex,
    split,
)
from vrxapp.errors import MissingInputError, VrxError
from vrxapp.season import Season

LONGEST_SNAP_M = 5.0
"""However far out the map is, nothing drawn is moved farther than this. [m]"""


class ZoneTool(StrEnum):
    """What a click on the map does."""

    DRAW = "draw"
    CUT = "cut"
    SPLIT = "split"
    MERGE = "merge"
    CORNERS = "corners"


class ZoneTools(QObject):
    """Gives the map its tools and turns what they tell into edits."""

    refused = Signal(object)  # the error
    tool_changed = Signal(str)  # key of the tool in hand, "" for none

    def __init__(self, document: FarmDocument, map_view: MapView, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._map = document, map_view
        self._chosen = -1
        self._corners = CornerTool(self)
        self._tools: dict[ZoneTool, MapTool] = {
            ZoneTool.DRAW: SketchTool(is_area=True, parent=self),
            ZoneTool.CUT: SketchTool(is_area=True, parent=self),
            ZoneTool.SPLIT: SketchTool(is_area=False, parent=self),
            ZoneTool.MERGE: PointTool(self),
            ZoneTool.CORNERS: self._corners,
        }
        self._tools[ZoneTool.DRAW].sketched.connect(self._on_drawn)
        self._tools[ZoneTool.CUT].sketched.connect(self._on_cut)
        self._tools[ZoneTool.SPLIT].sketched.connect(self._on_split)
        self._tools[ZoneTool.MERGE].pointed.connect(self._on_merge)
        self._corners.moved.connect(self._on_moved)
        self._corners.inserted.connect(self._on_inserted)
        self._corners.removed.connect(self._on_removed)
        map_view.tool_changed.connect(self._on_tool_changed)
        document.changed.connect(self._on_changed)
        self._on_changed(frozenset({"zones"}))

    def take_up(self, key: str) -> None:
        """Take a tool in hand; an empty key puts it away."""
        self._map.set_tool(self._tools[ZoneTool(key)] if key else None)
        if key:
            self._map.setFocus()

    def take_down(self) -> None:
        """Leave the map to another farm."""
        self._map.set_tool(None)
        self._map.tool_changed.disconnect(self._on_tool_changed)

    def choose(self, row: int) -> None:
        """Work on this zone, where a tool works on one; -1 for none."""
        self._chosen = row

    def edit(self, text: str, change: Callable[[Season], Season]) -> None:
        """Apply an edit, or tell why it cannot be."""
        try:
            self._document.edit(text, change)
        except VrxError as error:
            self.refused.emit(error)

    def _snap_m(self) -> float:
        return min(self._map.reach_m(), LONGEST_SNAP_M)

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if "zones" in parts:
            self._corners.set_shapes(self._document.season.zones.shapes)

    @Slot()
    def _on_tool_changed(self) -> None:
        held = self._map.tool()
        self.tool_changed.emit(next((str(k) for k, t in self._tools.items() if t is held), ""))

    @Slot(object)
    def _on_drawn(self, outline: Polygon) -> None:
        self.edit("Draw a zone", partial(draw, outline=outline, snap_m=self._snap_m()))

    @Slot(object)
    def _on_cut(self, outline: Polygon) -> None:
        zone = self._zone_for(outline)
        if zone:
            change = partial(cut_from, zone=zone, outline=outline, snap_m=self._snap_m())
            self.edit("Cut out a zone", change)

    @Slot(object)
    def _on_split(self, line: LineString) -> None:
        zone = self._zone_for(line)
        if zone:
            self.edit("Split a zone", partial(split, zone=zone, line=line, snap_m=self._snap_m()))

    @Slot(float, float)
    def _on_merge(self, easting_m: float, northing_m: float) -> None:
        zones, other = self._document.season.zones, self._zone_at(Point(easting_m, northing_m))
        if other < 0:
            return
        if not 0 <= self._chosen < len(zones.ids):
            self._map.select("zones", other)
        elif other != self._chosen:
            kept = zones.ids[self._chosen]
            names = (zones.names[self._chosen], zones.names[other])
            self.edit("Merge zones", partial(merge, names=names))
            self._map.select("zones", self._document.season.zones.ids.index(kept))

    @Slot(object, object)
    def _on_moved(self, at: Place, to: Place) -> None:
        self.edit("Move a corner", partial(move_vertex, at=at, to=to, reach_m=1e-3))

    @Slot(object)
    def _on_inserted(self, at: Place) -> None:
        self.edit("Put in a corner", partial(insert_vertex, at=at, reach_m=self._map.reach_m()))

    @Slot(object)
    def _on_removed(self, at: Place) -> None:
        self.edit("Take out a corner", partial(remove_vertex, at=at, reach_m=1e-3))

    def _zone_for(self, drawn: BaseGeometry) -> str:
        """Name of the chosen zone, else of the one in which most of what was drawn lies."""
        zones = self._document.season.zones
        if 0 <= self._chosen < len(zones.ids):
            return zones.names[self._chosen]
        traced = drawn if drawn.is_valid else drawn.boundary  # what crosses itself has no area
        shared = intersection(zones.shapes, traced)
        sizes = area(shared) if traced.area else length(shared)
        row = int(np.argmax(sizes)) if sizes.size else -1
        if row < 0 or sizes[row] <= 0.0:
            self.refused.emit(
                MissingInputError("no zone is chosen", mend="Choose the zone first, or draw in it")
            )
            return ""
        return zones.names[row]

    def _zone_at(self, place: Point) -> int:
        """Row of the zone at a place, -1 for none."""
        shapes = self._document.season.zones.shapes
        return next((row for row, shape in enumerate(shapes) if shape.intersects(place)), -1)
