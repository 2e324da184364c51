"""The window for leaf tests: file, crop, part, stage; classes, and the advice below."""

import math
from functools import partial
from pathlib import Path

from PySide6.QtCore import QSettings, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from vrxapp.agronomy.tissue import PlantPart
from vrxapp.agronomy.trail import printed_value
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.lab.leaf_table import LeafModel
from vrxapp.desktop.message_bar import MessageBar
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    heading,
    number_field,
)
from vrxapp.desktop.theme import scheme_of
from vrxapp.errors import VrxError
from vrxapp.files.leaf_sheet import LeafSheet, read_leaf_sheet
from vrxapp.progress import Progress
from vrxapp.workflows.leaf_tests import (
    LeafReport,
    advice_lines,
    leaf_crops,
    leaf_parts,
    leaf_report,
    leaf_sources,
    leaf_stages,
    sampling_from,
    shown,
)

_KINDS = "Leaf tests (*.csv *.txt *.xlsx)"
_FOLDER = "folders/lab"
_PUBLISHED = "the published one"
_NO_SHEET = "No sheet yet. One row a sample, one column a nutrient."


class LeafDialog(QDialog):
    """Stays open beside the map; every choice shows its classes at once."""

    def __init__(
        self, jobs: JobRunner, *, is_dark: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self.setObjectName("leafDialog")
        self.setWindowTitle("Leaf tests")
        self.resize(820, 620)
        self._sheet: LeafSheet | None = None
        self._message = MessageBar(self)
        self._message.set_scheme(scheme_of(is_dark=is_dark))
        self._open = QPushButton("&Open leaf tests…", self)
        self._open.setObjectName("leafOpenButton")
        self._open.setAutoDefault(False)  # Enter in a field must not ask for a file
        self._open.setToolTip("Open a sheet with one row a sample, one column a nutrient")
        self._summary = faint(_NO_SHEET, self)
        self._summary.setObjectName("leafSummary")
        self._crop = combo_field("leafCropCombo", self)
        self._part = combo_field("leafPartCombo", self)
        self._stage = combo_field("leafStageCombo", self)
        self._stage.setEditable(True)
        self._stage.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self._source = combo_field("leafSourceCombo", self)
        self._sprayed = QLineEdit(self)
        self._sprayed.setObjectName("leafSprayedEdit")
        self._sprayed.setPlaceholderText("Zn=5, Mn=12")
        self._dry_matter = number_field(
            "leafDryMatterSpinBox", self, unit="t/ha", low=0.0, high=60.0, decimals=2
        )
        self._dry_matter.setSpecialValueText("not told")
        self._table = QTableView(self)
        self._table.setObjectName("leafTable")
        self._table.setAccessibleName("Classes of the leaf tests")
        self._table.setTabKeyNavigation(False)
        self._table.setEditTriggers(QTableView.EditTrigger.NoEditTriggers)
        self._advice = QPlainTextEdit(self)
        self._advice.setObjectName("leafAdvice")
        self._advice.setAccessibleName("Advice")
        self._advice.setReadOnly(True)
        self._lay_out()
        fill_combo(self._crop, [(_words(crop), crop) for crop in leaf_crops()], leaf_crops()[0])
        self._connect()
        self._on_crop()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.addWidget(self._open)
        top.addWidget(self._summary, 1)
        form = grown_form(None)
        add_row(form, "&Crop", self._crop, "What was sampled")
        add_row(form, "&Part", self._part, "Which part of the plant was sampled")
        add_row(form, "&Stage", self._stage, "Stage as listed, or a Zadoks code such as 25")
        add_row(
            form, "Sou&rce", self._source, "Whose ranges; an unverified one only if you name it"
        )
        add_row(form, "Spra&yed", self._sprayed, "Sprayed on these leaves, and days since then")
        add_row(
            form,
            "Dry &matter",
            self._dry_matter,
            "Of the tops, to tell what they hold in kg/ha; only where whole tops were sampled",
        )
        layout = QVBoxLayout(self)
        layout.addWidget(self._message)
        layout.addLayout(top)
        layout.addLayout(form)
        layout.addWidget(self._table, 2)
        layout.addWidget(heading("Advice", self))
        layout.addWidget(self._advice, 1)

    def _connect(self) -> None:
        self._open.clicked.connect(self._on_open)
        self._crop.activated.connect(self._on_crop)
        self._part.activated.connect(self._on_part)
        self._stage.activated.connect(self._on_stage)
        self._stage.lineEdit().editingFinished.connect(self._on_stage)
        self._source.activated.connect(self._show)
        self._sprayed.editingFinished.connect(self._show)
        self._dry_matter.valueChanged.connect(self._show)

    @Slot()
    def _on_open(self) -> None:
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self, "Open leaf tests", start, _KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.open_file(Path(name))

    def open_file(self, path: Path) -> None:
        """Read a sheet of leaf tests in the background, then judge it."""
        self._summary.setText(f"Reading {path.name}…")
        self._jobs.start("Reading the leaf tests", partial(_read, path), self._on_read)

    def _on_read(self, read: LeafSheet | VrxError) -> None:
        """Show the sheet, or what is wrong with it, unless this window was closed meanwhile."""
        if not isValid(self):
            return
        if isinstance(read, VrxError):
            self._summary.setText(_NO_SHEET if self._sheet is None else _summary(self._sheet))
            self._message.tell_error(read)
            return
        self._sheet = read
        self._summary.setText(_summary(read))
        self._show()

    @Slot()
    def _on_crop(self) -> None:
        parts = leaf_parts(self._crop.currentData())
        fill_combo(self._part, [(_words(str(part)), str(part)) for part in parts], str(parts[0]))
        self._on_part()

    @Slot()
    def _on_part(self) -> None:
        stages = leaf_stages(self._crop.currentData(), PlantPart(self._part.currentData()))
        fill_combo(self._stage, [(_words(stage), stage) for stage in stages], stages[0])
        self._on_stage()

    @Slot()
    def _on_stage(self) -> None:
        """Offer the sources of this sample; the published one is gone by unless one is chosen."""
        chosen = self._source.currentData() or ""
        entries = [(_PUBLISHED, "")]
        try:
            sources = leaf_sources(self._sampling())
        except VrxError:
            sources = ()
        entries += [(f"{row.source}, {row.grade}", row.source) for row in sources]
        keys = {key for _, key in entries}
        fill_combo(self._source, entries, chosen if chosen in keys else "")
        self._show()

    def _sampling(self):
        return sampling_from(
            self._crop.currentData(), self._part.currentData(), self._stage.currentText()
        )

    @Slot()
    def _show(self) -> None:
        """Judge the sheet by the choices as they stand, or say what is in the way."""
        self._table.setModel(None)
        self._advice.clear()
        self._message.hide()
        if self._sheet is None:
            return
        sprayed = [part for part in self._sprayed.text().split(",") if part.strip()]
        try:
            report = leaf_report(
                self._sheet,
                self._sampling(),
                source=self._source.currentData() or "",
                sprayed=sprayed,
                dry_matter_t_ha=self._dry_matter.value() or math.nan,
            )
        except VrxError as error:
            self._message.tell_error(error)
            return
        self._show_report(report)

    def _show_report(self, report: LeafReport) -> None:
        self._model = LeafModel(report)
        self._table.setModel(self._model)
        self._table.resizeColumnsToContents()
        lines = [*advice_lines(report), *_ratio_lines(report)]
        told = lines or ["Nothing that was judged is out of its range."]
        self._advice.setPlainText("\n".join([*told, *map(str, report.sheet.notes)]))


def _read(path: Path, _: Progress) -> LeafSheet | VrxError:
    """A sheet of leaf tests, or why it cannot be read."""
    try:
        return read_leaf_sheet(path)
    except VrxError as error:
        return error


def _summary(sheet: LeafSheet) -> str:
    """Which sheet it is and how much it holds."""
    return f"{sheet.file}: {len(sheet.samples)} samples{', see below' if sheet.notes else ''}"


def _words(key: str) -> str:
    """A key as people read it, with a capital."""
    text = shown(key)
    return text[:1].upper() + text[1:]


def _ratio_lines(report: LeafReport) -> list[str]:
    """The ratios of each sample in words."""
    return [
        f"{sample}: {column.ratio.name} {printed_value(float(column.values[row]))}, "
        f"{column.places[row]} ({column.ratio.meaning}; {column.ratio.source})."
        for column in report.ratios
        for row, sample in enumerate(report.sheet.samples)
        if column.places[row]
    ]
