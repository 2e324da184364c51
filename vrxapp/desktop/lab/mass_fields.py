"""What turns results by area or by volume into concentrations, told in place."""

from PySide6.QtCore import QSignalBlocker, Signal, Slot
from PySide6.QtWidgets import QDoubleSpinBox, QHBoxLayout, QWidget

from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.files.lab_sheets.mass_basis import DENSITY_HIGHEST, DENSITY_LOWEST, MassBasis

_ASK, _DENSITY, _ACRE = "ask", "density", "acre"
_WAYS = [
    ("asked for where there are any", _ASK),
    ("depth in the sheet, bulk density", _DENSITY),
    ("6 inches of 2 million lb an acre", _ACRE),
]
_AREA_TIP = (
    "Results in kg/ha or lb/ac become concentrations by the layer's mass; take the acre "
    "convention only where the laboratory says that its figures stand for it"
)
_VOLUME_TIP = "Mass of a litre of dried and sieved sample, as the laboratory gives it; 0: not told"


class MassFields(QWidget):
    """How results by area and by volume are read; results read so are marked as estimates."""

    basis_changed = Signal(object)  # the MassBasis

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._way = combo_field("byAreaCombo", self)
        fill_combo(self._way, _WAYS, _ASK)
        self._density = number_field(
            "sheetDensitySpinBox", self, unit="t/m³", low=0.0, high=DENSITY_HIGHEST, decimals=2
        )
        self._density.setSpecialValueText("not told")
        self._density.setMinimumWidth(0)
        self._density.setAccessibleName("Bulk density of the layers")
        self._density.setToolTip("Dry bulk density of the sampled layers")
        self._sample = number_field(
            "sampleDensitySpinBox", self, unit="kg/L", low=0.0, high=DENSITY_HIGHEST, decimals=2
        )
        self._sample.setSpecialValueText("not told")
        holder = QWidget(self)
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._way, 1)
        row.addWidget(self._density)
        form = grown_form(self)
        add_row(form, "Results by &area", self._way, _AREA_TIP, holder=holder)
        add_row(form, "Results by &volume", self._sample, _VOLUME_TIP)
        self.show_basis(MassBasis())
        self._way.activated.connect(self._on_edited)
        self._density.valueChanged.connect(self._on_edited)
        self._sample.valueChanged.connect(self._on_edited)

    def show_basis(self, basis: MassBasis) -> None:
        """Show what is told so far."""
        blockers = [QSignalBlocker(w) for w in (self._way, self._density, self._sample)]
        density = basis.bulk_density_t_m3
        way = _ACRE if basis.acre_convention else _ASK if density is None else _DENSITY
        self._way.setCurrentIndex(self._way.findData(way))
        if density is not None:
            self._density.setValue(density)
        self._density.setVisible(way == _DENSITY)
        self._sample.setValue(basis.sample_density_kg_l or 0.0)
        del blockers

    @Slot()
    def _on_edited(self) -> None:
        way = self._way.currentData()
        self._density.setVisible(way == _DENSITY)
        self.basis_changed.emit(
            MassBasis(
                bulk_density_t_m3=_told(self._density) if way == _DENSITY else None,
                sample_density_kg_l=_told(self._sample),
                acre_convention=way == _ACRE,
            )
        )


def _told(field: QDoubleSpinBox) -> float | None:
    """A density, once it is one that can be."""
    return field.value() if field.value() >= DENSITY_LOWEST else None
