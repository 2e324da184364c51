"""The Rates sheet: the pass, its product, price and cap, the crop, and how needs are worked out."""

import math
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtWidgets import QDialog, QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from vrxapp.agronomy.crops import crops
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.budget_fields import BudgetFields
from vrxapp.desktop.stages.gypsum_fields import GypsumFields
from vrxapp.desktop.stages.humate_fields import HumateFields
from vrxapp.desktop.stages.lime_fields import LimeFields
from vrxapp.desktop.stages.machine_fields import MachineFields
from vrxapp.desktop.stages.nitrogen_fields import NitrogenFields
from vrxapp.desktop.stages.nutrient_fields import NutrientFields
from vrxapp.desktop.stages.own_rule_fields import OwnRuleFields
from vrxapp.desktop.stages.phosphorus_fields import PhosphorusFields
from vrxapp.desktop.stages.seed_row_fields import SeedRowFields
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    fill_combo,
    grown_form,
    number_field,
    title,
)
from vrxapp.desktop.stages.totals_label import TotalsLabel
from vrxapp.desktop.stages.trace_fields import TraceFields
from vrxapp.edits.need_plans import own_rule_plan_of
from vrxapp.edits.operations import add_operation, remove_operation
from vrxapp.edits.prices import DEFAULT_CURRENCY, set_price
from vrxapp.edits.rates import (
    set_crop,
    set_crop_price,
    set_product,
    set_rate_cap,
    set_target_yield,
    set_water_target,
)
from vrxapp.inputs.products import product_called
from vrxapp.need_plans import NUTRIENTS, TRACES, Purpose

if TYPE_CHECKING:
    from vrxapp.desktop.stages.water_dialog import WaterDialog


class RatesSheet(QWidget):
    """What is grown, what is spread, and the settings behind the rates."""

    curves_requested = Signal()

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ratesSheet")
        self._document = document
        self._operation = combo_field("operationCombo", self)
        self._product = combo_field("productCombo", self)
        self._crop = combo_field("cropCombo", self)
        self._yield = number_field("targetYieldSpinBox", self, unit="t/ha", low=0.0, high=200.0)
        self._water = self._button("yieldFromWaterButton", "…", "Work the target out from water")
        self._worth = number_field(
            "cropPriceSpinBox", self, unit="per t", low=0.0, high=100_000.0, decimals=0
        )
        self._worth.setSpecialValueText("not told")
        self._cap = number_field("rateCapSpinBox", self, unit="kg/ha", low=0.0, high=20_000.0)
        self._cap.setSpecialValueText("no cap")
        self._price = number_field(
            "priceSpinBox", self, unit="per t", low=0.0, high=100_000.0, decimals=0
        )
        self._price.setSpecialValueText("no price")
        self._ways: dict[QWidget, tuple[Purpose, ...]] = {
            PhosphorusFields(document, self): (Purpose.PHOSPHORUS,),
            LimeFields(document, self): (Purpose.LIME,),
            GypsumFields(document, self): (Purpose.GYPSUM,),
            NitrogenFields(document, self): (Purpose.NITROGEN,),
            NutrientFields(document, self): NUTRIENTS,
            TraceFields(document, self): TRACES,
        }
        self._add = self._button("addOperationButton", "+", "Plan another pass")
        self._remove = self._button("removeOperationButton", "−", "Take this pass out of the plan")
        self._lay_out()
        self._connect()
        self.show_season()

    def _button(self, name: str, text: str, tip: str) -> QToolButton:
        button = QToolButton(self)
        button.setObjectName(name)
        button.setText(text)
        button.setToolTip(tip)
        button.setAccessibleName(tip)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        return button

    def _lay_out(self) -> None:
        holder = _beside(self, self._operation, self._add, self._remove)
        form = grown_form(None)
        add_row(form, "&Operation", self._operation, "Which pass over the paddock", holder=holder)
        add_row(form, "&Product", self._product, "What is spread in this pass")
        add_row(form, "Pr&ice", self._price, "Price delivered; 0 for none")
        add_row(form, "C&ap", self._cap, "Highest rate of product that you allow; 0 for none")
        add_row(form, "&Crop", self._crop, "What is grown this season")
        aimed = _beside(self, self._yield, self._water)
        add_row(form, "&Target yield", self._yield, "Yield aimed at", holder=aimed)
        add_row(form, "Crop price", self._worth, "At the farm, 0 for not told; no rate reads it")
        layout = QVBoxLayout(self)
        layout.addWidget(title("Rates", self))
        layout.addLayout(form)
        own = OwnRuleFields(self._document, self)
        passed = (HumateFields(self._document, self), SeedRowFields(self._document, self))
        machine = MachineFields(self._document, self)
        for part in (*self._ways, own, *passed, machine):
            layout.addWidget(part)
        layout.addWidget(TotalsLabel(self._document, self))
        budget = BudgetFields(self._document, self)
        budget.curves_requested.connect(self.curves_requested)
        layout.addWidget(budget)

    def _connect(self) -> None:
        self._operation.activated.connect(self._on_operation_chosen)
        self._product.activated.connect(self._on_product_chosen)
        self._crop.activated.connect(self._on_crop_chosen)
        self._yield.valueChanged.connect(self._on_yield_edited)
        self._water.clicked.connect(self._on_water_clicked)
        self._worth.valueChanged.connect(self._on_worth_edited)
        self._cap.valueChanged.connect(self._on_cap_edited)
        self._price.valueChanged.connect(self._on_price_edited)
        self._add.clicked.connect(self._on_add_clicked)
        self._remove.clicked.connect(self._on_remove_clicked)
        self._document.changed.connect(self.show_season)
        self._document.operation_chosen.connect(self.show_season)

    @Slot()
    def show_season(self) -> None:
        """Write the season into the fields, without taking that for edits."""
        season, operation = self._document.season, self._document.operation
        fields = (
            self._operation, self._product, self._crop, self._yield, self._cap, self._price,
            self._worth,
        )  # fmt: skip
        blockers = [QSignalBlocker(field) for field in fields]
        fill_combo(self._operation, [(o.name, o.id) for o in season.operations], operation.id)
        products = {p.key: p for p in (*self._document.farm.products, operation.product)}
        fill_combo(
            self._product, [(p.name, p.key) for p in products.values()], operation.product.key
        )
        fill_combo(self._crop, [(c.name, c.key) for c in crops()], season.crop.crop)
        self._yield.setValue(season.crop.target_yield_t_ha)
        water = " (from water)" if season.crop.water else ""
        self._yield.setSuffix(f" t/ha{water}")
        self._worth.setPrefix(f"{operation.product.currency or DEFAULT_CURRENCY} ")
        self._worth.setValue(0.0 if math.isnan(season.crop.price_t) else season.crop.price_t)
        cap = operation.rate_cap_kg_ha
        self._cap.setValue(0.0 if math.isinf(cap) else cap)
        price = operation.product.price_per_tonne
        self._price.setPrefix(f"{operation.product.currency or DEFAULT_CURRENCY} ")
        self._price.setValue(0.0 if math.isnan(price) else price)
        is_own = own_rule_plan_of(season, operation.purpose) is not None
        for fields, purposes in self._ways.items():
            fields.setVisible(operation.purpose in purposes and not is_own)
        self._remove.setEnabled(len(season.operations) > 1)
        del blockers

    @Slot()
    def _on_add_clicked(self) -> None:
        from vrxapp.desktop.stages.new_operation import NewOperationDialog

        dialog = NewOperationDialog(self._document, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self._on_operation_given(dialog))
        dialog.open()

    def _on_operation_given(self, dialog: QDialog) -> None:
        operation = dialog.operation()
        self._document.edit(f"Add {operation.name}", partial(add_operation, operation=operation))
        self._document.choose_operation(operation.id)

    @Slot()
    def _on_remove_clicked(self) -> None:
        operation = self._document.operation
        change = partial(remove_operation, operation_id=operation.id)
        self._document.edit(f"Remove {operation.name}", change)

    @Slot(int)
    def _on_operation_chosen(self, index: int) -> None:
        self._document.choose_operation(self._operation.itemData(index))

    @Slot(int)
    def _on_product_chosen(self, index: int) -> None:
        operation = self._document.operation
        products = (*self._document.farm.products, operation.product)
        product = product_called(self._product.itemData(index), products)
        change = partial(set_product, operation_id=operation.id, product=product)
        self._document.edit(f"Spread {product.name}", change)

    @Slot(int)
    def _on_crop_chosen(self, index: int) -> None:
        text = f"Grow {self._crop.itemText(index).lower()}"
        self._document.edit(text, partial(set_crop, crop=self._crop.itemData(index)))

    @Slot(float)
    def _on_yield_edited(self, target_yield_t_ha: float) -> None:
        text = f"Set target yield to {target_yield_t_ha:g} t/ha"
        change = partial(set_target_yield, target_yield_t_ha=target_yield_t_ha)
        self._document.edit(text, change)

    @Slot()
    def _on_water_clicked(self) -> None:
        from vrxapp.desktop.stages.water_dialog import WaterDialog

        dialog = WaterDialog(self._document.season.crop, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self._on_water_given(dialog))
        dialog.open()

    def _on_water_given(self, dialog: "WaterDialog") -> None:
        change = partial(set_water_target, water=dialog.water())
        self._document.edit("Set the target yield from water", change)

    @Slot(float)
    def _on_worth_edited(self, price: float) -> None:
        change = partial(set_crop_price, price_t=price or math.nan)
        self._document.edit("Say what the crop is worth", change)

    @Slot(float)
    def _on_cap_edited(self, rate_cap_kg_ha: float) -> None:
        cap = rate_cap_kg_ha or math.inf
        text = "Take the cap off" if math.isinf(cap) else f"Cap at {cap:g} kg/ha"
        operation_id = self._document.operation_id
        self._document.edit(
            text, partial(set_rate_cap, operation_id=operation_id, rate_cap_kg_ha=cap)
        )

    @Slot(float)
    def _on_price_edited(self, price: float) -> None:
        product = self._document.operation.product
        change = partial(
            set_price,
            product_key=product.key,
            price_per_tonne=price or math.nan,
            currency=product.currency or DEFAULT_CURRENCY,
        )
        self._document.edit_farm(f"Set the price of {product.name}", change)


def _beside(parent: QWidget, field: QWidget, *buttons: QWidget) -> QWidget:
    """A field with buttons to its right."""
    holder = QWidget(parent)
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.addWidget(field, 1)
    for button in buttons:
        row.addWidget(button)
    return holder
