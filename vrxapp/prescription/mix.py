"""What travels together in an operation: its name, its parts, and what to mind with them."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.inputs.cautions import Placing, cautions
from vrxapp.inputs.compatibility import mixing_cautions
from vrxapp.inputs.products import Product
from vrxapp.season import Operation
from vrxapp.units import PERCENT

_SAME_MIX = 1e-6


def spread_name(operation: Operation) -> str:
    """What is spread, before its rates are known."""
    humate = operation.humate
    if humate is None:
        return operation.product.name
    if humate.policy is not FertiliserPolicy.KEEP:
        return f"{operation.product.name} with {humate.product.name}"
    return f"{operation.product.name} with {humate.share_percent:g} % {humate.product.name}"


def mixed_name(
    operation: Operation,
    product_kg_ha: NDArray[np.float64],
    humate_kg_ha: NDArray[np.float64],
) -> str:
    """What is spread, by what the rates hold, as the contractor reads it."""
    humate = operation.humate
    if humate is None or not np.any(product_kg_ha > 0):
        return spread_name(operation)
    share = mix_share_percent(product_kg_ha, humate_kg_ha)
    if math.isnan(share):
        return f"{operation.product.name} with {humate.product.name}"
    if share == 0:
        return f"{operation.product.name} without {humate.product.name}"
    return f"{operation.product.name} with {share:.3g} % {humate.product.name}"


def mix_share_percent(
    product_kg_ha: NDArray[np.float64], humate_kg_ha: NDArray[np.float64]
) -> float:
    """Humate by the product's mass where one mix serves every zone; NaN where none does. [%]

    Examples
    --------
    >>> mix_share_percent(np.array([100.0, 40.0, 0.0]), np.array([5.0, 2.0, 0.0]))
    5.0
    """
    has_product = product_kg_ha > 0
    if not np.any(has_product):
        return 0.0
    shares = PERCENT * humate_kg_ha[has_product] / product_kg_ha[has_product]
    low, high = float(np.min(shares)), float(np.max(shares))
    return low if high - low <= _SAME_MIX * max(high, 1.0) else math.nan


def products_of(operation: Operation) -> tuple[Product, ...]:
    """The product of an operation and what travels with it."""
    humate = operation.humate
    return (operation.product,) if humate is None else (operation.product, humate.product)


def mix_cautions(operation: Operation) -> tuple[str, ...]:
    """What to mind with all that is spread together, and with mixing it, each sentence once."""
    products = products_of(operation)
    placing = Placing.BROADCAST if operation.seed_row is None else Placing.WITH_SEED
    caps = [operation.rate_cap_kg_ha]
    caps += [operation.humate.cap_kg_ha] if operation.humate else []
    lines = [
        line
        for product, cap in zip(products, caps, strict=True)
        for line in cautions(product, placing=placing, most_kg_ha=cap)
    ]
    lines += [caution.sentence for caution in mixing_cautions(products)]
    return tuple(dict.fromkeys(lines))
