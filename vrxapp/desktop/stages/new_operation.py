"""The dialog for another pass: what it is called, what for, which product and machine."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QLineEdit, QVBoxLayout, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import add_row, fill_combo, grown_form, number_field
from vrxapp.edits.operations import free_operation_id
from vrxapp.need_plans import Purpose
from vrxapp.prescription.supply import brings
from vrxapp.season import Operation
from vrxapp.spreading.machine import Machine
from vrxapp.workflows.operation_settings import (
    OperationSettings,
    operation_from,
    starting_machine,
)


class NewOperationDialog(QDialog):
    """Fields for a pass; the machine starts from a plain one for the purpose."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("newOperationDialog")
        self.setWindowTitle("Plan another pass")
        self._document = document
        self._name = QLineEdit(self)
        self._name.setObjectName("newOperationName")
        self._timing = QLineEdit(self)
        self._timing.setObjectName("newOperationTiming")
        self._purpose = QComboBox(self)
        self._purpose.setObjectName("newOperationPurpose")
        fill_combo(self._purpose, [(str(p).capitalize(), str(p)) for p in Purpose], "phosphorus")
        self._product = QComboBox(self)
        self._product.setObjectName("newOperationProduct")
        products = document.farm.products
        fill_combo(self._product, [(p.name, p.key) for p in products], products[0].key)
        self._machine = QLineEdit(self)
        self._machine.setObjectName("newOperationMachine")
        self._numbers = {
            "swath": number_field("newSwathSpinBox", self, unit="m", low=0.1, high=100.0),
            "step": number_field("newStepSpinBox", self, unit="kg/ha", low=0.1, high=1000.0),
            "lowest": number_field("newLowestSpinBox", self, unit="kg/ha", low=0.0, high=20_000.0),
            "highest": number_field(
                "newHighestSpinBox", self, unit="kg/ha", low=0.0, high=20_000.0
            ),
        }
        self._buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel, self
        )
        self._buttons.setObjectName("newOperationButtons")
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        self._lay_out()
        self._name.textChanged.connect(self._allow)
        self._purpose.currentIndexChanged.connect(self._show_machine)
        self._show_machine()
        self._allow()

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        form = grown_form(None)
        add_row(form, "&Name", self._name, "What the pass is called")
        add_row(form, "&Timing", self._timing, "When it is planned, in your words")
        add_row(form, "&For", self._purpose, "Which need it covers")
        add_row(form, "&Product", self._product, "What is spread")
        add_row(form, "&Machine", self._machine, "What the spreader is called")
        add_row(form, "&Swath", self._numbers["swath"], "Distance from one pass to the next")
        add_row(form, "S&tep", self._numbers["step"], "Smallest change of rate")
        add_row(form, "&Lowest rate", self._numbers["lowest"], "Lowest rate that is metered")
        add_row(form, "&Highest rate", self._numbers["highest"], "Highest rate that is metered")
        layout.addLayout(form)
        layout.addWidget(self._buttons)

    @Slot()
    def _show_machine(self) -> None:
        """Start from a plain machine and the first product that serves the purpose."""
        purpose = Purpose(self._purpose.currentData())
        products = self._document.farm.products
        serving = next((p for p in products if brings(p, purpose)), products[0])
        self._product.setCurrentIndex(self._product.findData(serving.key))
        machine = starting_machine(Purpose(self._purpose.currentData()))
        self._machine.setText(machine.name)
        self._numbers["swath"].setValue(machine.swath_width_m)
        self._numbers["step"].setValue(machine.rate_step_kg_ha)
        self._numbers["lowest"].setValue(machine.lowest_rate_kg_ha)
        self._numbers["highest"].setValue(machine.highest_rate_kg_ha)

    @Slot()
    def _allow(self) -> None:
        named = bool(self._name.text().strip())
        self._buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(named)

    def operation(self) -> Operation:
        """The pass as the fields stand.

        Raises
        ------
        VrxError
            If the machine could spread nothing.
        """
        numbers = {name: field.value() for name, field in self._numbers.items()}
        machine = Machine(
            self._machine.text().strip() or "Spreader",
            numbers["swath"],
            numbers["step"],
            numbers["lowest"],
            numbers["highest"],
        )
        settings = OperationSettings(
            name=self._name.text().strip(),
            timing=self._timing.text().strip() or "not said",
            product=self._product.currentData(),
            purpose=Purpose(self._purpose.currentData()),
            machine=machine,
        )
        operation_id = free_operation_id(self._document.season)
        return operation_from(settings, self._document.farm.products, operation_id=operation_id)
