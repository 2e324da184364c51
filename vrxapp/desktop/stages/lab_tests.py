"""The Tests sheet: the samples of the lab sheet, and all results of the chosen one."""

from collections import Counter
from functools import partial

import numpy as np
from PySide6.QtCore import QSignalBlocker, Signal, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QGridLayout,
    QListWidget,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.trail import printed_value
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.next_sample_label import NextSampleLabel
from vrxapp.desktop.stages.sheet_parts import add_row, faint, heading, title
from vrxapp.edits.lab_tests import match_sample
from vrxapp.prescription.zone_results import row_places
from vrxapp.soil.results_table import ResultsTable

NO_ZONE = "no zone"


class TestsSheet(QWidget):
    """Which samples there are, what the laboratory found, and which zone each speaks for."""

    __test__ = False  # a sheet of the window, not a test case

    row_chosen = Signal(int)  # row of the lab sheet
    open_requested = Signal()
    paste_requested = Signal()
    type_requested = Signal()
    match_requested = Signal()

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("testsSheet")
        self._document = document
        self._summary = faint("", self, name="testsSummary")
        self._samples = QListWidget(self)
        self._samples.setObjectName("sampleList")
        self._samples.setAccessibleName("Samples")
        self._zone = QComboBox(self)
        self._zone.setObjectName("sampleZoneCombo")
        self._results = QTableWidget(0, 3, self)
        self._results.setObjectName("sampleResults")
        self._results.setAccessibleName("Results of the sample")
        self._results.setHorizontalHeaderLabels(["Test", "Result", "Unit"])
        self._results.verticalHeader().hide()
        self._results.horizontalHeader().setStretchLastSection(True)
        self._results.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self._results.setTabKeyNavigation(False)
        form = QFormLayout()
        add_row(form, "Speaks for &zone", self._zone, "Join the sample to a zone by hand")
        layout = QVBoxLayout(self)
        layout.addWidget(title("Tests", self))
        layout.addWidget(self._summary)
        layout.addWidget(NextSampleLabel(document, self))
        layout.addLayout(self._buttons())
        layout.addWidget(self._samples, 1)
        layout.addLayout(form)
        layout.addWidget(heading("Results", self))
        layout.addWidget(self._results, 1)
        self._samples.currentRowChanged.connect(self._on_sample_chosen)
        self._zone.activated.connect(self._on_zone_chosen)
        document.changed.connect(self._on_changed)
        self._show_season()

    def _buttons(self) -> QGridLayout:
        """Ways to bring results in, and to say where they are from."""
        grid = QGridLayout()
        for at, (name, text, tip, signal) in enumerate(
            (
                ("openLabButton", "Open sheet…", "Open a lab sheet", self.open_requested),
                ("pasteLabButton", "Paste", "Paste copied cells", self.paste_requested),
                ("typeLabButton", "Type…", "Type results in", self.type_requested),
                ("matchLabButton", "Match rows…", "Say where rows are from", self.match_requested),
            )
        ):
            button = QPushButton(text, self)
            button.setObjectName(name)
            button.setToolTip(tip)
            button.clicked.connect(signal)
            grid.addWidget(button, at // 2, at % 2)
        return grid

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if parts & {"tests", "row_matches", "zones", "paddock"}:
            self._show_season()

    def _show_season(self) -> None:
        """List the samples; keep the chosen one chosen."""
        tests = self._document.season.tests
        row = self._samples.currentRow()
        blocker = QSignalBlocker(self._samples)
        self._samples.clear()
        if tests is not None:
            self._samples.addItems(_listed(tests))
            self._samples.setCurrentRow(max(min(row, self._samples.count() - 1), 0))
        del blocker
        self._summary.setText(_summary(tests))
        self._show_sample()

    @Slot(int)
    def show_row(self, row: int) -> None:
        """Choose the sample that the map has chosen."""
        if 0 <= row < self._samples.count():
            self._samples.setCurrentRow(row)

    @Slot(int)
    def _on_sample_chosen(self, row: int) -> None:
        self._show_sample()
        self.row_chosen.emit(row)

    @Slot(int)
    def _on_zone_chosen(self, _index: int) -> None:
        tests, row = self._document.season.tests, self._samples.currentRow()
        zone = self._zone.currentText()
        if tests is not None and row >= 0 and zone != NO_ZONE:
            sample = tests.sample_ids[row]
            change = partial(match_sample, sample_id=sample, zone_name=zone)
            self._document.edit(f"Join {sample} to {zone}", change)

    def _show_sample(self) -> None:
        """Write the results and the zone of the chosen sample."""
        season, row = self._document.season, self._samples.currentRow()
        blocker = QSignalBlocker(self._zone)
        self._zone.clear()
        self._results.setRowCount(0)
        if season.tests is not None and row >= 0:
            joined = row_places(season.tests, season.zones, season.paddock, season.row_matches)
            place = int(joined.rows[row])
            names = [*season.zones.names] if place >= 0 else [NO_ZONE, *season.zones.names]
            self._zone.addItems(names)
            self._zone.setCurrentText(season.zones.names[place] if place >= 0 else NO_ZONE)
            self._fill_results(season.tests, row)
        del blocker

    def _fill_results(self, tests: ResultsTable, row: int) -> None:
        """One line a result."""
        told = [c for c in tests.columns if np.isfinite(c.values[row])]
        self._results.setRowCount(len(told))
        for line, column in enumerate(told):
            value = f"{column.limits[row]}{printed_value(float(column.values[row]))}"
            for place, text in enumerate((column.analyte.name, value, column.analyte.unit)):
                item = QTableWidgetItem(text)
                item.setToolTip(column.analyte.method)
                self._results.setItem(line, place, item)
        self._results.resizeColumnsToContents()


def _listed(tests: ResultsTable) -> list[str]:
    """The rows of the sheet as the list shows them; replicates are numbered."""
    seen: Counter[tuple[str, str]] = Counter()
    lines = []
    for row in zip(tests.sample_ids, tests.zone_names, tests.depths_cm, strict=True):
        sample, zone, depth_cm = row
        seen[sample, depth_cm] += 1
        number = seen[sample, depth_cm]
        parts = [sample, zone, f"{depth_cm} cm" if depth_cm else ""]
        parts.append(f"replicate {number}" if number > 1 else "")
        lines.append("  ·  ".join(part for part in parts if part))
    return lines


def _summary(tests: ResultsTable | None) -> str:
    """What there is, and the next step where nothing is."""
    if tests is None:
        return "No laboratory results yet. Drop a lab sheet on the window, or open one (Ctrl+O)."
    samples = len(set(tests.sample_ids))
    names = ", ".join(c.analyte.name for c in tests.columns)
    return f"{tests.file}: {samples} samples in {len(tests.sample_ids)} rows; {names}"
