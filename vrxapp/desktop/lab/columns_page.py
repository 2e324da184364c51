"""The columns of a lab sheet: what each is taken for, to be put right."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import (
    QComboBox,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.lab.mass_fields import MassFields
from vrxapp.desktop.stages.sheet_parts import add_row, faint, fill_combo, grown_form, heading
from vrxapp.files.lab_sheets.column_use import ColumnUse, with_use
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn
from vrxapp.files.lab_sheets.mass_basis import MassBasis
from vrxapp.files.lab_sheets.names import Role
from vrxapp.files.lab_sheets.preview import SheetPreview, examples, first_rows, with_header_row
from vrxapp.files.lab_sheets.units import units_of
from vrxapp.soil.analytes import analyte, analytes

ROWS_SHOWN = 15
_COLUMN, _VALUES, _USE, _UNIT, _DOUBT = range(5)
_HEADINGS = ("Column", "First values", "Taken for", "Unit", "Doubt")
_NOT_USED = "not used"
_AS_TOLD = "as in the sheet"
_COMMAS = [("by its numbers", "none"), ("commas are decimal", "yes"), ("points are decimal", "no")]


class ColumnsPage(QWidget):
    """The first rows as they stand, and one line a column with what it is taken for."""

    layout_changed = Signal()

    def __init__(self, seen: SheetPreview, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("columnsPage")
        self._seen = seen
        self._uses = _uses()
        self._cells = QTableWidget(self)
        self._cells.setObjectName("sheetCells")
        self._cells.setAccessibleName("First rows of the sheet")
        self._cells.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self._cells.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self._cells.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self._cells.setTabKeyNavigation(False)
        self._cells.horizontalHeader().hide()
        self._columns = QTableWidget(0, len(_HEADINGS), self)
        self._columns.setObjectName("sheetColumns")
        self._columns.setAccessibleName("What each column is taken for")
        self._columns.setHorizontalHeaderLabels(list(_HEADINGS))
        self._columns.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self._columns.setSelectionMode(QTableWidget.SelectionMode.NoSelection)
        self._columns.setTabKeyNavigation(False)
        self._columns.verticalHeader().hide()
        self._comma = QComboBox(self)
        self._comma.setObjectName("commaCombo")
        fill_combo(self._comma, _COMMAS, "none")
        self._mass = MassFields(self)
        self._lay_out()
        self._cells.cellDoubleClicked.connect(self._on_header_chosen)
        self._cells.activated.connect(lambda index: self._on_header_chosen(index.row()))
        self._comma.activated.connect(self._on_comma)
        self._mass.basis_changed.connect(self._on_mass)
        self._show()

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(heading("The sheet", self))
        layout.addWidget(
            faint("The header is marked. Double-click another row to take that one.", self)
        )
        layout.addWidget(self._cells, 2)
        form = grown_form(None)
        add_row(form, "&Decimals", self._comma, "What commas and points in numbers mean")
        layout.addLayout(form)
        layout.addWidget(self._mass)
        layout.addWidget(heading("Its columns", self))
        layout.addWidget(self._columns, 3)

    @property
    def seen(self) -> SheetPreview:
        """The sheet with its layout as it was put right."""
        return self._seen

    def _set_layout(self, layout: LabLayout) -> None:
        self._seen = replace(self._seen, layout=layout)
        self._fill_columns()
        self.layout_changed.emit()

    def _show(self) -> None:
        """Show the sheet from the start."""
        self._fill_cells()
        self._fill_columns()
        self._mass.show_basis(self._seen.layout.mass_basis)
        told = self._seen.layout.decimal_comma
        key = "none" if told is None else "yes" if told else "no"
        self._comma.setCurrentIndex(self._comma.findData(key))

    def _fill_cells(self) -> None:
        rows = first_rows(self._seen.sheet, ROWS_SHOWN)
        self._cells.setRowCount(len(rows))
        self._cells.setColumnCount(max(map(len, rows), default=0))
        header = self._seen.layout.header_row - 1
        for row, cells in enumerate(rows):
            for index, text in enumerate(cells):
                item = QTableWidgetItem(text)
                font = item.font()
                font.setBold(row == header)
                item.setFont(font)
                if row < header:
                    item.setForeground(self.palette().placeholderText())
                self._cells.setItem(row, index, item)
        if rows:
            self._cells.setCurrentCell(header, 0)
        self._cells.resizeColumnsToContents()

    def _fill_columns(self) -> None:
        """One line a column; the lists keep their place where only one has changed."""
        columns = self._seen.layout.columns
        shown = examples(self._seen.sheet)
        if self._columns.rowCount() != len(columns):
            self._columns.setRowCount(len(columns))
            for row in range(len(columns)):
                self._add_lists(row)
        for row, column in enumerate(columns):
            values = ", ".join(shown[row]) if row < len(shown) else ""
            for place, text in ((_COLUMN, column.name), (_VALUES, values), (_DOUBT, column.doubt)):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                self._columns.setItem(row, place, item)
            self._show_use(row, column)
        header = self._columns.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        for place, width in ((_COLUMN, 150), (_VALUES, 130), (_USE, 250), (_UNIT, 150)):
            self._columns.setColumnWidth(place, width)

    def _add_lists(self, row: int) -> None:
        """The two lists of a column."""
        use, unit = QComboBox(self._columns), QComboBox(self._columns)
        use.setModel(self._uses)
        use.setObjectName(f"useCombo{row + 1}")
        unit.setObjectName(f"unitCombo{row + 1}")
        for combo in (use, unit):
            combo.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            combo.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            combo.installEventFilter(self)
        use.activated.connect(lambda _: self._on_use(row))
        unit.activated.connect(lambda _: self._on_unit(row))
        self._columns.setCellWidget(row, _USE, use)
        self._columns.setCellWidget(row, _UNIT, unit)

    def _show_use(self, row: int, column: LayoutColumn) -> None:
        use, unit = self._lists(row)
        blockers = [QSignalBlocker(use), QSignalBlocker(unit)]
        name = column.name or f"column {row + 1}"
        use.setAccessibleName(f"{name} is taken for")
        unit.setAccessibleName(f"Unit of {name}")
        use.setCurrentIndex(use.findData(column.analyte or str(column.role or "")))
        units = units_of(analyte(column.analyte)) if column.analyte else ()
        entries = [(_AS_TOLD, ""), *((text, text) for text in units)] if units else [("", "")]
        fill_combo(unit, entries, column.unit)
        unit.setEnabled(bool(units))
        del blockers

    def _lists(self, row: int) -> tuple[QComboBox, QComboBox]:
        use = self._columns.cellWidget(row, _USE)
        unit = self._columns.cellWidget(row, _UNIT)
        return use, unit

    def _on_use(self, row: int) -> None:
        key = self._lists(row)[0].currentData()
        role = next((role for role in Role if str(role) == key), None)
        use = ColumnUse(role) if role or not key else ColumnUse(analyte=key)
        self._set_layout(with_use(self._seen.layout, row, use))

    def _on_unit(self, row: int) -> None:
        column = self._seen.layout.columns[row]
        use = ColumnUse(analyte=column.analyte, unit=self._lists(row)[1].currentData())
        self._set_layout(with_use(self._seen.layout, row, use))

    @Slot(int)
    def _on_comma(self, _index: int) -> None:
        told = {"none": None, "yes": True, "no": False}[self._comma.currentData()]
        self._set_layout(replace(self._seen.layout, decimal_comma=told))

    @Slot(object)
    def _on_mass(self, basis: MassBasis) -> None:
        self._set_layout(replace(self._seen.layout, mass_basis=basis))

    @Slot(int, int)
    def _on_header_chosen(self, row: int, _column: int = 0) -> None:
        if row + 1 != self._seen.layout.header_row:
            self._seen = with_header_row(self._seen, row + 1)
            self._show()
            self.layout_changed.emit()


def _uses() -> QStandardItemModel:
    """Everything that a column can be for; one list serves all columns."""
    model = QStandardItemModel()
    entries = [(_NOT_USED, "")]
    entries += [(str(role).capitalize(), str(role)) for role in Role]
    entries += [(a.name, a.key) for a in analytes()]
    for text, key in entries:
        item = QStandardItem(text)
        item.setData(key, Qt.ItemDataRole.UserRole)
        model.appendRow(item)
    return model
