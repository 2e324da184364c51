"""The sum of a compost, manure or litter on screen: what is told, and what comes of it."""

import math

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.organic_dressing import Basis, typical_keys
from vrxapp.agronomy.organics import OrganicMaterial, organic_contents
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.lab.dressings_box import DressingsBox
from vrxapp.desktop.stages.sheet_parts import add_row, close_button, combo_field, faint, grown_form
from vrxapp.errors import MissingInputError, VrxError
from vrxapp.workflows.organics import (
    OrganicAsk,
    OrganicSettings,
    OrganicSum,
    organic_analysis_from,
    organic_lines,
    organic_sum,
)

_MOISTURE = ("moisture_percent", "Moisture, %", "Water by the mass as supplied")
_OWN_FIELDS = (
    ("n_percent", "Nitrogen, %", "Total nitrogen"),
    ("p_percent", "Phosphorus, %", "As the element, not the oxide"),
    ("k_percent", "Potassium, %", "As the element, not the oxide"),
    ("s_percent", "Sulfur, %", "As the element"),
    ("ammonium_n_percent", "Ammonium N, %", "The part of the nitrogen that is ammonium"),
)
_ASK_FIELDS = (
    ("wet_t_ha", "Rate as spread, t/ha", "Leave empty to rate it by a need"),
    ("dry_t_ha", "Or dry rate, t/ha", "Rate of dry matter"),
    ("need_p_kg_ha", "Phosphorus needed, kg/ha", "Rate it by phosphorus first"),
    ("need_n_kg_ha", "Nitrogen needed, kg/ha", "Shows how much phosphorus comes with it"),
)
_ALL_FIELDS = (_MOISTURE, *_OWN_FIELDS, *_ASK_FIELDS)


class OrganicDialog(QDialog):
    """Fields on the left, what comes of them on the right, what is noted of it below."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("organicDialog")
        self.setWindowTitle("Compost and manure")
        self.resize(940, 720)
        self._numbers: dict[str, QLineEdit] = {}
        self._batch = self._combo("organicBatch", _batches())
        self._material = self._combo(
            "organicMaterial",
            [("No published release", ""), *((str(m), m) for m in OrganicMaterial)],
        )
        self._basis = self._combo("organicBasis", [(str(b), str(b)) for b in Basis])
        self._result = QPlainTextEdit(self)
        self._result.setObjectName("organicResult")
        self._result.setAccessibleName("What it carries")
        self._result.setReadOnly(True)
        buttons = close_button("organicButtons", self)
        middle = QHBoxLayout()
        middle.addWidget(self._fields())
        middle.addWidget(self._result, 1)
        layout = QVBoxLayout(self)
        layout.addWidget(
            faint("The batch's own analysis is better than a typical one: ask for it.", self)
        )
        layout.addLayout(middle, 1)
        layout.addWidget(DressingsBox(document, self._asked, self))
        layout.addWidget(buttons)
        for combo in (self._batch, self._material, self._basis):
            combo.currentIndexChanged.connect(self._work_out)
        for field in self._numbers.values():
            field.textChanged.connect(self._work_out)
        self._work_out()

    def _combo(self, name: str, entries: list[tuple[str, str]]) -> QComboBox:
        combo = combo_field(name, self)
        for text, data in entries:
            combo.addItem(text, str(data))
        return combo

    def _fields(self) -> QWidget:
        """The form."""
        holder = QWidget(self)
        holder.setFixedWidth(330)
        form = grown_form(holder)
        add_row(form, "&Batch", self._batch, "A typical analysis, or your own")
        add_row(form, "Kind", self._material, "Whose published release your own batch follows")
        add_row(form, "Counted by", self._basis, "Whether your own percentages are of dry matter")
        for name, text, tip in _ALL_FIELDS:
            self._add_number(form, name, text, tip=tip)
        return holder

    def _add_number(self, form: object, name: str, text: str, *, tip: str) -> None:
        field = QLineEdit(self)
        field.setObjectName(f"organic_{name}")
        field.setPlaceholderText("not told")
        add_row(form, text, field, tip)
        self._numbers[name] = field

    @Slot()
    def _work_out(self) -> None:
        """Tell what comes of the fields, or what is missing."""
        typical = self._batch.currentData()
        for widget in (self._material, self._basis, *(self._numbers[n] for n, *_ in _OWN_FIELDS)):
            widget.setEnabled(not typical)
        try:
            self._result.setPlainText("\n".join(organic_lines(self._asked())))
        except VrxError as error:
            self._result.setPlainText(str(error))

    def _asked(self) -> OrganicSum:
        """The sum that the fields ask for."""
        analysis = organic_analysis_from(self._settings(self._batch.currentData()))
        return organic_sum(analysis, self._ask())

    def _settings(self, typical: str) -> OrganicSettings:
        moisture = self._number("moisture_percent")
        if typical:
            return OrganicSettings(typical=typical, moisture_percent=moisture)
        own = {name: self._number(name) for name, *_ in _OWN_FIELDS}
        return OrganicSettings(
            material=self._material.currentData(),
            basis=self._basis.currentData(),
            moisture_percent=moisture,
            **own,
        )

    def _ask(self) -> OrganicAsk:
        return OrganicAsk(**{name: self._number(name) for name, *_ in _ASK_FIELDS})

    def _number(self, name: str) -> float:
        """A field as a number; NaN where it is empty."""
        text = self._numbers[name].text().strip().replace(",", ".")
        try:
            return float(text) if text else math.nan
        except ValueError:
            label = next(label for field, label, _ in _ALL_FIELDS if field == name)
            raise MissingInputError(f"{label}: {text!r} is no number") from None


def _batches() -> list[tuple[str, str]]:
    """Every typical analysis by its name, and one's own."""
    names = {row.key: row.name for row in organic_contents()}
    return [*((names[key], key) for key in typical_keys()), ("Your own analysis", "")]
