"""Soluble humate that travels with a product: which, how much, its policy and what is claimed."""

import math
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Slot
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.humate_test_fields import HumateTestFields
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.edits.operations import set_humate
from vrxapp.edits.prices import set_price
from vrxapp.errors import VrxError
from vrxapp.inputs.products import Material, Product, product_called
from vrxapp.season import HumateShare
from vrxapp.units import PERCENT

_NONE = ""
_CURRENCY = "AUD"
_POLICIES = [
    ("leave it as it is", str(FertiliserPolicy.KEEP)),
    ("take the humate's cost off", str(FertiliserPolicy.PAY_FROM)),
    ("cut it where the cap is reached", str(FertiliserPolicy.SHARE_OFF)),
]


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
        self._price = number_field(
            "humatePriceSpinBox", self, unit="per t", low=0, high=100_000, decimals=0
        )
        self._policy = combo_field("humatePolicyCombo", self)
        fill_combo(self._policy, _POLICIES, str(FertiliserPolicy.KEEP))
        self._cut = number_field("humateCutSpinBox", self, unit="% off", low=0, high=99)
        for field in (self._share, self._cap, self._cut):
            field.setSpecialValueText("not set")
        self._price.setSpecialValueText("no price")
        self._test = HumateTestFields(self)
        self._claims = QPushButton("What is claimed…", self)
        self._claims.setObjectName("humateClaimsButton")
        self._claims.setToolTip("Every claim for humates, how far it is proven, and its source")
        self._told = faint("", self, name="humateNotes")
        self._form = grown_form(None)
        self._lay_out()
        self._connect()
        self.show_operation()

    def _lay_out(self) -> None:
        add_row(
            self._form, "&Humate", self._product, "Soluble humate that travels with the product"
        )
        add_row(
            self._form,
            "Its share",
            self._share,
            "Of the fertiliser's mass: 5 % makes 105 kg of 100",
        )
        add_row(
            self._form,
            "Its cap",
            self._cap,
            "Most humate that any place gets in the season, all passes together",
        )
        add_row(self._form, "Its price", self._price, "Price delivered; 0 for none")
        add_row(
            self._form,
            "Fertiliser",
            self._policy,
            "What happens to the fertiliser; nothing replaces what comes off",
        )
        add_row(
            self._form,
            "Its cut",
            self._cut,
            "Share that comes off where the humate reaches its cap; there is no default",
        )
        # long labels find their height in a plain column, not in a form with hidden rows
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(self._form)
        for part in (self._told, self._test, self._claims):
            layout.addWidget(part)

    def _connect(self) -> None:
        self._product.activated.connect(self._on_edited)
        self._policy.activated.connect(self._on_edited)
        for number in (self._share, self._cap, self._cut):
            number.valueChanged.connect(self._on_edited)
        self._price.valueChanged.connect(self._on_price_edited)
        self._test.edited.connect(self._on_edited)
        self._claims.clicked.connect(self._on_claims_asked)
        self._document.changed.connect(self.show_operation)
        self._document.operation_chosen.connect(self.show_operation)

    @Slot()
    def show_operation(self) -> None:
        """Write the operation's humate into the fields."""
        humate = self._document.operation.humate
        fields = (self._product, self._share, self._cap, self._price, self._policy, self._cut)
        blockers = [QSignalBlocker(field) for field in fields]
        entries = [("none", _NONE), *((p.name, p.key) for p in self._humates())]
        fill_combo(self._product, entries, _NONE if humate is None else humate.product.key)
        if humate is not None:
            self._share.setValue(humate.share_percent)
            self._cap.setValue(humate.cap_kg_ha)
            price, cut = humate.product.price_per_tonne, humate.cut_fraction
            self._price.setPrefix(f"{humate.product.currency or _CURRENCY} ")
            self._price.setValue(0.0 if math.isnan(price) else price)
            self._policy.setCurrentIndex(self._policy.findData(str(humate.policy)))
            self._cut.setValue(0.0 if math.isnan(cut) else cut * PERCENT)
            self._test.show_test(humate.test)
        self._show_rows()
        self._tell()
        del blockers

    def _show_rows(self) -> None:
        """Show just the fields that the choice asks for."""
        is_asked = self._product.currentData() not in (None, _NONE)
        is_set = self._document.operation.humate is not None and is_asked
        for field in (self._share, self._cap):
            self._form.setRowVisible(field, is_asked)
        for field in (self._price, self._policy):
            self._form.setRowVisible(field, is_set)
        self._test.setVisible(is_set)
        self._form.setRowVisible(self._cut, is_set and self._chosen() is FertiliserPolicy.SHARE_OFF)

    def _tell(self) -> None:
        """Tell what the plan says of the humate; a plan that fails says it elsewhere."""
        try:
            notes = self._document.plan().humate_notes
        except VrxError:
            notes = ()
        self._told.setText("\n".join(note.message for note in notes))
        self._told.setToolTip("\n\n".join(str(note) for note in notes))
        self._told.setVisible(bool(notes))

    def _chosen(self) -> FertiliserPolicy:
        return FertiliserPolicy(self._policy.currentData())

    def _humates(self) -> tuple[Product, ...]:
        """The humates that the farm can buy, and the one that is chosen."""
        chosen = self._document.operation.humate
        products = {p.key: p for p in self._document.farm.products if p.material is Material.HUMATE}
        if chosen is not None:
            products.setdefault(chosen.product.key, chosen.product)
        return tuple(products.values())

    @Slot()
    def _on_edited(self) -> None:
        self._show_rows()
        change = partial(set_humate, operation_id=self._document.operation_id)
        if self._product.currentData() == _NONE:
            self._document.edit("Leave humate out", partial(change, humate=None))
        elif self._share.value() > 0 and self._cap.value() > 0 and not self._waits_for_cut():
            humate = self._humate()
            text = f"Add {humate.share_percent:g} % {humate.product.name}"
            self._document.edit(text, partial(change, humate=humate))

    def _waits_for_cut(self) -> bool:
        """Whether a cut was chosen that nobody has sized yet."""
        return self._chosen() is FertiliserPolicy.SHARE_OFF and not self._cut.value() > 0

    def _humate(self) -> HumateShare:
        """The humate as the fields stand."""
        policy, cut = self._chosen(), self._cut.value()
        return HumateShare(
            product_called(self._product.currentData(), self._humates()),
            self._share.value(),
            self._cap.value(),
            policy,
            cut / PERCENT if policy is FertiliserPolicy.SHARE_OFF else math.nan,
            self._test.test(),
        )

    @Slot(float)
    def _on_price_edited(self, price: float) -> None:
        humate = self._document.operation.humate
        if humate is None:
            return
        change = partial(
            set_price,
            product_key=humate.product.key,
            price_per_tonne=price or math.nan,
            currency=humate.product.currency or _CURRENCY,
        )
        self._document.edit_farm(f"Set the price of {humate.product.name}", change)

    @Slot()
    def _on_claims_asked(self) -> None:
        from vrxapp.desktop.stages.claims_dialog import ClaimsDialog

        dialog = ClaimsDialog(self._document.operation, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()
