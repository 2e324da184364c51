"""How phosphorus is worked out: critical value, the agronomist's own, and build-up."""

import math
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker, Slot
from PySide6.QtWidgets import QWidget

from vrxapp.agronomy.critical_values import (
    AWAITED,
    CriticalValue,
    critical_value,
    critical_values,
    is_awaited,
)
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.own_value import OwnValueFields
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.edits.rates import set_build_up, set_critical_value, set_phosphorus_removal
from vrxapp.prescription.phosphorus_by_zone import phosphorus_removal
from vrxapp.season import Season
from vrxapp.sources import Grade

OWN = "own"
OWN_ANALYSIS = "an analysis of one's own"


class PhosphorusFields(QWidget):
    """Fields for the phosphorus plan of the season."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("phosphorusFields")
        self._document = document
        self._critical = combo_field("criticalValueCombo", self)
        self._own = OwnValueFields(self)
        self._factor = number_field(
            "buildUpFactorSpinBox", self, unit="kg P/ha per mg/kg", low=0.0, high=30.0
        )
        self._factor.setSpecialValueText("left out")
        self._years = number_field(
            "buildUpYearsSpinBox", self, unit="years", low=1.0, high=20.0, decimals=0
        )
        self._removal = number_field(
            "phosphorusRemovalSpinBox", self, unit="kg P/t", low=0.0, high=50.0, decimals=2
        )
        form = grown_form(self)
        add_row(
            form,
            "Critical &value",
            self._critical,
            "What the soil test is read against; unverified ones are marked and never where a "
            "crop starts",
        )
        form.addRow(self._own)
        add_row(
            form,
            "&Build-up",
            self._factor,
            "Phosphorus that lifts the soil test by 1 mg/kg. Published for Colwell P: 2 to 4, "
            "and 5 to 15; they disagree, so you choose",
        )
        add_row(form, "S&hared over", self._years, "Years over which build-up is shared")
        add_row(
            form,
            "P i&n harvest",
            self._removal,
            "Phosphorus in a tonne by your own analysis; 0 for the published figure",
        )
        self._critical.activated.connect(self._on_critical_chosen)
        self._own.value_given.connect(self._on_own_value_given)
        self._factor.valueChanged.connect(self._on_build_up_edited)
        self._years.valueChanged.connect(self._on_build_up_edited)
        self._removal.valueChanged.connect(self._on_removal_edited)
        document.changed.connect(self.show_season)
        self.show_season()

    @Slot()
    def show_season(self) -> None:
        """Write the season's phosphorus plan into the fields."""
        season, plan = self._document.season, self._document.season.phosphorus
        fields = (self._critical, self._factor, self._years, self._removal)
        blockers = [QSignalBlocker(field) for field in fields]
        chosen = [(_marked(c), c.key) for c in critical_values(season.crop.crop)]
        awaits_one = is_awaited(plan.critical)
        if awaits_one:
            chosen.insert(0, (plan.critical.name, plan.critical.key))
        fill_combo(self._critical, [*chosen, ("my own value", OWN)], plan.critical.key)
        self._own.show_value(plan.critical)
        self._own.setVisible(awaits_one or plan.critical.key == OWN)
        self._removal.setSpecialValueText(_published_removal(season))
        self._removal.setValue(plan.removal.kg_per_unit if plan.removal else 0.0)
        factor = plan.build_up_factor_kg_ha_per_mg_kg
        self._factor.setValue(0.0 if math.isnan(factor) else factor)
        self._years.setValue(plan.build_up_years)
        self._years.setEnabled(not math.isnan(factor))
        del blockers

    @Slot(int)
    def _on_critical_chosen(self, index: int) -> None:
        key = self._critical.itemData(index)
        if key in (OWN, AWAITED):
            self._own.setVisible(True)
            self._own.ask()
        else:
            critical = critical_value(key)
            change = partial(set_critical_value, critical=critical)
            self._document.edit(f"Read against {critical.name}", change)
            self._own.setVisible(False)

    @Slot(object)
    def _on_own_value_given(self, critical: CriticalValue) -> None:
        change = partial(set_critical_value, critical=critical)
        self._document.edit("Use my own critical value", change)

    @Slot()
    def _on_build_up_edited(self) -> None:
        factor = self._factor.value() or math.nan
        text = "Leave build-up out" if math.isnan(factor) else f"Build up with {factor:g}"
        change = partial(set_build_up, factor_kg_ha_per_mg_kg=factor, years=self._years.value())
        self._document.edit(text, change)

    @Slot(float)
    def _on_removal_edited(self, kg_p_t: float) -> None:
        text = f"Count {kg_p_t:g} kg P/t" if kg_p_t else "Count the published phosphorus"
        change = partial(set_phosphorus_removal, kg_p_t=kg_p_t or math.nan, reason=OWN_ANALYSIS)
        self._document.edit(text, change)


def _published_removal(season: Season) -> str:
    """The figure that counts as long as none of one's own is given."""
    unset = replace(season.phosphorus, removal=None)
    removal = phosphorus_removal(unset, season.crop)
    return f"{removal.kg_per_unit:g} kg P/t" if removal else "none published"


def _marked(critical: CriticalValue) -> str:
    """A calibration's name, marked where nobody could check it."""
    return critical.name if critical.grade is Grade.PUBLISHED else f"{critical.name} !"
