"""The Rates sheet: operation, product, crop, target, critical value, build-up, cap, price."""

import math
from functools import partial

from PySide6.QtCore import QSignalBlocker, Slot
from PySide6.QtWidgets import QComboBox, QFormLayout, QVBoxLayout, QWidget

from vrxapp.agronomy.critical_values import critical_value, critical_values
from vrxapp.agronomy.crops import crops
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.own_value import OwnValueFields
from vrxapp.desktop.stages.sheet_parts import add_row, number_field, title
from vrxapp.desktop.stages.totals_label import TotalsLabel
from vrxapp.edits.prices import set_price
from vrxapp.edits.rates import (
    set_build_up,
    set_critical_value,
    set_crop,
    set_product,
    set_rate_cap,
    set_target_yield,
)
from vrxapp.inputs.products import product_called
from vrxapp.sources import Grade

OWN = "own"
DEFAULT_CURRENCY = "AUD"


class RatesSheet(QWidget):
    """What is grown, what is spread, and the settings behind the rates."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ratesSheet")
        self._document = document
        self._operation = self._choice("operationCombo")
        self._product = self._choice("productCombo")
        self._crop = self._choice("cropCombo")
        self._critical = self._choice("criticalValueCombo")
        self._own = OwnValueFields(self)
        self._yield = number_field("targetYieldSpinBox", self, unit="t/ha", low=0.0, high=200.0)
        self._factor = number_field(
            "buildUpFactorSpinBox", self, unit="kg P/ha per mg/kg", low=0.0, high=30.0
        )
        self._factor.setSpecialValueText("left out")
        self._years = number_field(
            "buildUpYearsSpinBox", self, unit="years", low=1.0, high=20.0, decimals=0
        )
        self._cap = number_field("rateCapSpinBox", self, unit="kg/ha", low=0.0, high=5000.0)
        self._cap.setSpecialValueText("no cap")
        self._price = number_field(
            "priceSpinBox", self, unit="per t", low=0.0, high=100_000.0, decimals=0
        )
        self._price.setSpecialValueText("no price")
        self._totals = TotalsLabel(document, self)
        self._lay_out()
        self._connect()
        self.show_season()

    def _choice(self, name: str) -> QComboBox:
        combo = QComboBox(self)
        combo.setObjectName(name)
        combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        combo.setMinimumContentsLength(18)
        return combo

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.setVerticalSpacing(7)
        add_row(form, "&Operation", self._operation, "Which pass over the paddock")
        add_row(form, "&Product", self._product, "What is spread in this pass")
        add_row(form, "Pr&ice", self._price, "Price delivered; 0 for none")
        add_row(form, "&Crop", self._crop, "What is grown this season")
        add_row(form, "&Target yield", self._yield, "Yield aimed at")
        add_row(
            form, "Critical &value", self._critical, "What the soil test is read against; "
            "unverified ones are marked and never where a crop starts"
        )  # fmt: skip
        form.addRow(self._own)
        add_row(
            form, "&Build-up", self._factor, "Phosphorus that lifts the soil test by 1 mg/kg. "
            "Published for Colwell P: 2 to 4, and 5 to 15; they disagree, so you choose"
        )  # fmt: skip
        add_row(form, "S&hared over", self._years, "Years over which build-up is shared")
        add_row(form, "C&ap", self._cap, "Highest rate of product that you allow; 0 for none")
        layout = QVBoxLayout(self)
        layout.addWidget(title("Rates", self))
        layout.addLayout(form)
        layout.addWidget(self._totals)

    def _connect(self) -> None:
        self._operation.activated.connect(self._on_operation_chosen)
        self._product.activated.connect(self._on_product_chosen)
        self._crop.activated.connect(self._on_crop_chosen)
        self._critical.activated.connect(self._on_critical_chosen)
        self._own.value_given.connect(self._on_own_value_given)
        self._yield.valueChanged.connect(self._on_yield_edited)
        self._factor.valueChanged.connect(self._on_build_up_edited)
        self._years.valueChanged.connect(self._on_build_up_edited)
        self._cap.valueChanged.connect(self._on_cap_edited)
        self._price.valueChanged.connect(self._on_price_edited)
        self._document.changed.connect(self.show_season)
        self._document.operation_chosen.connect(self.show_season)

    @Slot()
    def show_season(self) -> None:
        """Write the season into the fields, without taking that for edits."""
        season, operation = self._document.season, self._document.operation
        plan = season.phosphorus
        fields = (
            self._operation, self._product, self._crop, self._critical, self._yield, self._factor,
            self._years, self._cap, self._price,
        )  # fmt: skip
        blockers = [QSignalBlocker(field) for field in fields]
        _fill(self._operation, [(o.name, o.id) for o in season.operations], operation.id)
        products = {p.key: p for p in (*self._document.farm.products, operation.product)}
        _fill(self._product, [(p.name, p.key) for p in products.values()], operation.product.key)
        _fill(self._crop, [(c.name, c.key) for c in crops()], season.crop.crop)
        chosen = [(_marked(c), c.key) for c in critical_values(season.crop.crop)]
        _fill(self._critical, [*chosen, ("my own value", OWN)], plan.critical.key)
        self._own.show_value(plan.critical)
        self._own.setVisible(plan.critical.key == OWN)
        self._yield.setValue(season.crop.target_yield_t_ha)
        factor = plan.build_up_factor_kg_ha_per_mg_kg
        self._factor.setValue(0.0 if math.isnan(factor) else factor)
        self._years.setValue(plan.build_up_years)
        self._years.setEnabled(not math.isnan(factor))
        cap = operation.rate_cap_kg_ha
        self._cap.setValue(0.0 if math.isinf(cap) else cap)
        price = operation.product.price_per_tonne
        self._price.setPrefix(f"{operation.product.currency or DEFAULT_CURRENCY} ")
        self._price.setValue(0.0 if math.isnan(price) else price)
        del blockers

    @Slot(int)
    def _on_operation_chosen(self, index: int) -> None:
        self._document.choose_operation(self._operation.itemData(index))

    @Slot(int)
    def _on_product_chosen(self, index: int) -> None:
        operation = self._document.operation
        products = (operation.product, *self._document.farm.products)
        product = product_called(self._product.itemData(index), products)
        change = partial(set_product, operation_id=operation.id, product=product)
        self._document.edit(f"Spread {product.name}", change)

    @Slot(int)
    def _on_crop_chosen(self, index: int) -> None:
        text = f"Grow {self._crop.itemText(index).lower()}"
        self._document.edit(text, partial(set_crop, crop=self._crop.itemData(index)))

    @Slot(int)
    def _on_critical_chosen(self, index: int) -> None:
        key = self._critical.itemData(index)
        if key == OWN:
            self._own.setVisible(True)
            self._own.ask()
        else:
            critical = critical_value(key)
            change = partial(set_critical_value, critical=critical)
            self._document.edit(f"Read against {critical.name}", change)
            self._own.setVisible(False)

    @Slot(object)
    def _on_own_value_given(self, critical: object) -> None:
        change = partial(set_critical_value, critical=critical)
        self._document.edit("Use my own critical value", change)

    @Slot(float)
    def _on_yield_edited(self, target_yield_t_ha: float) -> None:
        text = f"Set target yield to {target_yield_t_ha:g} t/ha"
        change = partial(set_target_yield, target_yield_t_ha=target_yield_t_ha)
        self._document.edit(text, change)

    @Slot()
    def _on_build_up_edited(self) -> None:
        factor = self._factor.value() or math.nan
        text = "Leave build-up out" if math.isnan(factor) else f"Build up with {factor:g}"
        change = partial(set_build_up, factor_kg_ha_per_mg_kg=factor, years=self._years.value())
        self._document.edit(text, change)

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


def _fill(combo: QComboBox, entries: list[tuple[str, str]], chosen: str) -> None:
    """Put entries into a combo box and choose one, keeping it as it is where nothing changed."""
    present = [(combo.itemText(i), combo.itemData(i)) for i in range(combo.count())]
    if present != entries:
        combo.clear()
        for text, key in entries:
            combo.addItem(text, key)
    combo.setCurrentIndex(combo.findData(chosen))


def _marked(critical: object) -> str:
    """A calibration's name, marked where nobody could check it."""
    return critical.name if critical.grade is Grade.PUBLISHED else f"{critical.name} !"
