"""Response curves of the agronomist's own: their kinds, and their yields at many places at once."""

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.response_curve import (
    linear_plateau,
    linear_plateau_optimum,
    mitscherlich,
    mitscherlich_optimum,
    quadratic,
    quadratic_optimum,
)
from vrxapp.errors import MissingInputError
from vrxapp.season import Season

Column = NDArray[np.float64]
EVERY_ZONE = -1
"""Stands for the row of a zone in a curve of every zone that has none of its own."""


class CurveKind(StrEnum):
    """The forms that a response curve can have."""

    MITSCHERLICH = "mitscherlich"
    LINEAR_PLATEAU = "linear-plateau"
    QUADRATIC = "quadratic"


@dataclass(frozen=True, slots=True)
class CurveForm:
    """What the three numbers of a kind of curve are.

    Parameters
    ----------
    kind : CurveKind
        The kind.
    numbers : tuple of three str
        What the numbers are called, in their order.
    units : tuple of three str
        Their units, with ``{need}`` for the unit of the operation's need.
    words : str
        The curve in words, for people.
    mend : str
        What the numbers must be.
    """

    kind: CurveKind
    numbers: tuple[str, str, str]
    units: tuple[str, str, str]
    words: str
    mend: str


_FORMS = (
    CurveForm(
        CurveKind.MITSCHERLICH,
        ("plateau", "response", "c"),
        ("t/ha", "t/ha", "per {need}"),
        "rises ever more slowly: plateau − response × exp(−c × x)",
        "Give a response from 0 to the plateau, and c above 0",
    ),
    CurveForm(
        CurveKind.LINEAR_PLATEAU,
        ("unfed", "slope", "knot"),
        ("t/ha", "t/ha per {need}", "{need}"),
        "rises in a straight line up to a knot, then stays: unfed + slope × the lesser of x and "
        "knot",
        "Give an unfed yield and a slope of zero or more, and a knot above 0",
    ),
    CurveForm(
        CurveKind.QUADRATIC,
        ("unfed", "slope", "bend"),
        ("t/ha", "t/ha per {need}", "t/ha per {need}²"),
        "rises to a top and falls again: unfed + slope × x + bend × x²; nothing is spent beyond "
        "its top",
        "Give an unfed yield and a slope of zero or more, and a bend below 0",
    ),
)


def curve_form(kind: CurveKind) -> CurveForm:
    """What the numbers of a kind are.

    Examples
    --------
    >>> curve_form(CurveKind.QUADRATIC).numbers
    ('unfed', 'slope', 'bend')
    """
    return next(form for form in _FORMS if form.kind is kind)


@dataclass(frozen=True, slots=True)
class ZoneCurve:
    """What a zone answers to an operation, by the agronomist's own trials.

    Parameters
    ----------
    operation_id : str
        The operation.
    zone_row : int
        The zone; `EVERY_ZONE` for every zone that has no curve of its own.
    kind : CurveKind
        Its kind.
    numbers : tuple of three float
        As `curve_form` names them. Yields in t/ha; what is given in the unit of the
        operation's need, kg/ha of the element, or t/ha of lime or gypsum.
    """

    operation_id: str
    zone_row: int
    kind: CurveKind
    numbers: tuple[float, float, float]

    def __post_init__(self) -> None:
        """Refuse a curve that no crop has."""
        first, second, third = self.numbers
        fits = {
            CurveKind.MITSCHERLICH: 0.0 <= second <= first and third > 0.0,
            CurveKind.LINEAR_PLATEAU: first >= 0.0 and second >= 0.0 and third > 0.0,
            CurveKind.QUADRATIC: first >= 0.0 and second >= 0.0 and third < 0.0,
        }[self.kind]
        if not (fits and np.all(np.isfinite(self.numbers))):
            form = curve_form(self.kind)
            told = ", ".join(f"{n} {v:g}" for n, v in zip(form.numbers, self.numbers, strict=True))
            raise MissingInputError(
                f"{told} is no response curve of the kind {self.kind}", mend=form.mend
            )


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CurveColumns:
    """The curves of places × operations; where a place has no curve of a kind, NaN stands.

    Parameters
    ----------
    by_kind : tuple of ndarray of float, 3 × places × operations
        The three numbers, one array a kind, in the order of `CurveKind`.
    """

    by_kind: tuple[Column, Column, Column]

    def yields(self, supply: Column) -> Column:
        """Yield at each supply, in the unit of each operation's need. [t/ha]"""
        plateau, response, curvature = self.by_kind[0]
        unfed, slope, knot = self.by_kind[1]
        start, first, bend = self.by_kind[2]
        return self._chosen(
            mitscherlich(
                supply,
                unfed_yield_t_ha=plateau - response,
                top_yield_t_ha=plateau,
                curvature_ha_kg=curvature,
            ),
            linear_plateau(supply, unfed_yield_t_ha=unfed, slope_t_kg=slope, knot_kg_ha=knot),
            quadratic(supply, unfed_yield_t_ha=start, slope_t_kg=first, bend_t_ha_kg2=bend),
        )

    def optimum(
        self, *, crop_price_t: float, price_per_need: Column, extra_return: float = 0.0
    ) -> Column:
        """Supply at which the last unit just earns what is asked of it. [unit of the need]

        Parameters
        ----------
        crop_price_t : float
            Price of the crop. [currency/t]
        price_per_need : ndarray of float, operations
            Price of a unit of each need. [currency/unit]
        extra_return : float, default 0
            Return asked for beyond each unit of money.
        """
        money: dict[str, ArrayLike] = {
            "crop_price_t": crop_price_t,
            "nutrient_price_kg": price_per_need,
            "extra_return": extra_return,
        }
        plateau, response, curvature = self.by_kind[0]
        _, slope, knot = self.by_kind[1]
        _, first, bend = self.by_kind[2]
        return self._chosen(
            mitscherlich_optimum(
                unfed_yield_t_ha=plateau - response,
                top_yield_t_ha=plateau,
                curvature_ha_kg=curvature,
                **money,
            ),
            linear_plateau_optimum(slope_t_kg=slope, knot_kg_ha=knot, **money),
            quadratic_optimum(slope_t_kg=first, bend_t_ha_kg2=bend, **money),
        )

    def turn(self) -> Column:
        """Supply at which a curve turns: its knot or its top; infinite where it never does."""
        _, slope, bend = self.by_kind[2]
        return self._chosen(
            np.full(slope.shape, np.inf), self.by_kind[1][2], np.asarray(-slope / (2.0 * bend))
        )

    def _chosen(self, *of_kinds: Column) -> Column:
        """The values of the kind that each place has; NaN where it has none."""
        has = [~np.isnan(numbers[0]) for numbers in self.by_kind]
        shape = np.broadcast_shapes(*(np.shape(values) for values in of_kinds))
        spread = [np.broadcast_to(is_of, shape) for is_of in has]
        return np.select(spread, [np.broadcast_to(v, shape) for v in of_kinds], np.nan)


def curve_columns(
    curves: tuple[ZoneCurve, ...], operation_ids: tuple[str, ...], places: int
) -> CurveColumns:
    """The curves of each place and operation; a later curve of the same place holds."""
    kinds = tuple(CurveKind)
    known = np.full((len(kinds), 3, places, len(operation_ids)), np.nan)
    columns = {operation: column for column, operation in enumerate(operation_ids)}
    for curve in curves:
        rows = (
            slice(None)
            if curve.zone_row == EVERY_ZONE
            else slice(curve.zone_row, curve.zone_row + 1)
        )
        if curve.operation_id in columns:
            column = columns[curve.operation_id]
            known[:, :, rows, column] = np.nan
            known[kinds.index(curve.kind), :, rows, column] = np.reshape(curve.numbers, (3, 1))
    return CurveColumns((known[0], known[1], known[2]))


def curves_here(
    curves: tuple[ZoneCurve, ...], zone_ids: tuple[str, ...], season: Season
) -> tuple[ZoneCurve, ...]:
    """Curves whose rows were of other zones, with the rows that their zones have now.

    Curves of zones or operations that are no more are left out.

    Parameters
    ----------
    curves : tuple of ZoneCurve
        The curves.
    zone_ids : tuple of str
        Ids of the zones that their rows mean.
    season : Season
        The season as it is now.
    """
    operations = {operation.id for operation in season.operations}
    rows = {zone_id: row for row, zone_id in enumerate(season.zones.ids)}
    now = {row: rows[zone_id] for row, zone_id in enumerate(zone_ids) if zone_id in rows}
    now[EVERY_ZONE] = EVERY_ZONE
    return tuple(
        replace(curve, zone_row=now[curve.zone_row])
        for curve in curves
        if curve.operation_id in operations and curve.zone_row in now
    )
