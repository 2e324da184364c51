"""How tests are estimated that a lab sheet lacks: a fold of the Tests sheet, and no edit."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QCheckBox, QDoubleSpinBox, QVBoxLayout, QWidget

from vrxapp.desktop.stages.fold import fold_button
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.prescription.estimated_tests import EstimateChoices, ece_ways

_NO_FACTOR = 0.99
_MOST_FACTOR = 2.5
_MARK = "Estimates stand with ~ and in italics. No rate reads them."


class EstimateFields(QWidget):
    """A fold that opens on the choices behind estimates; closed until somebody asks."""

    chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("estimateFields")
        self._fold = fold_button("estimateFoldButton", self)
        self._fold.setText("How lacking tests are estimated")
        self._fold.setToolTip("Show or hide: ECe, total carbon, and what salt costs the crop")
        self._body = QWidget(self)
        self._ece = combo_field("eceWayCombo", self._body)
        fill_combo(self._ece, [(name, key) for key, name in ece_ways()], "")
        self._carbon = _factor_field(self._body)
        self._salt = QCheckBox("Crop's loss to sa&lt (unverified)", self._body)
        self._salt.setObjectName("saltLossCheckBox")
        self._salt.setToolTip(
            "Also tell what the crop loses by figures from memory, which nobody verified"
        )
        self._lay_out()
        self._fold.toggled.connect(self._on_folded)
        self._ece.activated.connect(self.chosen)
        self._carbon.valueChanged.connect(self.chosen)
        self._salt.toggled.connect(self.chosen)
        self._on_folded()

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "ECe &by", self._ece, "From EC 1:5, where the sheet has no ECe")
        add_row(
            form,
            "Ca&rbon factor",
            self._carbon,
            "Total over Walkley and Black carbon; laboratories gave 1.08, 1.3 is usual",
        )
        form.addRow("", self._salt)
        inside = QVBoxLayout(self._body)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addLayout(form)
        inside.addWidget(faint(_MARK, self._body))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self._fold)
        layout.addWidget(self._body)

    @Slot()
    def _on_folded(self) -> None:
        is_open = self._fold.isChecked()
        self._fold.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        self._body.setVisible(is_open)

    def choices(self) -> EstimateChoices:
        """How lacking tests are estimated, as the fields stand."""
        factor = self._carbon.value()
        return EstimateChoices(self._ece.currentData(), factor if factor > _NO_FACTOR else None)

    def tells_salt_loss(self) -> bool:
        """Whether unverified figures may tell what the crop loses to salt."""
        return self._salt.isChecked()


def _factor_field(parent: QWidget) -> QDoubleSpinBox:
    """A factor that starts as none at all, which is not the same as 1."""
    field = number_field(
        "carbonFactorSpinBox", parent, unit="", low=_NO_FACTOR, high=_MOST_FACTOR, decimals=2
    )
    field.setSuffix("")
    field.setStepType(QDoubleSpinBox.StepType.DefaultStepType)
    field.setSingleStep(0.01)
    field.setSpecialValueText("none chosen")
    return field
