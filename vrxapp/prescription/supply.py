"""What a product brings towards each need: its strength, in words and as a number."""

from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.gypsum_quality import gypsum_purity
from vrxapp.errors import MissingInputError
from vrxapp.inputs.products import Material, Product
from vrxapp.need_plans import SYMBOLS, Purpose
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT


@dataclass(frozen=True, slots=True)
class Strength:
    """How strong a product is towards a need.

    Parameters
    ----------
    percent : float
        Share of its mass that counts; 0 or NaN where it brings nothing. [%]
    words : str
        The same in words, with ``{strength}`` for the number.
    per_kg : float
        What a kilogram brings, in the unit of the need.
    lack, mend : str
        What to say, and to do, where it brings nothing.
    """

    percent: float
    words: str
    per_kg: float
    lack: str
    mend: str


def strength(product: Product, purpose: Purpose) -> Strength:
    """How strong a product is towards a need; whether it brings anything, `brings` tells."""
    if purpose is Purpose.LIME:
        return Strength(
            product.effective_nv_percent,
            "has an effective neutralising value of {strength} %",
            product.effective_nv_percent / PERCENT / KILOGRAMS_PER_TONNE,
            "has no effective neutralising value that is known",
            "Give effective_nv_percent in the product list, from the lime's own test",
        )
    if purpose is Purpose.GYPSUM:
        pure = _gypsum_percent(product)
        return Strength(
            pure,
            f"holds {product.s_percent:g} % sulfur and so {{strength}} % gypsum",
            pure / PERCENT / KILOGRAMS_PER_TONNE,
            "is no gypsum whose sulfur is known",
            "Choose a gypsum with its sulfur from a test",
        )
    symbol = SYMBOLS[purpose]
    percent = float(getattr(product, f"{symbol.lower()}_percent"))
    return Strength(
        percent,
        f"holds {{strength}} % {purpose}",
        percent / PERCENT,
        f"holds no {purpose} that is known",
        f"Choose a product with {purpose}",
    )


def _gypsum_percent(product: Product) -> float:
    """Pure gypsum in a product, from its sulfur; 0 for anything that is no gypsum. [%]"""
    if product.material is not Material.GYPSUM:
        return 0.0
    return float(gypsum_purity(np.float64(product.s_percent)))


def brings(product: Product, purpose: Purpose) -> bool:
    """Whether a product brings anything towards a need."""
    return strength(product, purpose).percent > 0


def supply_per_kg(product: Product, purpose: Purpose) -> float:
    """What a kilogram of product brings towards a need, in the unit of the need.

    Raises
    ------
    MissingInputError
        If the product brings nothing towards it.
    """
    found = strength(product, purpose)
    if not found.percent > 0:
        raise MissingInputError(
            f"{product.name} {found.lack}, so it cannot cover a need for {purpose}",
            mend=found.mend,
        )
    return found.per_kg
