"""The Zones sheet: which zones there are, their names and locks, and tools to draw them."""

from functools import partial

import numpy as np
from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.fold import Fold
from vrxapp.desktop.stages.row_list import RowList, put_buttons, put_tools
from vrxapp.desktop.stages.sheet_parts import add_row, faint, grown_form, heading, title
from vrxapp.desktop.stages.zone_tools import ZoneTool, ZoneTools
from vrxapp.edits.zones import begin_anew, lock, merge, rename, unlock
from vrxapp.ground.geodesic_area import KnownAreas, areas_ha_beside
from vrxapp.ground.zone_repair import do_tile
from vrxapp.ground.zones import Zones

_AREA_KEYS = "Enter or a double click finishes, Backspace takes a corner back, Esc ends."
_TOOLS = {
    ZoneTool.DRAW: ("&Draw", "Click round the new zone; it takes its ground from those there. "
                    + _AREA_KEYS),
    ZoneTool.CUT: ("Cut &out", "Click round the ground to cut out of the chosen zone alone. "
                   + _AREA_KEYS),
    ZoneTool.SPLIT: ("&Split", "Click a line from edge to edge of the chosen zone. " + _AREA_KEYS),
    ZoneTool.MERGE: ("&Merge", "Choose a zone, then click those that join it. Esc ends."),
    ZoneTool.CORNERS: ("Co&rners", "Drag a corner; a double click on an edge puts one in, Delete "
                       "takes out the one under the pointer. With keys: the space bar takes and "
                       "puts down the corner at the cross. Esc ends."),
}  # fmt: skip
_NO_TOOL = "Choose a zone on the map or in the list; choose a tool to change it."


class ZonesSheet(QWidget):
    """The zones as a list, and what can be done with them."""

    row_chosen = Signal(int)  # row of the zone
    file_requested = Signal()
    data_requested = Signal()
    worth_requested = Signal()
    mend_requested = Signal()

    def __init__(
        self, document: FarmDocument, tools: ZoneTools, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("zonesSheet")
        self._document, self._tools = document, tools
        self._areas: KnownAreas = (np.array([], dtype=object), np.array([]), "")
        self._summary = faint("", self, name="zonesSummary")
        self._list = RowList("zoneList", "Zones", self)
        self._list.setSelectionMode(RowList.SelectionMode.ExtendedSelection)
        self._name = QLineEdit(self)
        self._name.setObjectName("zoneNameField")
        self._lock = QCheckBox("&Locked: no edit changes it", self)
        self._lock.setObjectName("zoneLockBox")
        self._lock.setToolTip("Keep this zone from being changed")
        self._hint = faint(_NO_TOOL, self, name="zoneToolHint")
        self._worth = Fold("zoneWorth", self)
        self._lay_out()
        self._list.currentRowChanged.connect(self._on_row_changed)
        self._name.editingFinished.connect(self._on_named)
        self._lock.clicked.connect(self._on_locked)
        tools.tool_changed.connect(self._on_tool_changed)
        document.changed.connect(self._on_changed)
        self._show_season()

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Name", self._name, "What people call the zone; Enter renames it")
        layout = QVBoxLayout(self)
        layout.addWidget(title("Zones", self))
        layout.addWidget(self._summary)
        layout.addWidget(self._worth)
        layout.addWidget(self._list, 1)
        self._list.setMinimumHeight(96)
        layout.addLayout(form)
        layout.addWidget(self._lock)
        layout.addWidget(heading("Tools for the map", self))
        layout.addLayout(self._tool_buttons())
        layout.addWidget(self._hint)
        layout.addWidget(heading("All at once", self))
        layout.addLayout(self._other_buttons())

    def _tool_buttons(self) -> QGridLayout:
        grid = QGridLayout()
        self._buttons = put_tools(
            grid, self, _TOOLS, what="Zone", pressed=self._on_tool_pressed, columns=3
        )
        return grid

    def _other_buttons(self) -> QGridLayout:
        grid = QGridLayout()
        buttons = (
            ("mergeChosenButton", "Merge chosen", "Join the zones chosen in the list",
             self._on_merge_chosen),
            ("mendZonesButton", "Mend", "Close gaps and clear overlaps",
             self.mend_requested),
            ("wholePaddockButton", "Begin anew", "One zone over the whole paddock",
             self._on_begin_anew),
            ("zonesFromFileButton", "From a file…", "Take the zones from a file of shapes",
             self.file_requested),
            ("zonesFromDataButton", "Zones from data…",
             "Make zones from map layers, points, harvests or soil tests (Ctrl+Shift+D)",
             self.data_requested),
            ("zoneWorthButton", "What they explain",
             "What share of each soil test and map layer the zones explain",
             self.worth_requested),
        )  # fmt: skip
        put_buttons(grid, self, buttons)
        return grid

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if parts & {"zones", "paddock"}:
            self._show_season()
        elif "plan" in parts:
            self._summary.setText(_summary(self._document))
        if parts & {"zones", "paddock", "tests", "layers"}:
            self._worth.tell("", ())

    def show_worth(self, lines: tuple[str, ...]) -> None:
        """Tell what the zones explain, until they are changed."""
        self._worth.tell("What the zones explain", lines)
        self._worth.open()

    def _show_season(self) -> None:
        """List the zones; keep the chosen one chosen as long as it is there."""
        season = self._document.season
        self._list.show_lines(self._listed(season.zones, season.paddock.crs))
        self._summary.setText(_summary(self._document))
        self._show_zone()

    def _listed(self, zones: Zones, crs: str) -> list[str]:
        """One line a zone: name, area, lock; only the areas of other shapes are worked out."""
        self._areas = areas_ha_beside(zones.shapes, crs, before=self._areas)
        lines = zip(zones.names, zones.ids, self._areas[1], strict=True)
        return [
            f"{name}  ·  {hectares:,.2f} ha{'  ·  locked' if zone_id in zones.locked_ids else ''}"
            for name, zone_id, hectares in lines
        ]

    def _show_zone(self) -> None:
        """Write name and lock of the chosen zone."""
        zones, row = self._document.season.zones, self._list.currentRow()
        is_one = 0 <= row < len(zones.ids)
        self._name.setText(zones.names[row] if is_one else "")
        self._lock.setChecked(is_one and zones.ids[row] in zones.locked_ids)
        for field in (self._name, self._lock):
            field.setEnabled(is_one)
        self._tools.choose(row)

    @Slot(int)
    def show_row(self, row: int) -> None:
        """Choose the zone that the map has chosen; -1 for none."""
        if self._list.choose_untold(row):
            self._show_zone()

    @Slot(int)
    def _on_row_changed(self, row: int) -> None:
        self._show_zone()
        self.row_chosen.emit(row)

    @Slot()
    def _on_named(self) -> None:
        zones, row = self._document.season.zones, self._list.currentRow()
        name = self._name.text()
        if 0 <= row < len(zones.ids) and name != zones.names[row]:
            self._tools.edit("Rename a zone", partial(rename, zone=zones.names[row], name=name))
            self._show_zone()

    @Slot(bool)
    def _on_locked(self, is_locked: bool) -> None:  # noqa: FBT001 - Qt's signal
        zone = self._document.season.zones.names[self._list.currentRow()]
        change, word = (lock, "Lock") if is_locked else (unlock, "Unlock")
        self._tools.edit(f"{word} a zone", partial(change, zone=zone))

    def _on_tool_pressed(self, key: str) -> None:
        self._tools.take_up(key if self._buttons[key].isChecked() else "")

    @Slot(str)
    def _on_tool_changed(self, key: str) -> None:
        for name, button in self._buttons.items():
            button.setChecked(name == key)
        self._hint.setText(_TOOLS[ZoneTool(key)][1] if key else _NO_TOOL)

    @Slot()
    def _on_merge_chosen(self) -> None:
        zones = self._document.season.zones
        rows = sorted(index.row() for index in self._list.selectedIndexes())
        self._tools.edit("Merge zones", partial(merge, names=tuple(zones.names[r] for r in rows)))

    @Slot()
    def _on_begin_anew(self) -> None:
        self._tools.edit("Begin the zones anew", begin_anew)


def _summary(document: FarmDocument) -> str:
    """How many zones there are, and whether they tile the paddock."""
    season = document.season
    count = len(season.zones.ids)
    told = f"{count} zone{'' if count == 1 else 's'} in {season.paddock.name}"
    if document.is_ground_pending(season):
        return f"{told}. Looking whether they cover it…"
    if do_tile(season.zones, season.paddock):
        return f"{told}. They cover it without gap or overlap."
    return f"{told}. They leave gaps, overlap or reach beyond it: press Mend before you edit them."
