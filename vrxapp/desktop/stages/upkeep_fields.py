"""Maintenance lime on top of a method, behind a fold: a harvest, nitrogen, and the years."""

import math

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from vrxapp.agronomy.lime_maintenance import lime_removals, nitrogen_acidities
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.desktop.stages.fold import fold_button
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
    tell_number,
    told_number,
    untold_field,
)
from vrxapp.errors import VrxError
from vrxapp.units import PERCENT

_NONE = ""


class UpkeepFields(QWidget):
    """A fold that opens on maintenance lime; open by itself where some was asked for."""

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("upkeepFields")
        self._fold = fold_button("upkeepFold", self)
        self._fold.setText("Maintenance lime")
        self._fold.setToolTip("Lime that balances harvests and nitrogen; only where you ask for it")
        self._body = QWidget(self)
        self._harvest = combo_field("upkeepHarvestCombo", self._body)
        harvests = [(row.name, row.key) for row in lime_removals()]
        fill_combo(self._harvest, [("no harvest", _NONE), *harvests], _NONE)
        self._nitrogen = combo_field("upkeepNitrogenCombo", self._body)
        sources = [(row.name, row.key) for row in nitrogen_acidities()]
        fill_combo(self._nitrogen, [("no nitrogen", _NONE), *sources], _NONE)
        self._rate = number_field(
            "upkeepRateSpinBox", self._body, unit="kg N/ha", low=0.0, high=500.0
        )
        self._leached = untold_field("upkeepLeachedSpinBox", self._body, unit="%", high=100.0)
        self._years = number_field(
            "upkeepYearsSpinBox", self._body, unit="years", low=1.0, high=20.0, decimals=0
        )
        self._told = faint("", self._body, name="upkeepTold")
        self._lay_out()
        self._connect()
        self._on_folded()
        self._show_rows()

    def _lay_out(self) -> None:
        self._form = grown_form(None)
        add_row(self._form, "Taken away", self._harvest, "Each year, at the target yield")
        add_row(self._form, "Nitrogen as", self._nitrogen, "The source that is spread each year")
        add_row(self._form, "Its rate", self._rate, "Nitrogen spread each year")
        add_row(self._form, "Leached", self._leached, "Share lost as nitrate; there is no default")
        add_row(self._form, "For", self._years, "Years that the lime is to last")
        inside = QVBoxLayout(self._body)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addLayout(self._form)
        inside.addWidget(self._told)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._fold)
        layout.addWidget(self._body)

    def _connect(self) -> None:
        self._fold.toggled.connect(self._on_folded)
        for combo in (self._harvest, self._nitrogen):
            combo.activated.connect(self._on_edited)
        for number in (self._rate, self._leached, self._years):
            number.valueChanged.connect(self._on_edited)

    @Slot()
    def _on_folded(self) -> None:
        is_open = self._fold.isChecked()
        self._fold.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        self._body.setVisible(is_open)

    @Slot()
    def _on_edited(self) -> None:
        """Tell of an edit, or what is still missing to make one."""
        self._show_rows()
        try:
            self.upkeep()
        except VrxError as error:
            self._told.setText(str(error))
            return
        self._told.setText("")
        self.edited.emit()

    def _show_rows(self) -> None:
        """Show just the rows that the choices ask for."""
        has_nitrogen = self._nitrogen.currentData() != _NONE
        is_any = has_nitrogen or self._harvest.currentData() != _NONE
        for field, is_asked in (
            (self._rate, has_nitrogen),
            (self._leached, has_nitrogen),
            (self._years, is_any),
        ):
            self._form.setRowVisible(field, is_asked)
        self._told.setVisible(is_any)

    def show_upkeep(self, upkeep: LimeUpkeep | None) -> None:
        """Write the season's maintenance into the fields; what is being typed stays."""
        if upkeep is None:
            if not self._told.text():
                self._clear()
            return
        fields = (self._harvest, self._nitrogen, self._rate, self._leached, self._years)
        blockers = [QSignalBlocker(field) for field in fields]
        self._harvest.setCurrentIndex(self._harvest.findData(upkeep.harvest))
        self._nitrogen.setCurrentIndex(self._nitrogen.findData(upkeep.nitrogen))
        self._rate.setValue(upkeep.nitrogen_kg_ha)
        tell_number(self._leached, upkeep.leached_fraction * PERCENT)
        self._years.setValue(upkeep.years)
        del blockers
        self._fold.setChecked(True)
        self._show_rows()

    def _clear(self) -> None:
        """No maintenance."""
        blockers = [QSignalBlocker(field) for field in (self._harvest, self._nitrogen)]
        self._harvest.setCurrentIndex(0)
        self._nitrogen.setCurrentIndex(0)
        del blockers
        self._show_rows()

    def upkeep(self) -> LimeUpkeep | None:
        """The maintenance as the fields stand; None where none is asked for.

        Raises
        ------
        MissingInputError
            If a part is still missing.
        """
        harvest, nitrogen = self._harvest.currentData(), self._nitrogen.currentData()
        if not (harvest or nitrogen):
            return None
        return LimeUpkeep(
            harvest,
            nitrogen,
            self._rate.value() if nitrogen else 0.0,
            told_number(self._leached) / PERCENT if nitrogen else math.nan,
            self._years.value(),
        )
