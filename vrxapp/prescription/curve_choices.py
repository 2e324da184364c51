"""Response curves of a season's operations, as choices of where money can go."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.response_curve import margin_over_nutrient
from vrxapp.errors import MissingInputError
from vrxapp.prescription.pipeline import full_plans, prescription
from vrxapp.prescription.rate_steps import highest_rate_kg_ha, product_per_spread_kg
from vrxapp.prescription.season_cut import unbudgeted
from vrxapp.prescription.spending_choices import DEFAULT_PIECES, SpendingChoices
from vrxapp.prescription.supply import supply_per_kg
from vrxapp.prescription.totals import price_of_spread_kg
from vrxapp.prescription.zone_curve import CurveColumns, ZoneCurve, curve_columns
from vrxapp.season import Operation, Season

_NO_RATE_KG_HA = 1e-6
"""A turn below this is none: no machine spreads it, and its pieces would be too short. [kg/ha]"""
_PIECES_BEYOND = 4
"""Pieces of a curve that lie beyond its knot or top."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CurveChoices:
    """Where money can go, and the curves behind it.

    Parameters
    ----------
    choices : SpendingChoices
        Where money can go; one column an operation.
    operations : tuple of Operation
        The operations of the columns.
    left_out : tuple of tuple of str
        Names of operations that cannot be weighed, each with the reason.
    curves : CurveColumns
        The curves of places × operations.
    need_per_spread_kg : ndarray of float, operations
        What a kilogram that is spread brings, in the unit of each need.
    """

    choices: SpendingChoices
    operations: tuple[Operation, ...]
    left_out: tuple[tuple[str, str], ...]
    curves: CurveColumns
    need_per_spread_kg: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CurveOptimum:
    """The rate that pays best by each curve, without a budget.

    Parameters
    ----------
    rate_kg_ha : ndarray of float, places × operations
        What is spread, at most the highest rate; NaN where there is no curve. [kg/ha]
    is_held : ndarray of bool, places × operations
        Where the highest rate keeps it below the curve's own optimum.
    margin : ndarray of float, places × operations
        What the crop brings beyond the product. [currency/ha]
    """

    rate_kg_ha: NDArray[np.float64]
    is_held: NDArray[np.bool_]
    margin: NDArray[np.float64]


def curve_choices(
    season: Season, curves: tuple[ZoneCurve, ...], *, crop_price_t: float
) -> CurveChoices:
    """Where a season's money can go, by response curves.

    Parameters
    ----------
    season : Season
        The season; its own budget plays no part.
    curves : tuple of ZoneCurve
        Those of all zones before those of one; a later curve of the same place holds.
    crop_price_t : float
        Price of the crop. [currency/t]

    Raises
    ------
    MissingInputError
        If not one operation has a curve and a price.
    SoilInputError
        If a price or a curve cannot be.
    """
    lacks = {
        plan.operation.id: _lack(plan.operation, plan.lack, curves) for plan in full_plans(season)
    }
    used = tuple(o for o in season.operations if not lacks[o.id])
    left_out = tuple((o.name, lacks[o.id]) for o in season.operations if lacks[o.id])
    if not used:
        told = "; ".join(f"{name}: {lack}" for name, lack in left_out)
        raise MissingInputError(
            f"no operation can be weighed by its curve ({told})",
            mend="Give --curve for at least one operation that has a price",
        )
    full = unbudgeted(season)
    plans = [prescription(full, operation) for operation in used]
    places = len(season.zones.ids)
    highest = np.tile([highest_rate_kg_ha(o) for o in used], (places, 1))
    if not np.all(np.isfinite(highest)):
        raise MissingInputError("a machine without a highest rate cannot be weighed by a curve")
    known = curve_columns(curves, tuple(o.id for o in used), places)
    per_kg = np.array(
        [product_per_spread_kg(o) * supply_per_kg(o.product, o.purpose) for o in used]
    )
    rates = _rates_along(highest, known.turn() / per_kg)
    return CurveChoices(
        SpendingChoices(
            area_ha=plans[0].totals.zone_area_ha,
            need_kg_ha=np.stack([plan.rates_kg_ha for plan in plans], axis=1),
            rates_kg_ha=rates,
            yields_t_ha=known.yields(rates * per_kg),
            crop_price_t=crop_price_t,
            nutrient_price_kg=np.array([price_of_spread_kg(o) for o in used]),
            lowest_kg_ha=np.array([o.machine.lowest_rate_kg_ha for o in used]),
        ),
        used,
        left_out,
        known,
        per_kg,
    )


def _lack(operation: Operation, lack: str, curves: tuple[ZoneCurve, ...]) -> str:
    """Why an operation cannot be weighed; empty where it can."""
    if lack:
        return lack
    if not any(curve.operation_id == operation.id for curve in curves):
        return "no curve was given"
    # a free product needs no budget, and one without a price cannot have one
    return "" if price_of_spread_kg(operation) > 0 else "it has no price"


def _rates_along(highest: NDArray[np.float64], turn: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rates at which curves are known: most up to where they turn, the rest beyond. [kg/ha]

    A piece that lay across a knot or a top would pay for going past it.
    """
    before = DEFAULT_PIECES - _PIECES_BEYOND
    # one that never turns, or is not known, is cut at even steps
    even = highest * (before / DEFAULT_PIECES)
    at = np.where(np.isfinite(turn), np.minimum(turn, highest), even)
    at = np.where(at < _NO_RATE_KG_HA, 0.0, at)
    first = np.linspace(0.0, 1.0, before + 1).reshape(-1, 1, 1)
    rest = np.linspace(0.0, 1.0, _PIECES_BEYOND + 1)[1:].reshape(-1, 1, 1)
    return np.concatenate([first * at, at + rest * (highest - at)])


def curve_optimum(found: CurveChoices, *, extra_return: float = 0.0) -> CurveOptimum:
    """The rate that pays best in each place by its curve, as if money were no matter.

    Parameters
    ----------
    found : CurveChoices
        The curves, as `curve_choices` gives them.
    extra_return : float, default 0
        Return asked for beyond each unit of money.
    """
    choices, per_kg = found.choices, found.need_per_spread_kg
    supply = found.curves.optimum(
        crop_price_t=choices.crop_price_t,
        price_per_need=choices.nutrient_price_kg / per_kg,
        extra_return=extra_return,
    )
    highest = choices.rates_kg_ha[-1]
    rate = np.minimum(supply / per_kg, highest)
    return CurveOptimum(rate, supply / per_kg > highest, curve_margin(found, rate))


def curve_margin(found: CurveChoices, rate_kg_ha: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the crop brings beyond the product, at some rates. [currency/ha]

    Parameters
    ----------
    found : CurveChoices
        The curves and prices.
    rate_kg_ha : ndarray of float, places × operations
        What is spread. [kg/ha]
    """
    return margin_over_nutrient(
        np.maximum(found.curves.yields(rate_kg_ha * found.need_per_spread_kg), 0.0),
        rate_kg_ha,
        crop_price_t=found.choices.crop_price_t,
        nutrient_price_kg=found.choices.nutrient_price_kg,
    )
