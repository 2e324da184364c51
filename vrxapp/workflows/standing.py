"""How one result stands against the value that a rate aims at, in words and as a bar."""

from dataclasses import dataclass

from vrxapp.agronomy.trail import printed_value
from vrxapp.prescription.rate_aims import ABOVE, BELOW, NO_AIM, RateAim, Standings
from vrxapp.sources import Grade

_HALF = 0.5
UNITLESS = ("index", "pH")
"""Units that go without saying."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One result against what a rate aims at.

    Parameters
    ----------
    aim : RateAim
        What is aimed at, for which need, and by whom.
    low, high : float
        Ends of the range here; the same for a single value. [unit of the test]
    side : str
        ``"below"``, ``"within"`` or ``"above"``.
    unit : str
        Unit of the test.
    """

    aim: RateAim
    low: float
    high: float
    side: str
    unit: str


def standing_at(of: Standings, place: int, *, unit: str) -> Standing | None:
    """How the result of a place stands; None where nothing is aimed at or it cannot be told."""
    number, side = int(of.number[place]), str(of.side[place])
    if number == NO_AIM or not side:
        return None
    return Standing(of.aims[number], float(of.low[place]), float(of.high[place]), side, unit)


def standing_text(standing: Standing) -> str:
    """Where a result stands, in a word and the value; its unit is that of the result beside it."""
    mark = " (unverified)" if standing.aim.grade is Grade.UNVERIFIED else ""
    return f"{_side_word(standing)} {_span_words(standing)}{mark}"


def standing_sentence(standing: Standing) -> str:
    """Where a result stands, against what, for which crop, and by whom."""
    aim = standing.aim
    mark = ", unverified" if aim.grade is Grade.UNVERIFIED else ""
    return f"{_side_word(standing)} the {aim.what} of {_value_words(standing)} ({aim.whose}{mark})"


def standing_source(standing: Standing) -> str:
    """Where the value is from and how well it is known."""
    aim = standing.aim
    source = f"{aim.source}, " if aim.source else ""
    return f"{source}{aim.where} ({aim.grade})"


def distance_from_trouble(value: float, standing: Standing) -> float:
    """How far a result lies from trouble, from 0 to 1; under a half where it is in it.

    Below a critical value that is its share of the value, halved; above the most that is
    borne, the share of that in the result, halved.
    """
    if standing.side == BELOW:
        share = _HALF * value / standing.low
    elif standing.side == ABOVE:
        share = 1.0 - _HALF * standing.high / value
    else:
        return _HALF
    return 1.0 - share if standing.aim.is_most else share


def _side_word(standing: Standing) -> str:
    """Below, within or above a range; a single value is met or not."""
    if standing.side in (BELOW, ABOVE):
        return standing.side
    return "at" if standing.low == standing.high else "within"


def _value_words(standing: Standing) -> str:
    """The value, or both ends of the range, with the unit."""
    unit = "" if standing.unit in UNITLESS else f" {standing.unit}"
    return f"{_span_words(standing)}{unit}"


def _span_words(standing: Standing) -> str:
    """The value, or both ends of the range."""
    return " to ".join(dict.fromkeys(map(printed_value, (standing.low, standing.high))))
