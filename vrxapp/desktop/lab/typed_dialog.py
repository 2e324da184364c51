"""The form for a sheet that is held only on paper: one row a sample, one column a test."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.message_bar import MessageBar
from vrxapp.desktop.stages.sheet_parts import faint
from vrxapp.desktop.theme import scheme_of
from vrxapp.errors import VrxError
from vrxapp.files.lab_sheets.typed_form import PLACE_NAMES, TypedRow, typed_results
from vrxapp.soil.analytes import analyte, analytes
from vrxapp.soil.results_table import ResultsTable

_FIRST_ROWS = 8
_FIRST_TESTS = ("ph_cacl2", "colwell_p", "pbi")


class _Cells(QTableWidget):
    """Cells that can be pasted into."""

    paste_asked = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Paste many cells at once; any other key is the table's own."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste_asked.emit()
        else:
            super().keyPressEvent(event)


class TypedResultsDialog(QDialog):
    """A table to type in or paste into; a bad cell is named and nothing is lost."""

    def __init__(
        self, tests: ResultsTable | None, *, is_dark: bool, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("typedResultsDialog")
        self.setWindowTitle("Type results")
        self.resize(760, 460)
        self._keys: list[str] = []
        self._message = MessageBar(self)
        self._message.set_scheme(scheme_of(is_dark=is_dark))
        self._table = _Cells(_FIRST_ROWS, len(PLACE_NAMES), self)
        self._table.setObjectName("typedTable")
        self._table.setAccessibleName("Typed results")
        self._table.setHorizontalHeaderLabels(list(PLACE_NAMES))
        self._test = QComboBox(self)
        self._test.setObjectName("typedTestCombo")
        self._test.setAccessibleName("Test to add")
        for known in analytes():
            self._test.addItem(f"{known.name}, {known.unit}", known.key)
        self._lay_out()
        for key in _first_tests(tests):
            self.add_test(key)
        self._table.cellChanged.connect(self._on_cell_changed)
        self._table.paste_asked.connect(self.paste)

    def _lay_out(self) -> None:
        add = QPushButton("&Add test", self)
        add.setObjectName("typedAddTestButton")
        add.setToolTip("Add a column for this test")
        add.setAutoDefault(False)
        add.clicked.connect(lambda: self.add_test(self._test.currentData()))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, self)
        use = buttons.addButton("&Next: the rows", QDialogButtonBox.ButtonRole.ActionRole)
        use.setObjectName("typedUseButton")
        use.clicked.connect(self._on_use)
        buttons.rejected.connect(self.reject)
        row = QHBoxLayout()
        row.addWidget(self._test, 1)
        row.addWidget(add)
        layout = QVBoxLayout(self)
        layout.addWidget(self._message)
        layout.addWidget(
            faint(
                "One row a sample, each result in the unit of its column; <5 for below a limit. "
                "Cells copied from a spreadsheet can be pasted.",
                self,
            )
        )
        layout.addWidget(self._table, 1)
        layout.addLayout(row)
        layout.addWidget(buttons)
        self.results: ResultsTable | None = None

    def add_test(self, key: str) -> None:
        """Add a column for a test, once."""
        if key in self._keys:
            return
        self._keys.append(key)
        known = analyte(key)
        column = self._table.columnCount()
        self._table.insertColumn(column)
        item = QTableWidgetItem(f"{known.name}\n{known.unit}")
        item.setToolTip(known.method)
        self._table.setHorizontalHeaderItem(column, item)
        self._table.resizeColumnToContents(column)

    @Slot(int, int)
    def _on_cell_changed(self, row: int, _column: int) -> None:
        """Keep an empty row below what was typed."""
        if row == self._table.rowCount() - 1:
            self._table.insertRow(self._table.rowCount())

    @Slot()
    def paste(self) -> None:
        """Put copied cells in, from the current cell on."""
        top, left = max(self._table.currentRow(), 0), max(self._table.currentColumn(), 0)
        lines = QGuiApplication.clipboard().text().rstrip("\r\n").splitlines()
        for down, line in enumerate(lines):
            for right, text in enumerate(line.split("\t")):
                if left + right < self._table.columnCount():
                    self._table.setItem(top + down, left + right, QTableWidgetItem(text.strip()))

    def rows(self) -> list[TypedRow]:
        """What was typed, row by row."""
        return [self._row(row) for row in range(self._table.rowCount())]

    def _row(self, row: int) -> TypedRow:
        places = [self._text(row, column) for column in range(len(PLACE_NAMES))]
        told = [self._text(row, len(PLACE_NAMES) + at) for at in range(len(self._keys))]
        return TypedRow(*places, tuple(zip(self._keys, told, strict=True)))

    def _text(self, row: int, column: int) -> str:
        item = self._table.item(row, column)
        return item.text().strip() if item is not None else ""

    @Slot()
    def _on_use(self) -> None:
        try:
            self.results = typed_results(self.rows())
        except VrxError as error:
            self._message.tell_error(error)
            self._show_cell(error)
            return
        self.accept()

    def _show_cell(self, error: VrxError) -> None:
        """Put the cursor where the mistake is."""
        if error.note.row is None:
            return
        headers = [*PLACE_NAMES, *(f"{analyte(k).name} ({analyte(k).unit})" for k in self._keys)]
        column = headers.index(error.note.column) if error.note.column in headers else 0
        self._table.setCurrentCell(error.note.row - 1, column)
        self._table.setFocus(Qt.FocusReason.OtherFocusReason)


def _first_tests(tests: ResultsTable | None) -> tuple[str, ...]:
    """The tests to begin with: those of the sheet before, or the usual ones."""
    if tests is None or not tests.columns:
        return _FIRST_TESTS
    return tuple(column.analyte.key for column in tests.columns)
