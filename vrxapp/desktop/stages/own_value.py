"""A critical value of the agronomist's own: number, soil test and reason, typed in place."""

from PySide6.QtCore import QSignalBlocker, Signal, Slot
from PySide6.QtWidgets import QFormLayout, QLineEdit, QPushButton, QWidget

from vrxapp.agronomy.critical_values import (
    PHOSPHORUS_TESTS,
    CriticalValue,
    own_critical_value,
)
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, fill_combo, number_field
from vrxapp.errors import UnknownChoiceError
from vrxapp.soil.analytes import analyte
from vrxapp.soil.sheet_matching import layer_cm


class OwnValueFields(QWidget):
    """Fields for a value of one's own; it counts once it has a number and a reason."""

    value_given = Signal(object)  # the CriticalValue

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ownValueFields")
        self._critical: CriticalValue | None = None
        self._number = number_field("ownCriticalSpinBox", self, unit="mg/kg", low=0.0, high=500.0)
        self._reason = QLineEdit(self)
        self._reason.setObjectName("ownReasonEdit")
        self._reason.setPlaceholderText("where it comes from")
        self._test = combo_field("ownTestCombo", self)
        fill_combo(self._test, [(analyte(key).name, key) for key in PHOSPHORUS_TESTS], "colwell_p")
        self._method = faint("", self, name="ownMethodLabel")
        self._layer = QLineEdit(self)
        self._layer.setObjectName("ownLayerEdit")
        self._use = QPushButton("Use my value", self)
        self._use.setObjectName("useOwnValueButton")
        self._use.setToolTip("Read the soil test against this value; the trail marks it as yours")
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        add_row(form, "Soil &test", self._test, "The test that your value is for, and no other")
        form.addRow(self._method)
        add_row(
            form,
            "Its la&yer, cm",
            self._layer,
            "The layer that your value is for, such as 0-15; results of other layers are left out",
        )
        add_row(form, "My val&ue", self._number, "Your own critical value for this soil test")
        add_row(form, "&Reason", self._reason, "Where it comes from; needed")
        form.addRow("", self._use)
        self._test.activated.connect(self._show_method)
        self._number.valueChanged.connect(self._allow)
        self._reason.textChanged.connect(self._allow)
        self._layer.textChanged.connect(self._allow)
        self._layer.returnPressed.connect(self._on_use)
        self._reason.returnPressed.connect(self._on_use)
        self._use.clicked.connect(self._on_use)

    def show_value(self, critical: CriticalValue) -> None:
        """Show the calibration that is in use; one's own with its number and reason."""
        self._critical = critical
        self._test.setCurrentIndex(self._test.findData(critical.analyte))
        self._layer.setText(critical.depth_cm)
        self._show_method()
        if critical.key == "own":
            blockers = [QSignalBlocker(self._number), QSignalBlocker(self._reason)]
            self._number.setValue(critical.low_mg_kg)
            self._reason.setText(critical.where)
            del blockers
        self._allow()

    @Slot()
    def _show_method(self) -> None:
        """Tell the method of the chosen test."""
        self._method.setText(analyte(self._test.currentData()).method)

    def ask(self) -> None:
        """Let the user type a value."""
        self._number.setFocus()
        self._number.selectAll()

    @Slot()
    def _allow(self) -> None:
        told = self._number.value() > 0 and bool(self._reason.text().strip())
        self._use.setEnabled(told and bool(self._told_layer()))

    def _told_layer(self) -> str:
        """The layer as it is kept; empty as long as it is none. [cm]"""
        try:
            return layer_cm(self._layer.text())
        except UnknownChoiceError:
            return ""

    @Slot()
    def _on_use(self) -> None:
        if self._critical is not None and self._use.isEnabled():
            self.value_given.emit(
                own_critical_value(
                    self._critical.crop,
                    self._test.currentData(),
                    self._number.value(),
                    reason=self._reason.text(),
                    depth_cm=self._told_layer(),
                )
            )
