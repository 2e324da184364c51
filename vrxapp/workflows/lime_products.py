"""The limes at hand: what a tonne that works costs in each, and what a sieve says of one."""

import math
from dataclasses import dataclass

from vrxapp.agronomy.lime_quality import (
    available_value,
    effective_cost,
    effective_nv_by_size,
    fineness_by_mesh,
    size_classes,
)
from vrxapp.errors import MissingInputError
from vrxapp.inputs.products import HIGHEST_NEUTRALISING_VALUE, Product
from vrxapp.need_plans import Purpose
from vrxapp.prescription.supply import brings
from vrxapp.units import PERCENT

_DECIMALS = 1
PRICE_CAUTION = (
    "Compare limes bought, carted and spread: the price here is as the product list tells it, and "
    "a weaker lime takes more loads"
)
"""To be shown beside prices of limes [program-choice]."""


@dataclass(frozen=True, slots=True)
class LimePrice:
    """A lime, and what acts as a tonne of pure lime costs in it.

    Parameters
    ----------
    product : Product
        The lime.
    cost_per_pure_t : float
        Price of what acts as a tonne of pure lime; NaN without a price. [currency/t]
    """

    product: Product
    cost_per_pure_t: float


@dataclass(frozen=True, slots=True)
class SieveAnalysis:
    """What a sieve says of a lime, in one of two forms.

    Parameters
    ----------
    mass_percent : tuple of float
        Shares by mass, fine to coarse, together 100. [%]
    nv_percent : tuple of float
        Neutralising value: of each size class, or one for the whole in the mesh form. [%]
    is_mesh : bool
        Whether the shares are those of the four mesh classes; else of the three in mm.
    moisture_percent : float
        Water by mass of the lime as delivered. [%]
    """

    mass_percent: tuple[float, ...]
    nv_percent: tuple[float, ...]
    is_mesh: bool = False
    moisture_percent: float = 0.0


def lime_prices(products: tuple[Product, ...]) -> tuple[LimePrice, ...]:
    """Every lime among the products, the cheapest tonne that works first, unpriced ones last.

    Parameters
    ----------
    products : tuple of Product
        The products at hand.
    """
    found = [
        LimePrice(
            product,
            float(
                effective_cost(
                    product.price_per_tonne, effective_nv_percent=product.effective_nv_percent
                )
            ),
        )
        for product in products
        if brings(product, Purpose.LIME)
    ]
    return tuple(sorted(found, key=lambda lime: _last(lime.cost_per_pure_t)))


def effective_nv_of(sieve: SieveAnalysis) -> float:
    """Effective neutralising value of a lime as delivered, to a tenth. [% of pure CaCO3]

    It is kept as it is shown, so that every sum that follows from it can be redone.

    Parameters
    ----------
    sieve : SieveAnalysis
        The analysis.

    Raises
    ------
    MissingInputError
        If a neutralising value is missing, or the result is more than any lime has.
    SoilInputError
        If the shares are negative or do not add up to 100.

    Examples
    --------
    >>> effective_nv_of(SieveAnalysis((91.0, 8.0, 1.0), (92.0, 72.0, 62.0)))
    86.7
    """
    wanted = 1 if sieve.is_mesh else len(size_classes("wa"))
    if len(sieve.nv_percent) != wanted or any(map(math.isnan, sieve.nv_percent)):
        raise MissingInputError(
            f"the sieve needs {wanted} neutralising value{'s' if wanted > 1 else ''}",
            mend="Give that of the whole lime for mesh, else that of each size class",
        )
    if sieve.is_mesh:
        fine, dry = fineness_by_mesh(sieve.mass_percent), sieve.nv_percent[0]
    else:
        if len(sieve.mass_percent) != wanted:
            raise MissingInputError(
                f"the sieve needs {wanted} shares",
                mend="Give those up to 0.5 mm, up to 1 mm, and coarser",
            )
        uppers = [
            math.inf if math.isnan(row.upper_mm) else row.upper_mm for row in size_classes("wa")
        ]
        fine = PERCENT
        dry = effective_nv_by_size(sieve.mass_percent, sieve.nv_percent, upper_mm=uppers)
    value = float(available_value(fine, dry, moisture_percent=sieve.moisture_percent))
    found = round(value, _DECIMALS)
    if not 0.0 < found <= HIGHEST_NEUTRALISING_VALUE:
        raise MissingInputError(
            f"an effective neutralising value of {found:g} % is not possible",
            mend=f"Check the values; no lime has more than {HIGHEST_NEUTRALISING_VALUE:g} %",
        )
    return found


def _last(cost: float) -> float:
    """A cost to sort by; an unknown one comes last."""
    return math.inf if math.isnan(cost) else cost
