"""Guidance lines: which there are, and whose the next ones from a file are."""

import math
from functools import partial

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QGridLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.ground_layers import GUIDANCE
from vrxapp.desktop.stages.ground_tools import GroundTools
from vrxapp.desktop.stages.row_list import RowList, put_buttons
from vrxapp.desktop.stages.sheet_parts import add_row, faint, grown_form, number_field
from vrxapp.edits.guidance import remove_guidance
from vrxapp.ground.guidance import WIDEST_M, GuidanceLine, bearing_degree, is_straight

_PURPOSE = (
    "Lines that machines steer along, from task data (TASKDATA.XML, also in a zip) or any file of "
    "lines. The fields below count for lines that do not tell it themselves."
)
_LIST_HEIGHT_PX = 168


class GuidanceFields(QWidget):
    """The guidance lines of the season as a list."""

    file_requested = Signal(str, float, float)  # machine, swath and wheel track, NaN for none [m]

    def __init__(
        self, document: FarmDocument, tools: GroundTools, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("guidanceFields")
        self._document, self._tools = document, tools
        self._list = RowList("guidanceList", "Guidance lines", self)
        self._list.setFixedHeight(_LIST_HEIGHT_PX)
        self._list.setWordWrap(True)
        self._machine = QLineEdit(self)
        self._machine.setObjectName("guidanceMachineField")
        self._swath = number_field(
            "guidanceSwathSpinBox", self, unit="m", low=0.0, high=WIDEST_M, decimals=2
        )
        self._track = number_field(
            "guidanceTrackSpinBox", self, unit="m", low=0.0, high=WIDEST_M, decimals=2
        )
        for field in (self._swath, self._track):
            field.setSpecialValueText("not known")
        self._lay_out()
        self._list.currentRowChanged.connect(self._on_row_changed)
        document.changed.connect(self._on_changed)
        self._show_season()

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Machine", self._machine, "Whose lines they are, in your words")
        add_row(form, "&Swath", self._swath, "From one pass to the next")
        add_row(form, "&Wheel track", self._track, "From one wheel track to the next across the "
                "machine")  # fmt: skip
        grid = QGridLayout()
        made = put_buttons(
            grid,
            self,
            (
                ("guidanceFromFileButton", "From a f&ile…", "Add the lines of task data, KML, "
                 "Shapefile, GeoJSON or GeoPackage", self._on_file_pressed),
                ("removeGuidanceButton", "&Remove", "Take the chosen line away", self._on_remove),
            ),
        )  # fmt: skip
        self._remove = made["removeGuidanceButton"]
        layout = QVBoxLayout(self)
        layout.addWidget(self._list)
        layout.addWidget(faint(_PURPOSE, self))
        layout.addLayout(form)
        layout.addLayout(grid)
        layout.addStretch(1)

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if "guidance" in parts:
            self._show_season()

    def _show_season(self) -> None:
        """List the lines; keep the chosen one chosen as long as it is there."""
        self._list.show_lines([_listed(line) for line in self._document.season.guidance])
        self._remove.setEnabled(self._list.currentRow() >= 0)

    @Slot(int)
    def show_row(self, row: int) -> None:
        """Choose the line that the map has chosen; -1 for none."""
        if self._list.choose_untold(row):
            self._remove.setEnabled(row >= 0)

    @Slot(int)
    def _on_row_changed(self, row: int) -> None:
        self._remove.setEnabled(row >= 0)
        self._tools.choose(GUIDANCE, row)

    def machine(self) -> tuple[str, float, float]:
        """Machine, swath and wheel track of lines that tell none; NaN where not known. [m]"""
        spacings_m = (self._swath.value() or math.nan, self._track.value() or math.nan)
        return (self._machine.text().strip(), *spacings_m)

    @Slot()
    def _on_file_pressed(self) -> None:
        self.file_requested.emit(*self.machine())

    @Slot()
    def _on_remove(self) -> None:
        row = self._list.currentRow()
        if row >= 0:
            self._tools.choose(GUIDANCE, -1)
            self._tools.edit("Remove a guidance line", partial(remove_guidance, row=row))


def _listed(line: GuidanceLine) -> str:
    """Name, machine, kind and what is known of its spacings."""
    told = [line.name, line.machine] if line.machine else [line.name]
    told.append(f"{'straight' if is_straight(line) else 'curve'}, {bearing_degree(line):.0f}°")
    if not math.isnan(line.swath_m):
        told.append(f"swath {line.swath_m:g} m")
    if not math.isnan(line.wheel_track_m):
        told.append(f"wheel track {line.wheel_track_m:g} m")
    return "  ·  ".join(told)
