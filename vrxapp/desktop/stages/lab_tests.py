"""The Tests sheet: the samples of the lab sheet, and all results of the chosen one."""

from collections import Counter
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QGridLayout,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.class_table import ClassTable
from vrxapp.desktop.stages.estimate_fields import EstimateFields
from vrxapp.desktop.stages.fold import Fold
from vrxapp.desktop.stages.next_sample_label import NextSampleLabel
from vrxapp.desktop.stages.sheet_parts import add_row, faint, heading, title
from vrxapp.edits.lab_tests import match_sample
from vrxapp.errors import VrxError
from vrxapp.prescription.classes_by_zone import classes_of_rows
from vrxapp.prescription.scale_choice import ClassChoices
from vrxapp.prescription.zone_results import row_places
from vrxapp.progress import Progress
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.class_lines import class_lines
from vrxapp.workflows.class_settings import ClassSettings, season_choices
from vrxapp.workflows.interpret import (
    change_text,
    changes_of_zone,
    queries_of_row,
    query_text,
)
from vrxapp.workflows.problems_first import problems_first

NO_ZONE = "no zone"
_LEAST_LIST_HEIGHT = 84
_AT_ONCE = 2000
"""Rows whose classes are worked out within a tenth of a second."""
_READ = {"tests", "row_matches", "zones", "paddock", "crop"}
_AIMED_AT = {"phosphorus", "lime", "gypsum", "nutrients", "own_rules"}


class TestsSheet(QWidget):
    """Which samples there are, what the laboratory found, and which zone each speaks for."""

    __test__ = False  # a sheet of the window, not a test case

    row_chosen = Signal(int)  # row of the lab sheet
    open_requested = Signal()
    paste_requested = Signal()
    type_requested = Signal()
    match_requested = Signal()
    work_requested = Signal(str, object, object)  # what is done, the work, who takes its result
    map_requested = Signal()

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("testsSheet")
        self._document = document
        self._is_stale = True
        self._summary = faint("", self, name="testsSummary")
        self._samples = QListWidget(self)
        self._samples.setObjectName("sampleList")
        self._samples.setAccessibleName("Samples")
        self._samples.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._samples.setMinimumHeight(_LEAST_LIST_HEIGHT)
        self._zone = QComboBox(self)
        self._zone.setObjectName("sampleZoneCombo")
        self._results = ClassTable(self)
        self._scales: dict[str, str] = {}  # how results are looked at is no edit of the farm
        self._estimates = EstimateFields(self)
        self._ready: tuple[ResultsTable, ClassChoices] | None = None
        self._queries, self._changes = Fold("queries", self), Fold("changes", self)
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
        layout.addWidget(self._results, 3)
        layout.addWidget(self._estimates)
        layout.addWidget(self._queries)
        layout.addWidget(self._changes)
        self._samples.currentRowChanged.connect(self._on_sample_chosen)
        self._zone.activated.connect(self._on_zone_chosen)
        self._results.scale_chosen.connect(self._on_scale_chosen)
        self._estimates.chosen.connect(self._show_results)
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
        whole = QPushButton("Map a result…", self)
        whole.setObjectName("mapResultButton")
        whole.setToolTip("Map a test over the paddock, with how far it may be off")
        whole.clicked.connect(self.map_requested)
        grid.addWidget(whole, grid.rowCount(), 0, 1, 2)
        return grid

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if parts & _READ:
            self._show_season()
        elif parts & _AIMED_AT:
            self._show_results()

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
        names = "\n".join(c.analyte.name for c in tests.columns) if tests is not None else ""
        self._summary.setToolTip(names)
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

    @Slot(str, str)
    def _on_scale_chosen(self, analyte: str, scale: str) -> None:
        """Class a test by another scale, for as long as the window is open."""
        self._scales[analyte] = scale
        self._show_results()

    def _show_sample(self) -> None:
        """Write the results and the zone of the chosen sample."""
        season, row = self._document.season, self._samples.currentRow()
        blocker = QSignalBlocker(self._zone)
        self._zone.clear()
        if season.tests is not None and row >= 0:
            joined = row_places(season.tests, season.zones, season.paddock, season.row_matches)
            place = int(joined.rows[row])
            names = [*season.zones.names] if place >= 0 else [NO_ZONE, *season.zones.names]
            self._zone.addItems(names)
            self._zone.setCurrentText(season.zones.names[place] if place >= 0 else NO_ZONE)
        del blocker
        self._show_results()

    def _choices(self) -> ClassChoices:
        """What the classes go by: the season, and what was chosen to look with."""
        keys = tuple(filter(None, self._scales.values()))
        settings = ClassSettings(
            scale_keys=keys,
            estimates=self._estimates.choices(),
            tells_salt_loss=self._estimates.tells_salt_loss(),
        )
        return season_choices(self._document.season, settings)

    @Slot()
    def _show_results(self) -> None:
        """Write what is known of the chosen sample, at once or when it has been worked out.

        Nothing is worked out as long as another stage hides the sheet.
        """
        self._is_stale = not self.isVisible()
        if self._is_stale:
            return
        tests = self._document.season.tests
        if tests is None or self._samples.currentRow() < 0:
            self._results.show_lines((), chosen=self._scales)
            self._show_folds()
            return
        choices = self._choices()
        if len(tests.sample_ids) > _AT_ONCE and self._ready != (tests, choices):
            self._ask_for_classes(tests, choices)
            return
        table = classes_of_rows(tests, choices)
        lines = problems_first(class_lines(table, self._samples.currentRow()))
        self._results.show_lines(lines, chosen=self._scales)
        self._show_folds()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what has changed while the sheet was hidden."""
        super().showEvent(event)
        if self._is_stale:
            self._show_results()

    def _ask_for_classes(self, tests: ResultsTable, choices: ClassChoices) -> None:
        """Have the classes and queries of a big sheet worked out in the background."""
        self._results.show_lines((), chosen=self._scales)
        self._queries.tell("Queries: being looked for", ())
        self._changes.tell("", ())
        done = partial(self._on_worked_out, tests, choices)
        self.work_requested.emit(
            "Working out the classes", partial(_work_out, tests, choices), done
        )

    def _on_worked_out(self, tests: ResultsTable, choices: ClassChoices, _: object) -> None:
        """Show the classes, unless the farm was closed or changed meanwhile."""
        if not isValid(self):
            return
        self._ready = (tests, choices)
        if self._document.season.tests is tests:
            self._show_results()

    def _show_folds(self) -> None:
        """What is doubtful about the chosen sample, and what has changed in its zone."""
        season, row = self._document.season, self._samples.currentRow()
        tests, has_row = season.tests, season.tests is not None and row >= 0
        queries = queries_of_row(tests, row) if tests is not None and has_row else ()
        self._queries.tell(f"Queries: {len(queries)}", tuple(map(query_text, queries)))
        before, lines = "", ()
        if tests is not None and has_row and self._zone.currentText() != NO_ZONE:
            zone, depth_cm = self._zone.currentText(), tests.depths_cm[row]
            try:
                before, found = changes_of_zone(
                    self._document.farm, season, zone, depth_cm=depth_cm
                )
                lines = tuple(map(change_text, found))
            except VrxError as error:
                lines = (str(error),)
        self._changes.tell(f"Since {before or 'the season before'}", lines)


def _work_out(tests: ResultsTable, choices: ClassChoices, watch: Progress) -> None:
    """Work out what the sheet is asked for next, which is then at hand."""
    watch.step(0, 2, "Working out the classes")
    classes_of_rows(tests, choices)
    watch.step(1, 2, "Looking for doubtful results")
    quality_notes(tests)


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
        return (
            "No laboratory results yet. Drop a lab sheet on the window, or open one (Ctrl+L); plan "
            "where to take samples with Ctrl+Shift+P."
        )
    samples = len(set(tests.sample_ids))
    rows, columns = len(tests.sample_ids), len(tests.columns)
    return f"{tests.file}: {samples} samples in {rows} rows, {columns} tests"
