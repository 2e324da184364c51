"""Edits of what all seasons share: the price of a product."""

import math
from dataclasses import replace

from vrxapp.farm import Farm
from vrxapp.inputs.products import Product, product_called
from vrxapp.season import Operation


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

    def priced(known: Product) -> Product:
        if known.key != product.key:
            return known
        return replace(known, price_per_tonne=price_per_tonne, currency=currency)

    def repriced(operation: Operation) -> Operation:
        humate = operation.humate
        if humate is not None:
            humate = replace(humate, product=priced(humate.product))
        return replace(operation, product=priced(operation.product), humate=humate)

    seasons = tuple(
        replace(season, operations=tuple(map(repriced, season.operations)))
        for season in farm.seasons
    )
    return replace(farm, products=tuple(map(priced, farm.products)), seasons=seasons)
