"""Soluble humate that travels with an operation's product: which, how much, and at most."""

from functools import partial

from PySide6.QtCore import QSignalBlocker, Slot
from PySide6.QtWidgets import QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.edits.operations import set_humate
from vrxapp.inputs.products import Material, Product, product_called
from vrxapp.season import HumateShare

_NONE = ""


class HumateFields(QWidget):
    """Fields for the humate of the operation on screen."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("humateFields")
        self._document = document
        self._product = combo_field("humateCombo", self)
        self._share = number_field(
            "humateShareSpinBox", self, unit="% of fertiliser", low=0, high=100
        )
        self._cap = number_field("humateCapSpinBox", self, unit="kg/ha at most", low=0, high=500)
        for field in (self._share, self._cap):
            field.setSpecialValueText("not set")
        self._form = grown_form(self)
        add_row(
            self._form, "&Humate", self._product, "Soluble humate that travels with the product"
        )
        add_row(
            self._form,
            "Its share",
            self._share,
            "Of the fertiliser's mass: 5 % makes 105 kg of 100",
        )
        add_row(self._form, "Its cap", self._cap, "Most humate that any place gets")
        self._product.activated.connect(self._on_edited)
        self._share.valueChanged.connect(self._on_edited)
        self._cap.valueChanged.connect(self._on_edited)
        document.changed.connect(self.show_operation)
        document.operation_chosen.connect(self.show_operation)
        self.show_operation()

    @Slot()
    def show_operation(self) -> None:
        """Write the operation's humate into the fields."""
        humate = self._document.operation.humate
        fields = (self._product, self._share, self._cap)
        blockers = [QSignalBlocker(field) for field in fields]
        entries = [("none", _NONE), *((p.name, p.key) for p in self._humates())]
        fill_combo(self._product, entries, _NONE if humate is None else humate.product.key)
        if humate is not None:
            self._share.setValue(humate.share_percent)
            self._cap.setValue(humate.cap_kg_ha)
        for field in (self._share, self._cap):
            self._form.setRowVisible(field, humate is not None or self._is_asked())
        del blockers

    def _humates(self) -> tuple[Product, ...]:
        """The humates that the farm can buy."""
        products = self._document.farm.products
        return tuple(p for p in products if p.material is Material.HUMATE)

    def _is_asked(self) -> bool:
        """Whether a humate was chosen that still waits for its share and cap."""
        return self._product.currentData() not in (None, _NONE)

    @Slot()
    def _on_edited(self) -> None:
        key = self._product.currentData()
        for field in (self._share, self._cap):
            self._form.setRowVisible(field, key != _NONE)
        change = partial(set_humate, operation_id=self._document.operation_id)
        if key == _NONE:
            self._document.edit("Leave humate out", partial(change, humate=None))
        elif self._share.value() > 0 and self._cap.value() > 0:
            product = product_called(key, self._humates())
            humate = HumateShare(product, self._share.value(), self._cap.value())
            text = f"Add {humate.share_percent:g} % {product.name}"
            self._document.edit(text, partial(change, humate=humate))
