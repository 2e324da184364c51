"""Edits of what all seasons share: the price of a product, and how much of a lime works."""

import math
from collections.abc import Callable
from dataclasses import replace

from vrxapp.errors import MissingInputError
from vrxapp.farm import Farm
from vrxapp.inputs.products import Material, Product, product_called
from vrxapp.season import Operation

DEFAULT_CURRENCY = "AUD"
"""Currency of a price that tells none."""


def set_price(farm: Farm, product_key: str, price_per_tonne: float, currency: str) -> Farm:
    """Give a product a price, in the list and in every operation that spreads it.

    A humate that travels with another product is one of them.

    Raises
    ------
    UnknownChoiceError
        If the farm has no such product.
    """
    product = product_called(product_key, farm.products)
    same_price = product.price_per_tonne == price_per_tonne or (
        math.isnan(product.price_per_tonne) and math.isnan(price_per_tonne)
    )
    if same_price and product.currency == currency:
        return farm

    return _with_product(
        farm, replace(product, price_per_tonne=price_per_tonne, currency=currency), _price_of
    )


def set_effective_nv(farm: Farm, product_key: str, effective_nv_percent: float) -> Farm:
    """Say how much of a lime works, in the list and in every operation that spreads it.

    Parameters
    ----------
    farm : Farm
        The farm.
    product_key : str
        The lime.
    effective_nv_percent : float
        Its effective neutralising value as delivered. [% of pure CaCO3]

    Raises
    ------
    UnknownChoiceError
        If the farm has no such product.
    MissingInputError
        If it is no lime, or no lime has such a value.
    """
    product = product_called(product_key, farm.products)
    if product.material is not Material.LIMING_MATERIAL:
        raise MissingInputError(
            f"{product.name} is no liming material", mend="Choose a lime of the product list"
        )
    if product.effective_nv_percent == effective_nv_percent:
        return farm
    return _with_product(
        farm, replace(product, effective_nv_percent=effective_nv_percent), _value_of
    )


def _price_of(product: Product, told: Product) -> Product:
    """A product with the price of another."""
    return replace(product, price_per_tonne=told.price_per_tonne, currency=told.currency)


def _value_of(product: Product, told: Product) -> Product:
    """A product with the effective value of another."""
    return replace(product, effective_nv_percent=told.effective_nv_percent)


def _with_product(farm: Farm, told: Product, change: Callable[[Product, Product], Product]) -> Farm:
    """The farm with a change of one product wherever it stands; the rest of it stays."""

    def changed(known: Product) -> Product:
        return change(known, told) if known.key == told.key else known

    def respread(operation: Operation) -> Operation:
        humate = operation.humate
        if humate is not None:
            humate = replace(humate, product=changed(humate.product))
        return replace(operation, product=changed(operation.product), humate=humate)

    seasons = tuple(
        replace(season, operations=tuple(map(respread, season.operations)))
        for season in farm.seasons
    )
    return replace(farm, products=tuple(map(changed, farm.products)), seasons=seasons)
