"""How lime is worked out: the method, and just the choices that it asks for."""

import math
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Slot
from PySide6.QtWidgets import QCheckBox, QDoubleSpinBox, QPushButton, QWidget

from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod, lime_method, lime_methods
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.desktop.stages.upkeep_fields import UpkeepFields
from vrxapp.edits.operations import set_lime_plan
from vrxapp.errors import VrxError
from vrxapp.need_plans import LimePlan
from vrxapp.sources import Grade

_NONE = ""
_TEXTURES = ("sand", "sandy loam", "clay loam", "clay")
_ASKED_FOR = {
    LimeMethod.ESTIMATED_BUFFERING: ("function",),
    LimeMethod.TOLERATED_ALUMINIUM: ("tolerated",),
    LimeMethod.MEHLICH_BUFFER: ("sensitive",),
    LimeMethod.QUEENSLAND_BUFFER: ("target_water",),
}
"""Choices that a method asks for beside the columns that it reads."""


class LimeFields(QWidget):
    """Fields for the lime plan of the season; there is no default method."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("limeFields")
        self._document = document
        self._method = combo_field("limeMethodCombo", self)
        entries = [("choose a method", _NONE)]
        entries += [
            (row.name if row.grade is Grade.PUBLISHED else f"{row.name} !", str(row.key))
            for row in lime_methods()
        ]
        fill_combo(self._method, entries, _NONE)
        self._where = faint("", self, name="limeMethodLabel")
        self._target = _unset_number("limeTargetCaclSpinBox", self, unit="pH(CaCl2)", high=6.0)
        self._target_water = _unset_number("limeTargetWaterSpinBox", self, unit="pH(water)", high=8)
        self._tolerated = _unset_number("toleratedAluminiumSpinBox", self, unit="%", high=60.0)
        self._density = _unset_number("bulkDensitySpinBox", self, unit="t/m³", high=2.0)
        self._function = combo_field("bufferFunctionCombo", self)
        functions = [(str(f), str(f)) for f in BufferFunction]
        fill_combo(self._function, [("choose an estimate", _NONE), *functions], _NONE)
        self._texture = combo_field("limeTextureCombo", self)
        fill_combo(self._texture, [("not told", _NONE), *((t, t) for t in _TEXTURES)], _NONE)
        self._sensitive = QCheckBox("Crop is sensitive to acidity", self)
        self._sensitive.setObjectName("sensitiveCropCheckBox")
        self._limes = QPushButton("Limes at hand…", self)
        self._limes.setObjectName("limesButton")
        self._limes.setToolTip("What a tonne that works costs in each, and a lime's own sieve")
        self._upkeep = UpkeepFields(self)
        self._form = grown_form(self)
        self._rows: dict[str, QWidget] = {
            "target": self._target,
            "target_water": self._target_water,
            "tolerated": self._tolerated,
            "density": self._density,
            "function": self._function,
            "texture": self._texture,
            "sensitive": self._sensitive,
        }
        self._lay_out()
        self._connect()
        self.show_season()

    def _lay_out(self) -> None:
        tips = {
            "target": ("Target pH(CaCl2)", "Aimed at in the top 10 cm; above 6.0 is not limed for"),
            "target_water": ("Target pH(water)", "Aimed at in the top 10 cm"),
            "tolerated": ("Al that is borne", "Share of the effective CEC that the crop bears"),
            "density": ("Bulk density", "Of the limed layer; measured if you can"),
            "function": ("Estimate", "Of the buffer capacity; they disagree, and all are marked"),
            "texture": ("Texture", "Of the whole paddock"),
        }
        add_row(self._form, "Lime by", self._method, "The method; there is no default")
        self._form.addRow(self._where)
        for name, field in self._rows.items():
            if name in tips:
                add_row(self._form, tips[name][0], field, tips[name][1])
        self._form.addRow("", self._sensitive)
        self._form.addRow(self._upkeep)
        self._form.addRow(self._limes)

    def _connect(self) -> None:
        for combo in (self._method, self._function, self._texture):
            combo.activated.connect(self._on_edited)
        for number in (self._target, self._target_water, self._tolerated, self._density):
            number.valueChanged.connect(self._on_edited)
        self._sensitive.clicked.connect(self._on_edited)
        self._upkeep.edited.connect(self._on_edited)
        self._limes.clicked.connect(self._on_limes_clicked)
        self._document.changed.connect(self.show_season)

    @Slot()
    def show_season(self) -> None:
        """Write the season's lime plan into the fields, and show those that it asks for."""
        plan = self._document.season.lime
        blockers = [QSignalBlocker(field) for field in (self._method, *self._rows.values())]
        method = _NONE if plan is None else str(plan.method)
        self._method.setCurrentIndex(self._method.findData(method))
        if plan is not None:
            choices = plan.choices
            self._target.setValue(_zero(choices.target_ph_cacl2))
            self._target_water.setValue(_zero(choices.target_ph_water))
            self._tolerated.setValue(_zero(choices.tolerated_aluminium_percent))
            self._density.setValue(_zero(plan.bulk_density_t_m3))
            self._function.setCurrentIndex(
                self._function.findData(str(choices.buffer_function or ""))
            )
            self._texture.setCurrentIndex(self._texture.findData(plan.texture))
            self._sensitive.setChecked(choices.is_sensitive_crop)
            self._upkeep.show_upkeep(plan.upkeep)
        self._form.setRowVisible(self._upkeep, plan is not None)
        asked = _asked(plan.method) if plan is not None else frozenset()
        for name, field in self._rows.items():
            self._form.setRowVisible(field, name in asked)
        self._where.setText("" if plan is None else lime_method(plan.method).where)
        del blockers

    @Slot()
    def _on_limes_clicked(self) -> None:
        from vrxapp.desktop.stages.limes_dialog import LimesDialog

        dialog = LimesDialog(self._document, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    @Slot()
    def _on_edited(self) -> None:
        key = self._method.currentData()
        plan = None if key == _NONE else self._plan(LimeMethod(key))
        text = "Leave lime out" if plan is None else f"Lime by {lime_method(plan.method).name}"
        self._document.edit(text, partial(set_lime_plan, plan=plan))

    def _plan(self, method: LimeMethod) -> LimePlan:
        """The plan as the fields stand."""
        function = self._function.currentData()
        choices = LimeChoices(
            target_ph_cacl2=_nan(self._target),
            target_ph_water=_nan(self._target_water),
            buffer_function=BufferFunction(function) if function else None,
            tolerated_aluminium_percent=_nan(self._tolerated),
            is_sensitive_crop=self._sensitive.isChecked(),
        )
        texture, density = self._texture.currentData(), _nan(self._density)
        return LimePlan(method, choices, density, texture, self._told_upkeep())

    def _told_upkeep(self) -> LimeUpkeep | None:
        """The maintenance as the fields stand, else as the season has it."""
        plan = self._document.season.lime
        try:
            return self._upkeep.upkeep()
        except VrxError:  # it says itself what is missing
            return None if plan is None else plan.upkeep


def _asked(method: LimeMethod) -> frozenset[str]:
    """Names of the choices that a method asks for."""
    needs = lime_method(method).needs
    asked = set(_ASKED_FOR.get(method, ()))
    asked |= {"target"} if "ph_cacl2" in needs else set()
    asked |= {"density"} if "bulk_density_t_m3" in needs else set()
    asked |= {"texture"} if "texture" in needs else set()
    return frozenset(asked)


def _unset_number(name: str, parent: QWidget, *, unit: str, high: float) -> QDoubleSpinBox:
    """A number that starts as not set."""
    field = number_field(name, parent, unit=unit, low=0.0, high=high, decimals=2)
    field.setSpecialValueText("not set")
    return field


def _nan(field: QDoubleSpinBox) -> float:
    return field.value() or math.nan


def _zero(value: float) -> float:
    return 0.0 if math.isnan(value) else value
