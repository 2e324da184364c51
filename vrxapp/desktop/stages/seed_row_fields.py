"""Where a pass's product comes to lie: over the ground, or with the seed and then in what row."""

from functools import partial

from PySide6.QtCore import QSignalBlocker, Slot
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.edits.operations import set_seed_row
from vrxapp.errors import VrxError
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil

_SPREAD = ""


class SeedRowFields(QWidget):
    """Fields for the placement of the operation on screen; spread until somebody says otherwise."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("seedRowFields")
        self._document = document
        self._soil = combo_field("seedSoilCombo", self)
        entries = [("spread over the ground", _SPREAD)]
        entries += [(f"with the seed, {soil} soil", str(soil)) for soil in SeedSoil]
        fill_combo(self._soil, entries, _SPREAD)
        self._row = number_field("rowSpacingSpinBox", self, unit="mm", low=0, high=1000, decimals=0)
        self._spread = number_field(
            "openerSpreadSpinBox", self, unit="mm", low=0, high=1000, decimals=0
        )
        for field in (self._row, self._spread):
            field.setSpecialValueText("not set")
        self._drying = QCheckBox("Seedbed barely moist or drying", self)
        self._drying.setObjectName("dryingSeedbedCheckBox")
        self._told = faint("", self, name="seedRowNotes")
        self._form = grown_form(None)
        add_row(self._form, "Place&d", self._soil, "Where the product comes to lie")
        add_row(self._form, "Row spacing", self._row, "From row to row")
        add_row(self._form, "Opener leaves", self._spread, "Width that seed and product share")
        self._form.addRow("", self._drying)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(self._form)
        layout.addWidget(self._told)
        self._soil.activated.connect(self._on_edited)
        self._row.valueChanged.connect(self._on_edited)
        self._spread.valueChanged.connect(self._on_edited)
        self._drying.clicked.connect(self._on_edited)
        document.changed.connect(self.show_operation)
        document.operation_chosen.connect(self.show_operation)
        self.show_operation()

    @Slot()
    def show_operation(self) -> None:
        """Write the operation's placement into the fields, and what the check says."""
        row = self._document.operation.seed_row
        fields = (self._soil, self._row, self._spread, self._drying)
        blockers = [QSignalBlocker(field) for field in fields]
        self._soil.setCurrentIndex(self._soil.findData(_SPREAD if row is None else str(row.soil)))
        self._row.setValue(0.0 if row is None else row.row_spacing_mm)
        self._spread.setValue(0.0 if row is None else row.spread_mm)
        self._drying.setChecked(row is not None and row.is_drying)
        self._show_rows(is_with_seed=row is not None)
        self._tell(self._notes())
        del blockers

    def _show_rows(self, *, is_with_seed: bool) -> None:
        for field in (self._row, self._spread, self._drying):
            self._form.setRowVisible(field, is_with_seed)

    def _notes(self) -> str:
        """What the plan says of this placement; a plan that fails says it elsewhere."""
        try:
            notes = self._document.plan().seed_notes
        except VrxError:
            return ""
        return "\n".join(str(note) for note in notes)

    def _tell(self, text: str) -> None:
        self._told.setText(text)
        self._told.setVisible(bool(text))

    @Slot()
    def _on_edited(self) -> None:
        soil = self._soil.currentData()
        self._show_rows(is_with_seed=soil != _SPREAD)
        change = partial(set_seed_row, operation_id=self._document.operation_id)
        if soil == _SPREAD:
            self._document.edit("Spread over the ground", partial(change, seed_row=None))
        elif self._row.value() > 0 and self._spread.value() > 0:
            try:
                row = SeedRow(
                    SeedSoil(soil),
                    self._spread.value(),
                    self._row.value(),
                    self._drying.isChecked(),
                )
            except VrxError as error:
                self._tell(str(error))
                return
            self._document.edit("Place with the seed", partial(change, seed_row=row))
