"""What a plan comes to: hectares, kilograms, tonnes and money."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.prescription.ground_plan import GroundPlan
from vrxapp.season import Operation
from vrxapp.spreading.rate_map import GroundUse
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Totals:
    """Totals of one operation.

    Parameters
    ----------
    zone_area_ha : ndarray of float
        Ground of each zone that is spread or would be with a rate. [ha]
    zone_product_kg : ndarray of float
        Product for each zone. [kg]
    spread_ha, strip_ha, excluded_ha, no_rate_ha : float
        Ground by what happens on it. [ha]
    product_kg : float
        All that is spread on the whole paddock: the product and what travels with it. [kg]
    humate_kg : float
        Humate in it. [kg]
    cost : float
        Money for all of it; NaN where a part has no price. [currency]
    currency : str
        Currency of the cost.
    """

    zone_area_ha: NDArray[np.float64]
    zone_product_kg: NDArray[np.float64]
    spread_ha: float
    strip_ha: float
    excluded_ha: float
    no_rate_ha: float
    product_kg: float
    humate_kg: float
    cost: float
    currency: str


def totals(
    ground: GroundPlan,
    part_rates_kg_ha: NDArray[np.float64],
    *,
    uses: NDArray[np.str_],
    humate_share: NDArray[np.float64],
    operation: Operation,
) -> Totals:
    """Add up a plan, part by part, from geodesic areas.

    Parameters
    ----------
    ground : GroundPlan
        Parts of the paddock.
    part_rates_kg_ha : ndarray of float
        What is spread on each part. [kg/ha]
    uses : ndarray of str
        What happens on each part.
    humate_share : ndarray of float
        Humate by the mass of what is spread on each zone. [-]
    operation : Operation
        The pass with its prices.
    """
    zone_count = len(humate_share)
    part_kg = part_rates_kg_ha * ground.area_ha
    own = np.isin(uses, [GroundUse.SPREAD, GroundUse.NO_RATE]) & (ground.zone_rows >= 0)
    rows = ground.zone_rows[own]
    product_kg = float(np.sum(part_kg))
    of_zone = np.where(ground.zone_rows >= 0, humate_share[ground.zone_rows], 0.0)
    humate_kg = float(np.sum(np.where(part_kg > 0, part_kg * of_zone, 0.0)))
    cost = _cost(product_kg, humate_kg, operation)
    area_of = {use: float(np.sum(ground.area_ha[uses == use])) for use in GroundUse}
    return Totals(
        zone_area_ha=_by_zone(rows, ground.area_ha[own], zone_count),
        zone_product_kg=_by_zone(rows, part_kg[own], zone_count),
        spread_ha=area_of[GroundUse.SPREAD],
        strip_ha=area_of[GroundUse.CHECK_STRIP],
        excluded_ha=area_of[GroundUse.EXCLUDED],
        no_rate_ha=area_of[GroundUse.NO_RATE],
        product_kg=product_kg,
        humate_kg=humate_kg,
        cost=cost,
        currency="" if math.isnan(cost) else operation.product.currency,
    )


def price_of_spread_kg(operation: Operation) -> float:
    """Price of what is spread where nothing is cut; NaN for none. [currency/kg]"""
    share = operation.humate.share_percent if operation.humate is not None else 0.0
    return _cost(1.0, share / (PERCENT + share), operation)


def _cost(spread_kg: float, humate_kg: float, operation: Operation) -> float:
    """What all of it costs; NaN where a part has no price in the same money. [currency]"""
    product, humate = operation.product, operation.humate
    if humate is None:
        return spread_kg / KILOGRAMS_PER_TONNE * product.price_per_tonne
    same_money = humate.product.currency in ("", product.currency)
    humate_cost = humate_kg * humate.product.price_per_tonne if same_money else math.nan
    cost = (spread_kg - humate_kg) * product.price_per_tonne + humate_cost
    return cost / KILOGRAMS_PER_TONNE


def _by_zone(
    zone_rows: NDArray[np.intp], amounts: NDArray[np.float64], zone_count: int
) -> NDArray[np.float64]:
    """Amounts of parts added up for each zone."""
    return np.bincount(zone_rows, weights=amounts, minlength=zone_count).astype(float)
