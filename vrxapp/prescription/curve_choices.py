"""Response curves of a season's operations, as choices of where money can go."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.response_curve import mitscherlich
from vrxapp.errors import MissingInputError
from vrxapp.prescription.pipeline import full_plans, prescription
from vrxapp.prescription.rate_steps import highest_rate_kg_ha, product_per_spread_kg
from vrxapp.prescription.season_cut import unbudgeted
from vrxapp.prescription.spending_choices import SpendingChoices, known_along
from vrxapp.prescription.supply import supply_per_kg
from vrxapp.prescription.totals import price_of_spread_kg
from vrxapp.season import Operation, Season


@dataclass(frozen=True, slots=True)
class ZoneCurve:
    """What a zone answers to an operation, by the agronomist's own trials.

    Parameters
    ----------
    operation_id : str
        The operation.
    zone_row : int
        The zone; -1 for every zone that has no curve of its own.
    plateau_t_ha : float
        Yield approached with plenty. [t/ha]
    response_t_ha : float
        How far the yield lies below it with none, at most the plateau. [t/ha]
    curvature_per_need : float
        How fast it rises, above 0: for each unit of the operation's need, kg/ha of the
        element, or t/ha of lime or gypsum.
    """

    operation_id: str
    zone_row: int
    plateau_t_ha: float
    response_t_ha: float
    curvature_per_need: float

    def __post_init__(self) -> None:
        """Refuse a curve that no crop has."""
        if not (0.0 <= self.response_t_ha <= self.plateau_t_ha and self.curvature_per_need > 0.0):
            raise MissingInputError(
                f"a plateau of {self.plateau_t_ha:g} t/ha with a response of "
                f"{self.response_t_ha:g} t/ha and c of {self.curvature_per_need:g} is no response "
                "curve",
                mend="Give a response from 0 to the plateau, and c above 0",
            )


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CurveChoices:
    """Where money can go, the operations of the columns, and those left out with the reason."""

    choices: SpendingChoices
    operations: tuple[Operation, ...]
    left_out: tuple[tuple[str, str], ...]


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
    known = _columns(curves, used, places)
    per_kg = np.array(
        [product_per_spread_kg(o) * supply_per_kg(o.product, o.purpose) for o in used]
    )
    rates, yields = known_along(lambda rate: _yields(rate * per_kg, known), highest)
    return CurveChoices(
        SpendingChoices(
            area_ha=plans[0].totals.zone_area_ha,
            need_kg_ha=np.stack([plan.rates_kg_ha for plan in plans], axis=1),
            rates_kg_ha=rates,
            yields_t_ha=yields,
            crop_price_t=crop_price_t,
            nutrient_price_kg=np.array([price_of_spread_kg(o) for o in used]),
            lowest_kg_ha=np.array([o.machine.lowest_rate_kg_ha for o in used]),
        ),
        used,
        left_out,
    )


def _lack(operation: Operation, lack: str, curves: tuple[ZoneCurve, ...]) -> str:
    """Why an operation cannot be weighed; empty where it can."""
    if lack:
        return lack
    if not any(curve.operation_id == operation.id for curve in curves):
        return "no curve was given"
    # a free product needs no budget, and one without a price cannot have one
    return "" if price_of_spread_kg(operation) > 0 else "it has no price"


def _columns(
    curves: tuple[ZoneCurve, ...], used: tuple[Operation, ...], places: int
) -> NDArray[np.float64]:
    """Plateau, response and curvature of each place and operation; NaN where none was given."""
    known = np.full((3, places, len(used)), np.nan)
    columns = {operation.id: column for column, operation in enumerate(used)}
    for curve in curves:
        rows = slice(None) if curve.zone_row < 0 else slice(curve.zone_row, curve.zone_row + 1)
        if curve.operation_id in columns:
            values = (curve.plateau_t_ha, curve.response_t_ha, curve.curvature_per_need)
            known[:, rows, columns[curve.operation_id]] = np.reshape(values, (3, 1))
    return known


def _yields(supply: NDArray[np.float64], known: NDArray[np.float64]) -> NDArray[np.float64]:
    """Yield at each supply, in the unit of each operation's need. [t/ha]"""
    plateau, response, curvature = known
    return mitscherlich(
        supply,
        unfed_yield_t_ha=plateau - response,
        top_yield_t_ha=plateau,
        curvature_ha_kg=curvature,
    )
