"""Where the rows of a lab sheet are from: a table to be put right, one row or many at a time."""

from PySide6.QtCore import QAbstractItemModel, QModelIndex, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.lab.rows_model import LAYER, PADDOCK, ZONE, RowsModel
from vrxapp.desktop.stages.sheet_parts import faint, fill_combo, heading
from vrxapp.errors import UnknownChoiceError

_WIDTHS = (54, 160, 130, 140, 100)


class RowsPage(QWidget):
    """The rows with their paddock, zone and layer; what is given to one goes to all chosen."""

    changed = Signal()
    refused = Signal(object)  # the error

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("rowsPage")
        self._model: RowsModel | None = None
        self._summary = faint("", self, name="rowsSummary")
        self._table = QTableView(self)
        self._table.setObjectName("sheetRows")
        self._table.setAccessibleName("Rows of the sheet")
        self._table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self._table.setEditTriggers(
            QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.SelectedClicked
        )
        self._table.setAlternatingRowColors(True)
        self._table.setShowGrid(False)
        self._table.setTabKeyNavigation(False)
        self._table.verticalHeader().hide()
        header = self._table.horizontalHeader()
        header.setStretchLastSection(True)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self._cells = _Cells(self)
        self._table.setItemDelegate(self._cells)
        self._cells.given.connect(self._on_given)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(heading("Where the rows are from", self))
        layout.addWidget(self._summary)
        layout.addWidget(self._table, 1)
        layout.addLayout(self._fields())

    def _fields(self) -> QHBoxLayout:
        """Fields that give all chosen rows a paddock, a zone or a layer."""
        self._paddock, self._zone = QComboBox(self), QComboBox(self)
        self._layer = QLineEdit(self)
        self._layer.setPlaceholderText("0-10")
        self._layer.setMaximumWidth(90)
        row = QHBoxLayout()
        row.addWidget(faint("Chosen rows:", self))
        for name, text, field, column in (
            ("rowsPaddock", "Paddock of the chosen rows", self._paddock, PADDOCK),
            ("rowsZone", "Zone of the chosen rows", self._zone, ZONE),
            ("rowsLayer", "Layer of the chosen rows, in cm", self._layer, LAYER),
        ):
            field.setObjectName(name)
            field.setAccessibleName(text)
            field.setToolTip(text)
            row.addWidget(field, 0 if field is self._layer else 1)
            if isinstance(field, QComboBox):
                field.activated.connect(lambda _, f=field, c=column: self._give(c, f.currentData()))
        button = QPushButton("Set &layer", self)
        button.setObjectName("rowsLayerButton")
        button.setToolTip("Give the chosen rows this layer")
        button.clicked.connect(self._on_layer)
        self._layer.returnPressed.connect(self._on_layer)
        row.addWidget(button)
        return row

    def show_rows(self, model: RowsModel) -> None:
        """Show the rows of a sheet, those with a question first chosen."""
        self._model = model
        self._table.setModel(model)
        for column, width in enumerate(_WIDTHS):
            self._table.setColumnWidth(column, width)
        self._table.selectionModel().selectionChanged.connect(self._on_chosen)
        model.dataChanged.connect(self._on_changed)
        waiting = [row for row, found in enumerate(model.found) if not found.can_wait]
        self._table.selectRow(waiting[0] if waiting else 0)
        self._on_changed()

    @property
    def model(self) -> RowsModel | None:
        """The rows as they were put right."""
        return self._model

    def chosen_rows(self) -> list[int]:
        """Rows of the table that are chosen."""
        return sorted(index.row() for index in self._table.selectionModel().selectedRows())

    @Slot()
    def _on_chosen(self) -> None:
        """Offer the paddocks, and the zones of the first chosen row's paddock."""
        rows = self.chosen_rows()
        if self._model is None or not rows:
            return
        for field, column in ((self._paddock, PADDOCK), (self._zone, ZONE)):
            index = self._model.index(rows[0], column)
            chosen = str(self._model.data(index, Qt.ItemDataRole.EditRole))
            fill_combo(field, self._model.choices(index), chosen)
            field.setEnabled(field.count() > 0)

    @Slot()
    def _on_layer(self) -> None:
        self._give(LAYER, self._layer.text())

    @Slot(QModelIndex, str)
    def _on_given(self, index: QModelIndex, value: str) -> None:
        """A cell was changed: so are the others of the chosen rows, if it is one of them."""
        rows = self.chosen_rows()
        self._set(rows if index.row() in rows else [index.row()], index.column(), value)

    def _give(self, column: int, value: str) -> None:
        self._set(self.chosen_rows(), column, value)

    def _set(self, rows: list[int], column: int, value: str) -> None:
        if self._model is None:
            return
        try:
            self._model.set_all(rows, column, value)
        except UnknownChoiceError as error:
            self.refused.emit(error)

    @Slot()
    def _on_changed(self) -> None:
        assert self._model is not None
        count, waiting = self._model.rowCount(), self._model.open_count()
        used = sum(bool(place.season_id) for place in self._model.places())
        self._summary.setText(
            f"{used} of {count} rows are used; "
            + (f"{waiting} to be checked (marked ?)." if waiting else "nothing is open.")
        )
        self._on_chosen()
        self.changed.emit()


class _Cells(QStyledItemDelegate):
    """Paddock and zone as lists to choose from, the layer as text."""

    given = Signal(QModelIndex, str)

    def createEditor(
        self, parent: QWidget, option: QStyleOptionViewItem, index: QModelIndex
    ) -> QWidget:
        """A list, or a line of text for the layer."""
        choices = index.model().choices(index)
        if not choices:
            return super().createEditor(parent, option, index)
        combo = QComboBox(parent)
        for text, key in choices:
            combo.addItem(text, key)
        combo.activated.connect(lambda _: self._end(combo))
        return combo

    def _end(self, combo: QComboBox) -> None:
        self.commitData.emit(combo)
        self.closeEditor.emit(combo)

    def setEditorData(self, editor: QWidget, index: QModelIndex) -> None:
        """Start from what the cell holds."""
        if isinstance(editor, QComboBox):
            editor.setCurrentIndex(editor.findData(index.data(Qt.ItemDataRole.EditRole)))
        else:
            super().setEditorData(editor, index)

    def setModelData(self, editor: QWidget, _model: QAbstractItemModel, index: QModelIndex) -> None:
        """Say what was given; the page gives it to all chosen rows."""
        value = editor.currentData() if isinstance(editor, QComboBox) else editor.text()
        if value is not None and value != index.data(Qt.ItemDataRole.EditRole):
            self.given.emit(index, value)
