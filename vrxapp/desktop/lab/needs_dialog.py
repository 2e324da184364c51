"""Needs of a lab sheet alone: each sample a line, and why for the chosen one."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QSplitter,
    QTableWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.trail import printed_value, told_for
from vrxapp.desktop.stages.sheet_parts import faint
from vrxapp.desktop.stages.shown_table import fill_row, prepare_table
from vrxapp.desktop.why_sheet import sentences_html
from vrxapp.errors import VrxError
from vrxapp.prescription.need_rules import left_out_layers, planned_needs
from vrxapp.prescription.sheet_needs import samples_of, sheet_need
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.sheet_plans import needs_left_open, sheet_plans

_HEIGHTS = (220, 160, 110)  # table, why, notes; the table keeps the most


class SheetNeedsDialog(QDialog):
    """What each sample needs, by the plans of the season that is open; no map is asked for."""

    def __init__(self, tests: ResultsTable, season: Season, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("sheetNeedsDialog")
        self.setWindowTitle(f"Needs of {tests.file}")
        self.resize(820, 560)
        self._samples = samples_of(tests)
        self._needs, self._lacking = _needs_of(tests, season)
        self._table = QTableWidget(len(self._samples), 1 + len(self._needs), self)
        prepare_table(self._table, "sheetNeedsTable", "Needs of each sample")
        self._why = QTextBrowser(self)
        self._why.setObjectName("sheetNeedsWhy")
        self._why.setAccessibleName("Why this much")
        self._fill()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        split = QSplitter(Qt.Orientation.Vertical, self)
        split.addWidget(self._table)
        split.addWidget(self._why)
        layout = QVBoxLayout(self)
        crop = f"{season.crop.crop}, {season.crop.target_yield_t_ha:g} t/ha"
        layout.addWidget(
            faint(
                f"Worked out as {season.paddock.name} is planned ({crop}); each sample alone.", self
            )
        )
        if self._lacking:
            split.addWidget(self._notes())
            split.setSizes(list(_HEIGHTS))
        layout.addWidget(split, 1)
        layout.addWidget(buttons)
        self._table.currentCellChanged.connect(self._show_why)
        self._table.setCurrentCell(0, 0)

    def _notes(self) -> QTextBrowser:
        """What is lacking and left open, with a scroll bar of its own: it may be much."""
        notes = QTextBrowser(self)
        notes.setObjectName("sheetNeedsNotes")
        notes.setAccessibleName("What was left out, and what is not worked out")
        notes.setPlainText("\n".join(self._lacking))
        return notes

    def _fill(self) -> None:
        names = [f"{name}\n{need.unit}" for name, need in self._needs]
        self._table.setHorizontalHeaderLabels(["Sample", *names])
        for row, sample in enumerate(self._samples):
            reasons = [str(need.reasons[row]) for _, need in self._needs]
            amounts = [printed_value(need.amount[row]) for _, need in self._needs]
            told = zip(reasons, amounts, strict=True)
            fill_row(self._table, row, [sample, *("none" if r else amount for r, amount in told)])
            for column, reason in enumerate(reasons, start=1):
                self._table.item(row, column).setToolTip(reason)
        self._table.resizeColumnsToContents()

    @Slot(int, int)
    def _show_why(self, row: int, column: int) -> None:
        """Tell the need of the chosen cell; the first one for the sample's own cell."""
        if row < 0 or not self._needs:
            return
        name, need = self._needs[max(column - 1, 0)]
        if need.reasons[row]:
            self._why.setPlainText(f"{name}: none can be told: {need.reasons[row]}.")
        else:
            self._why.setHtml(sentences_html(told_for(need.trail, row)))


def _needs_of(tests: ResultsTable, season: Season) -> tuple[list[tuple[str, ZoneNeed]], list[str]]:
    """Every need that was planned or has a published way, and what is lacking for the others."""
    found, lacking = [], []
    plans = sheet_plans(season, tests)
    for purpose in planned_needs(plans):
        try:
            found.append((str(purpose).capitalize(), sheet_need(tests, plans, purpose)))
            lacking += [str(note) for note in left_out_layers(tests, plans, purpose)]
        except VrxError as error:
            lacking.append(str(error))
    return found, [*map(str, needs_left_open(plans)), *dict.fromkeys(lacking)]
