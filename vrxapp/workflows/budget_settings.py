"""A season's budget and its response curves out of words, for screen and terminal alike."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from vrxapp.errors import MissingInputError
from vrxapp.ground.zones import comparable
from vrxapp.prescription.season_shortfall import budget_currency
from vrxapp.prescription.zone_curve import EVERY_ZONE, CurveKind, ZoneCurve, curve_form
from vrxapp.season import Season, SeasonBudget, operation_called


@dataclass(frozen=True, slots=True)
class BudgetSettings:
    """A budget as a person tells it; NaN and None leave what the season has."""

    money: float = math.nan
    currency: str = ""
    priority: str | None = None


def budget_from(settings: BudgetSettings, season: Season) -> SeasonBudget:
    """The budget of a season as told, the rest as the season has it.

    Raises
    ------
    MissingInputError
        If no money is told and the season has no budget, or an operation is named twice.
    UnknownChoiceError
        If the priority names an operation that is not there.
    """
    known = season.budget
    if math.isnan(settings.money) and known is None:
        raise MissingInputError(
            "the season has no budget yet", mend="Give the money there is with --money"
        )
    money = known.money if known and math.isnan(settings.money) else settings.money
    currency = settings.currency or budget_currency(season)
    order = known.order if known else ()
    if settings.priority is not None:
        names = [name.strip() for name in settings.priority.split(",") if name.strip()]
        order = tuple(operation_called(season, name).id for name in names)
    return SeasonBudget(money, currency, order)


def curves_from(texts: Iterable[str], season: Season) -> tuple[ZoneCurve, ...]:
    """Response curves as told, those of one zone after those of all.

    Raises
    ------
    MissingInputError
        If a curve cannot be read.
    UnknownChoiceError
        If it names an operation or a zone that is not there.
    """
    return tuple(sorted((_curve(text, season) for text in texts), key=lambda c: c.zone_row >= 0))


def _curve(text: str, season: Season) -> ZoneCurve:
    """One curve out of its words."""
    name, _, told = text.rpartition("=")
    kind, colon, numbers = told.rpartition(":")
    if not name or (colon and comparable(kind) not in set(CurveKind)):
        raise _unreadable(text)
    try:
        first, second, third = (float(number) for number in numbers.split(","))
    except ValueError:
        raise _unreadable(text) from None
    row, operation = _zone_of(name, season)
    return ZoneCurve(
        operation_called(season, operation).id,
        row,
        CurveKind(comparable(kind)) if colon else CurveKind.MITSCHERLICH,
        (first, second, third),
    )


def _unreadable(text: str) -> MissingInputError:
    """The error for a curve that cannot be read, with the three ways to write one."""
    ways = "; or ".join(
        f"{kind}:{','.join(curve_form(kind).numbers).upper()}" for kind in CurveKind
    )
    return MissingInputError(
        f"cannot read the curve {text!r}",
        mend=f"Write it as --curve OPERATION[/ZONE]=CURVE, where CURVE is {ways}",
    )


def _zone_of(name: str, season: Season) -> tuple[int, str]:
    """The zone that a curve is for, or that it is for all, and the operation's name."""
    for row, zone in enumerate(season.zones.names):
        operation, slash, last = name.rpartition("/")
        if slash and comparable(last) == comparable(zone):
            return row, operation.strip()
    return EVERY_ZONE, name.strip()
