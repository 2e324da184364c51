"""The window for leaf tests: file, crop, part, stage; classes, and the advice below."""

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

from vrxapp.agronomy.tissue import PlantPart
from vrxapp.agronomy.trail import printed_value
from vrxapp.desktop.lab.leaf_table import LeafModel
from vrxapp.desktop.message_bar import MessageBar
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    heading,
)
from vrxapp.desktop.theme import scheme_of
from vrxapp.errors import VrxError
from vrxapp.files.leaf_sheet import LeafSheet, read_leaf_sheet
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


class LeafDialog(QDialog):
    """Stays open beside the map; every choice shows its classes at once."""

    def __init__(self, *, is_dark: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
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
        self._summary = faint("No sheet yet. One row a sample, one column a nutrient.", self)
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

    @Slot()
    def _on_open(self) -> None:
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self, "Open leaf tests", start, _KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.open_file(Path(name))

    def open_file(self, path: Path) -> None:
        """Open a sheet of leaf tests and judge it."""
        try:
            self._sheet = read_leaf_sheet(path)
        except VrxError as error:
            self._message.tell_error(error)
            return
        rows, notes = len(self._sheet.samples), len(self._sheet.notes)
        self._summary.setText(f"{self._sheet.file}: {rows} samples" + (", see below" * bool(notes)))
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
