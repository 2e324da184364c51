"""Ground points: gates, dump sites, powerlines and others, placed and moved on the map."""

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker, Signal, Slot
from PySide6.QtWidgets import (
    QGridLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)
from shapely import Point

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.ground_layers import POINTS
from vrxapp.desktop.stages.ground_tools import GroundTool, GroundTools
from vrxapp.desktop.stages.row_list import RowList, put_buttons, put_tools
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, fill_combo, grown_form
from vrxapp.edits.ground import add_points, change_point, move_point, remove_point
from vrxapp.errors import MissingInputError
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind, cautions_for
from vrxapp.season import Season

_CHOSEN = "The fields are of the chosen point."
_NEXT = "With none chosen, the fields are for the next one that you place."
_TOOLS = {
    GroundTool.PLACE: ("&Place on map", "Click where it is; with keys, the space bar at the "
                       "cross. Esc ends."),
    GroundTool.MOVE: ("&Move", "Click where the chosen point belongs. Esc ends."),
}  # fmt: skip
_LIST_HEIGHT_PX = 132


class GroundPointFields(QWidget):
    """What whoever works in the paddock must find or keep away from."""

    file_requested = Signal(str)  # kind of those that tell none

    def __init__(
        self, document: FarmDocument, tools: GroundTools, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("groundPointFields")
        self._document, self._tools = document, tools
        self._list = RowList("groundPointList", "Ground points", self)
        self._list.setFixedHeight(_LIST_HEIGHT_PX)
        self._kind = combo_field("pointKindCombo", self)
        fill_combo(self._kind, [(kind.capitalize(), kind) for kind in GroundPointKind], "gate")
        self._name, self._note = QLineEdit(self), QLineEdit(self)
        self._name.setObjectName("pointNameField")
        self._note.setObjectName("pointNoteField")
        self._hint = faint(_NEXT, self, name="pointHint")
        self._cautions = faint("", self, name="pointCautions")
        self._lay_out()
        self._list.currentRowChanged.connect(self._on_row_changed)
        self._kind.activated.connect(self._on_edited)
        self._name.editingFinished.connect(self._on_edited)
        self._note.editingFinished.connect(self._on_edited)
        tools.tool_changed.connect(self._on_tool_changed)
        tools.drawn.connect(self._on_drawn)
        document.changed.connect(self._on_changed)
        self._show_season()

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Kind", self._kind, "What it marks")
        add_row(form, "&Name", self._name, "What people call it; empty: its kind")
        add_row(form, "N&ote", self._note, "Clearance, which key, whom to ring; the contractor "
                "reads it")  # fmt: skip
        grid = QGridLayout()
        self._buttons = put_tools(grid, self, _TOOLS, what="Point", pressed=self._on_tool_pressed)
        others = (
            ("pointsFromFileButton", "From a f&ile…", "Add waypoints of a phone (GPX) or "
             "points of another file; its fields kind, name and note count",
             self._on_file_pressed),
            ("removePointButton", "&Remove", "Take the chosen point away", self._on_remove),
        )  # fmt: skip
        self._buttons |= put_buttons(grid, self, others, row=1)
        layout = QVBoxLayout(self)
        layout.addWidget(self._list)
        layout.addLayout(form)
        layout.addLayout(grid)
        layout.addWidget(self._hint)
        layout.addWidget(self._cautions)
        layout.addStretch(1)

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if "ground_points" in parts:
            self._show_season()

    def _show_season(self) -> None:
        """List the points; keep the chosen one chosen as long as it is there."""
        points = self._document.season.ground_points
        self._list.show_lines([f"{p.name}  ·  {p.kind}" for p in points])
        self._cautions.setText("\n\n".join(cautions_for(points)))
        self._show_chosen()

    def _show_chosen(self) -> None:
        """Write what the chosen point is."""
        row, points = self._list.currentRow(), self._document.season.ground_points
        for name in ("removePointButton", str(GroundTool.MOVE)):
            self._buttons[name].setEnabled(row >= 0)
        self._hint.setText(_CHOSEN if row >= 0 else _NEXT)
        blocker = QSignalBlocker(self._kind)
        if row >= 0:
            self._kind.setCurrentIndex(self._kind.findData(points[row].kind))
        self._name.setText(points[row].name if row >= 0 else "")
        self._note.setText(points[row].note if row >= 0 else "")
        del blocker

    def kind(self) -> str:
        """The kind in the field: of the chosen point, or of the next one."""
        return str(self._kind.currentData())

    @Slot(int)
    def show_row(self, row: int) -> None:
        """Choose the point that the map has chosen; -1 for none."""
        if self._list.choose_untold(row):
            self._show_chosen()

    @Slot(int)
    def _on_row_changed(self, row: int) -> None:
        self._show_chosen()
        self._tools.choose(POINTS, row)

    @Slot()
    def _on_edited(self) -> None:
        """Give the chosen point what the fields say."""
        row = self._list.currentRow()
        if row < 0:
            return
        name, before = self._name.text().strip(), self._document.season.ground_points[row]
        if not name:
            self._tools.refused.emit(MissingInputError("a point needs a name", mend="Give it one"))
            self._show_chosen()
            return
        kind = GroundPointKind(self._kind.currentData())
        after = replace(before, name=name, kind=kind, note=self._note.text().strip())
        change = partial(change_point, row=row, point=after)
        if after != before and not self._tools.edit("Change a ground point", change):
            self._show_chosen()

    def _on_tool_pressed(self, key: str) -> None:
        if key == GroundTool.PLACE and self._buttons[key].isChecked():
            self._list.setCurrentRow(-1)
        self._tools.take_up(key if self._buttons[key].isChecked() else "")

    @Slot(str)
    def _on_tool_changed(self, key: str) -> None:
        for tool, (_, tip) in _TOOLS.items():
            self._buttons[tool].setChecked(tool == key)
            if tool == key:
                self._hint.setText(tip)
        if key not in set(_TOOLS):
            self._hint.setText(_CHOSEN if self._list.currentRow() >= 0 else _NEXT)

    @Slot(str, object)
    def _on_drawn(self, key: str, spot: Point) -> None:
        row = self._list.currentRow()
        if key == GroundTool.MOVE and row >= 0:
            change = partial(move_point, row=row, easting_m=spot.x, northing_m=spot.y)
            if self._tools.edit("Move a ground point", change):
                self._tools.take_up("")
        elif key == GroundTool.PLACE:
            kind = GroundPointKind(self._kind.currentData())
            name = self._name.text().strip() or kind.capitalize()
            point = GroundPoint(name, kind, spot.x, spot.y, self._note.text().strip())
            if self._tools.edit(f"Mark a {kind}", partial(_with_point, point=point)):
                self._tools.take_up("")
                self._list.setCurrentRow(self._list.count() - 1)

    @Slot()
    def _on_file_pressed(self) -> None:
        self.file_requested.emit(self.kind())

    @Slot()
    def _on_remove(self) -> None:
        row = self._list.currentRow()
        if row >= 0:
            self._tools.choose(POINTS, -1)
            self._tools.edit("Remove a ground point", partial(remove_point, row=row))


def _with_point(season: Season, *, point: GroundPoint) -> Season:
    """The season with another point."""
    return add_points(season, [point])
