"""What a humate costs, what must be harvested to pay for it, and what a cut hides."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.humate_break_even import (
    CUT_IS_NO_PROOF,
    net_of_cut,
    yield_loss_that_eats_it,
    yield_that_pays,
)
from vrxapp.agronomy.trail import TrailStep
from vrxapp.season import HumateShare, Operation
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE


def money_steps(
    humate_kg_ha: NDArray[np.float64],
    cut_kg_ha: NDArray[np.float64],
    operation: Operation,
    humate: HumateShare,
    *,
    crop_price_t: float,
) -> tuple[TrailStep, ...]:
    """Cost of the humate and what pays for it; none where it has no price.

    Parameters
    ----------
    humate_kg_ha : ndarray of float
        Humate on each zone. [kg/ha]
    cut_kg_ha : ndarray of float
        Product that its policy takes off. [kg/ha]
    operation : Operation
        The pass; the money of a cut needs its product's price in the same currency.
    humate : HumateShare
        The humate with its price.
    crop_price_t : float
        Price of the crop; NaN leaves out what the harvest must bring. [currency/t]
    """
    price_kg = humate.product.price_per_tonne / KILOGRAMS_PER_TONNE
    if not price_kg > 0:
        return ()
    dose = np.nan_to_num(humate_kg_ha)
    currency = humate.product.currency
    return (
        *_cost_steps(dose * price_kg, currency, crop_price_t),
        *_cut_steps(dose, cut_kg_ha, operation, humate, crop_price_t=crop_price_t),
    )


def _cost_steps(
    cost: NDArray[np.float64], currency: str, crop_price_t: float
) -> tuple[TrailStep, ...]:
    """The cost, and the extra yield that pays for it."""
    pays = yield_that_pays(cost, crop_price_per_t=crop_price_t)
    unit = f"{currency}/ha"
    return (
        TrailStep(
            "humate_cost",
            "cost of the humate",
            unit,
            cost,
            f"The humate costs {{humate_cost}} {unit}.",
            told=cost > 0,
        ),
        TrailStep(
            "yield_that_pays",
            "extra yield that pays for the humate",
            "kg/ha",
            pays,
            f"With a crop price of {crop_price_t:g} {currency}/t, {{yield_that_pays}} kg/ha more "
            "yield would pay for it; a check strip tells whether it came.",
            grade=Grade.YOURS,
            told=(cost > 0) & np.isfinite(pays),
        ),
    )


def _cut_steps(
    dose: NDArray[np.float64],
    cut_kg_ha: NDArray[np.float64],
    operation: Operation,
    humate: HumateShare,
    *,
    crop_price_t: float,
) -> tuple[TrailStep, ...]:
    """What is left of the money of a cut, and the loss of yield that eats it up."""
    product, currency = operation.product, humate.product.currency
    if not product.price_per_tonne > 0 or product.currency != currency:
        return ()
    net = net_of_cut(
        cut_kg_ha,
        dose,
        fertiliser_price_per_kg=product.price_per_tonne / KILOGRAMS_PER_TONNE,
        humate_price_per_kg=humate.product.price_per_tonne / KILOGRAMS_PER_TONNE,
    )
    loss = yield_loss_that_eats_it(net, crop_price_per_t=crop_price_t)
    is_cut = np.nan_to_num(cut_kg_ha) > 0
    return (
        TrailStep("cut_off", "product not bought", "kg/ha", cut_kg_ha, ""),
        TrailStep("humate_bought", "humate bought", "kg/ha", dose, ""),
        TrailStep(
            "net_of_cut",
            "money left by the cut",
            f"{currency}/ha",
            net,
            f"{{cut_off}} kg/ha × {product.price_per_tonne:g} ÷ {KILOGRAMS_PER_TONNE:g} − "
            f"{{humate_bought}} kg/ha × {humate.product.price_per_tonne:g} ÷ "
            f"{KILOGRAMS_PER_TONNE:g} leaves {{net_of_cut}} {currency}/ha. {CUT_IS_NO_PROOF}",
            source="program-choice",
            grade=Grade.COMMON_PRACTICE,
            told=is_cut & np.isfinite(net),
        ),
        TrailStep(
            "loss_that_eats_it",
            "loss of yield that eats it up",
            "t/ha",
            loss,
            f"At {crop_price_t:g} {currency}/t a loss of {{loss_that_eats_it}} t/ha eats it up.",
            grade=Grade.YOURS,
            told=is_cut & (net > 0) & np.isfinite(loss),
        ),
    )
