"""The table below the map: one row a zone, selecting together with the map."""

from PySide6.QtCore import QAbstractTableModel, QItemSelectionModel, QModelIndex, Qt, Signal, Slot
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from vrxapp.agronomy.trail import printed_value
from vrxapp.desktop.document import FarmDocument
from vrxapp.errors import VrxError, begun
from vrxapp.prescription.pipeline import RATE_UNIT, Prescription

_COLUMNS = ("Zone", "Need", f"Rate, {RATE_UNIT}", "Area, ha", "Product, kg", "Note")

_NEED = 1
_MARKS = (("cap", "capped"), ("budget", "cut to the budget"))
_ROWS_MEASURED = 50  # rows that decide how wide a column is


class ZoneModel(QAbstractTableModel):
    """The zones of the plan as rows; it keeps no copy."""

    def __init__(self, document: FarmDocument) -> None:
        super().__init__(document)
        self._document = document
        self._shown = len(document.season.zones.ids)
        document.changed.connect(self._on_changed)
        document.operation_chosen.connect(self._on_changed)

    def rowCount(self, parent: QModelIndex | None = None) -> int:
        """One row a zone."""
        return (
            0 if parent is not None and parent.isValid() else len(self._document.season.zones.ids)
        )

    def columnCount(self, parent: QModelIndex | None = None) -> int:
        """Name, need, rate, area, product and note."""
        return 0 if parent is not None and parent.isValid() else len(_COLUMNS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Names of the columns with their units."""
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return self._heading(section)
        return None

    def _heading(self, section: int) -> str:
        """The name of a column; that of the need carries the unit of the plan."""
        if section == _NEED:
            try:
                return f"Need, {self._document.plan().need_unit}"
            except VrxError:
                return _COLUMNS[section]
        return _COLUMNS[section]

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """One cell as text."""
        if role == Qt.ItemDataRole.TextAlignmentRole and 0 < index.column() < len(_COLUMNS) - 1:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        if role not in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole}:
            return None
        name = self._document.season.zones.names[index.row()]
        try:
            return _cells(self._document.plan(), index.row(), name)[index.column()]
        except VrxError as error:
            return (name, "", "", "", "", begun(str(error), error.note.file))[index.column()]

    @Slot()
    def _on_changed(self) -> None:
        """Have visible cells read again; only another number of zones starts the table anew."""
        count = self.rowCount()
        if count != self._shown:
            self.beginResetModel()
            self._shown = count
            self.endResetModel()
        elif count:
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, _NEED, _NEED)
            last = self.index(count - 1, len(_COLUMNS) - 1)
            self.dataChanged.emit(self.index(0, 0), last)


def _cells(plan: Prescription, row: int, name: str) -> tuple[str, ...]:
    """The cells of one zone."""
    reason = str(plan.reasons[row])
    told = {step.name: step.told for step in plan.trail.steps if step.told is not None}
    marks = [word for name, word in _MARKS if name in told and told[name][row]]
    note = f"No rate: {reason}" if reason else ", ".join(marks).capitalize()
    return (
        name,
        "" if reason else printed_value(float(plan.need[row])),
        "none" if reason else f"{plan.rates_kg_ha[row]:g}",
        f"{plan.totals.zone_area_ha[row]:.2f}",
        f"{plan.totals.zone_product_kg[row]:,.0f}",
        note,
    )


class ZoneTable(QTableView):
    """Rows that can be chosen by mouse and by keyboard."""

    row_chosen = Signal(int)  # row of the zone, -1 for none

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("zoneTable")
        self.setAccessibleName("Zones")
        self.setModel(ZoneModel(document))
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setResizeContentsPrecision(_ROWS_MEASURED)
        self.fit_columns()
        self._heading = self._need_heading()
        self.model().headerDataChanged.connect(self._on_heading_changed)
        self.selectionModel().currentRowChanged.connect(self._on_current_changed)

    def _need_heading(self) -> str:
        return str(self.model().headerData(_NEED, Qt.Orientation.Horizontal))

    @Slot()
    def _on_heading_changed(self) -> None:
        """Make room for the unit of the need, which is only known once there are results."""
        heading = self._need_heading()
        if heading not in (self._heading, _COLUMNS[_NEED]):
            self._heading = heading
            self.fit_columns()

    def fit_columns(self) -> None:
        """Make each column as wide as what stands in it; the last takes what is left."""
        header = self.horizontalHeader()
        header.setStretchLastSection(False)
        self.resizeColumnsToContents()
        header.setStretchLastSection(True)

    @Slot(int)
    def show_row(self, row: int) -> None:
        """Choose the row that the map has chosen; -1 for none."""
        if row < 0:
            self.clearSelection()
            self.setCurrentIndex(QModelIndex())
        elif self.currentIndex().row() != row:
            flags = QItemSelectionModel.SelectionFlag
            self.selectionModel().setCurrentIndex(
                self.model().index(row, 0), flags.ClearAndSelect | flags.Rows
            )

    @Slot(QModelIndex, QModelIndex)
    def _on_current_changed(self, current: QModelIndex, _previous: QModelIndex) -> None:
        self.row_chosen.emit(current.row() if current.isValid() else -1)
