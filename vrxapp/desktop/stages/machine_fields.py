"""The machine of the pass that is shown, behind a fold: swath, step, lowest and highest rate."""

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker, Slot
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.fold import FieldFold
from vrxapp.desktop.stages.sheet_parts import add_row, faint, grown_form, number_field
from vrxapp.edits.rates import set_machine
from vrxapp.errors import VrxError
from vrxapp.spreading.machine import Machine


class MachineFields(QWidget):
    """Each field is one edit of the pass; what the machine cannot be is told under them."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("machineFields")
        self._document = document
        self._name = QLineEdit(self)
        self._name.setObjectName("machineNameField")
        self._numbers = {
            "swath_width_m": number_field("swathSpinBox", self, unit="m", low=0.1, high=100.0),
            "rate_step_kg_ha": number_field(
                "rateStepSpinBox", self, unit="kg/ha", low=0.1, high=1000.0
            ),
            "lowest_rate_kg_ha": number_field(
                "lowestRateSpinBox", self, unit="kg/ha", low=0.0, high=20_000.0
            ),
            "highest_rate_kg_ha": number_field(
                "highestRateSpinBox", self, unit="kg/ha", low=0.0, high=20_000.0
            ),
        }
        self._words = faint("", self, name="machineWords")
        self._lay_out()
        self._name.editingFinished.connect(self._on_edited)
        for field in self._numbers.values():
            field.valueChanged.connect(self._on_edited)
        document.changed.connect(self.show_operation)
        document.operation_chosen.connect(self.show_operation)
        self.show_operation()

    def _lay_out(self) -> None:
        held = QWidget(self)
        form = grown_form(held)
        add_row(form, "Called", self._name, "What people call the spreader")
        for name, text, tip in (
            ("swath_width_m", "Swath", "Distance from one pass to the next"),
            ("rate_step_kg_ha", "Step", "Smallest change of rate that it meters"),
            ("lowest_rate_kg_ha", "Lowest rate", "Lowest rate that it meters as you drive"),
            ("highest_rate_kg_ha", "Highest rate", "Highest rate that it meters as you drive"),
        ):
            add_row(form, text, self._numbers[name], tip)
        form.addRow(self._words)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(FieldFold("machine", "Machine of this pass", held, self))

    @Slot()
    def show_operation(self) -> None:
        """Write the machine into the fields, without taking that for an edit."""
        machine = self._document.operation.machine
        blockers = [QSignalBlocker(field) for field in (self._name, *self._numbers.values())]
        self._name.setText(machine.name)
        for name, field in self._numbers.items():
            field.setValue(getattr(machine, name))
        self._words.setText("It belongs to this pass alone; other passes keep theirs.")
        del blockers

    def _made(self) -> Machine:
        """The machine as the fields stand; a figure that is shown rounded stays as it is."""
        machine = self._document.operation.machine
        figures = {
            name: field.value()
            for name, field in self._numbers.items()
            if field.value() != round(getattr(machine, name), field.decimals())
        }
        return replace(machine, name=self._name.text().strip() or machine.name, **figures)

    @Slot()
    def _on_edited(self) -> None:
        operation = self._document.operation.id
        try:
            change = partial(set_machine, operation_id=operation, machine=self._made())
            self._document.edit("Change the machine", change)
        except VrxError as error:
            self._words.setText(str(error))
