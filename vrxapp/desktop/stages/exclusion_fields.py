"""Exclusions: a list, what each is and its setback, and how more are drawn or taken in."""

from functools import partial

from PySide6.QtCore import QSignalBlocker, Signal, Slot
from PySide6.QtWidgets import (
    QGridLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)
from shapely.geometry.base import BaseGeometry

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.season_layers import EXCLUSIONS
from vrxapp.desktop.stages.ground_tools import GroundTool, GroundTools
from vrxapp.desktop.stages.row_list import RowList, put_buttons, put_tools
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.edits.ground import add_exclusions, change_exclusion, remove_exclusion
from vrxapp.errors import MissingInputError
from vrxapp.ground.exclusions import SETBACK_CAUTION, Exclusion, ExclusionKind
from vrxapp.ground.ground_facts import ground_facts
from vrxapp.season import Season

_CHOSEN = "The fields are of the chosen exclusion."
_NEXT = "With none chosen, the fields are for the next one that you draw."
_TOOLS = {
    GroundTool.AREA: ("&Draw area", "Click round it. Enter or a double click finishes, Backspace "
                      "takes a corner back, Esc ends."),
    GroundTool.LINE: ("Draw &line", "Click along it; the setback counts to either side. Enter or a "
                      "double click finishes, Backspace takes a corner back, Esc ends."),
}  # fmt: skip
_LONGEST_SETBACK_M = 9_999.0
_LIST_HEIGHT_PX = 132


class ExclusionFields(QWidget):
    """What is left out of the paddock, and what can be done with it."""

    file_requested = Signal(str, float)  # kind and setback of those that tell none [m]

    def __init__(
        self, document: FarmDocument, tools: GroundTools, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("exclusionFields")
        self._document, self._tools = document, tools
        self._list = RowList("exclusionList", "Exclusions", self)
        self._list.setFixedHeight(_LIST_HEIGHT_PX)
        self._list.setWordWrap(True)
        self._kind = combo_field("exclusionKindCombo", self)
        fill_combo(self._kind, [(kind.capitalize(), kind) for kind in ExclusionKind], "watercourse")
        self._name = QLineEdit(self)
        self._name.setObjectName("exclusionNameField")
        self._setback = number_field(
            "exclusionSetbackSpinBox", self, unit="m", low=0.0, high=_LONGEST_SETBACK_M
        )
        self._hint = faint(_NEXT, self, name="exclusionHint")
        self._lay_out()
        self._list.currentRowChanged.connect(self._on_row_changed)
        self._name.editingFinished.connect(self._on_named)
        self._kind.activated.connect(self._on_kind_chosen)
        self._setback.valueChanged.connect(self._on_setback_entered)
        tools.tool_changed.connect(self._on_tool_changed)
        tools.drawn.connect(self._on_drawn)
        document.changed.connect(self._on_changed)
        self._show_season()

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Kind", self._kind, "What it is")
        add_row(form, "&Name", self._name, "What people call it; empty: its kind")
        add_row(form, "&Setback", self._setback, "Distance kept from its edge; local codes decide")
        grid = QGridLayout()
        self._buttons = put_tools(
            grid, self, _TOOLS, what="Exclusion", pressed=self._on_tool_pressed
        )
        others = (
            ("exclusionsFromFileButton", "From a f&ile…", "Add those in a file of shapes; its "
             "fields kind, name and setback_m count", self._on_file_pressed),
            ("removeExclusionButton", "&Remove", "Spread its ground again", self._on_remove),
        )  # fmt: skip
        self._buttons |= put_buttons(grid, self, others, row=1)
        layout = QVBoxLayout(self)
        layout.addWidget(self._list)
        layout.addLayout(form)
        layout.addLayout(grid)
        layout.addWidget(self._hint)
        layout.addWidget(faint(SETBACK_CAUTION, self, name="setbackCaution"))
        layout.addStretch(1)

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if "paddock" in parts:
            self._show_season()

    def _show_season(self) -> None:
        """List the exclusions; keep the chosen one chosen as long as it is there."""
        self._list.show_lines(_listed(self._document.season))
        self._show_chosen()

    def _show_chosen(self) -> None:
        """Write what the chosen exclusion is; with none, kind and setback stay for the next."""
        row, known = self._list.currentRow(), self._document.season.paddock.exclusions
        self._buttons["removeExclusionButton"].setEnabled(row >= 0)
        self._hint.setText(_CHOSEN if row >= 0 else _NEXT)
        blockers = [QSignalBlocker(field) for field in (self._kind, self._setback)]
        if row >= 0:
            self._kind.setCurrentIndex(self._kind.findData(known[row].kind))
            self._setback.setValue(known[row].setback_m)
        self._name.setText(known[row].name if row >= 0 else "")
        del blockers

    @Slot(int)
    def show_row(self, row: int) -> None:
        """Choose the exclusion that the map has chosen; -1 for none."""
        if self._list.choose_untold(row):
            self._show_chosen()

    @Slot(int)
    def _on_row_changed(self, row: int) -> None:
        self._show_chosen()
        self._tools.choose(EXCLUSIONS, row)

    @Slot()
    def _on_named(self) -> None:
        row = self._list.currentRow()
        if row >= 0:
            change = partial(change_exclusion, row=row, name=self._name.text())
            if not self._tools.edit("Rename an exclusion", change):
                self._show_chosen()

    @Slot()
    def _on_kind_chosen(self) -> None:
        row = self._list.currentRow()
        if row >= 0:
            kind = ExclusionKind(self._kind.currentData())
            change = partial(change_exclusion, row=row, kind=kind)
            self._tools.edit("Change the kind of an exclusion", change)

    @Slot(float)
    def _on_setback_entered(self, setback_m: float) -> None:
        row = self._list.currentRow()
        if row >= 0:
            change = partial(change_exclusion, row=row, setback_m=setback_m)
            if not self._tools.edit(f"Set a setback of {setback_m:g} m", change):
                self._show_chosen()

    def _on_tool_pressed(self, key: str) -> None:
        """Begin to draw another exclusion; a line needs its setback first."""
        if self._buttons[key].isChecked():
            self._list.setCurrentRow(-1)
            if key == GroundTool.LINE and self._setback.value() == 0.0:
                self._buttons[key].setChecked(False)
                self._setback.setFocus()
                self._tools.refused.emit(
                    MissingInputError(
                        "a line excludes nothing without a setback",
                        mend="Give the distance to keep from it, then draw",
                    )
                )
                return
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
    def _on_drawn(self, key: str, shape: BaseGeometry) -> None:
        if key not in set(_TOOLS):
            return
        kind = ExclusionKind(self._kind.currentData())
        made = partial(_with_drawn, name=self._name.text(), kind=kind, shape=shape,
                       setback_m=self._setback.value())  # fmt: skip
        if self._tools.edit(f"Leave out {kind}", made):
            self._tools.take_up("")
            self._list.setCurrentRow(self._list.count() - 1)

    @Slot()
    def _on_file_pressed(self) -> None:
        self.file_requested.emit(str(self._kind.currentData()), self._setback.value())

    @Slot()
    def _on_remove(self) -> None:
        row = self._list.currentRow()
        if row >= 0:
            self._tools.choose(EXCLUSIONS, -1)
            self._tools.edit("Remove an exclusion", partial(remove_exclusion, row=row))


def _with_drawn(
    season: Season, *, name: str, kind: ExclusionKind, shape: BaseGeometry, setback_m: float
) -> Season:
    """The season with what was drawn left out."""
    return add_exclusions(season, [Exclusion(name, kind, shape, setback_m)])


def _listed(season: Season) -> list[str]:
    """One line an exclusion: name, kind, setback, hectares."""
    each_ha = ground_facts(season.paddock).exclusion_ha
    return [
        f"{e.name}  ·  {e.kind}, setback {e.setback_m:g} m  ·  {ha:,.2f} ha"
        for e, ha in zip(season.paddock.exclusions, each_ha, strict=True)
    ]
