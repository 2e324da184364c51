"""Fulvic rates: the ordinary ones and the clean-up rate apart, each with its cautions.

No rate here is a recommendation. A clean-up shortens no plant-back and no withholding
time, and nothing humic or fulvic is a reason to spray less than a label says.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class FulvicBand(StrEnum):
    """Where a rate lies."""

    NONE = "none"
    ORDINARY = "ordinary"
    ABOVE_ORDINARY = "above ordinary"
    CLEAN_UP = "clean-up"


@dataclass(frozen=True, slots=True)
class FulvicRate:
    """A rate that the trade names, without a source."""

    key: str
    name: str
    low_kg_ha: float
    high_kg_ha: float
    told: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class FulvicCaution:
    """What to mind, and where it comes from."""

    text: str
    source: str
    grade: Grade


_TANK = FulvicCaution(
    "With a pesticide in the tank only if its label permits, and after a jar test: what chelates "
    "or carries much charge may tie up or change the active.",
    "label-and-law",
    Grade.COMMON_PRACTICE,
)
_LABEL_RATE = FulvicCaution(
    "Never spray less of a registered pesticide than its label says because of a humic or fulvic "
    "product: doses below the label bred resistant ryegrass in three generations.",
    "grdc-pyroxasulfone",
    Grade.PUBLISHED,
)
_NOT_SHOWN = FulvicCaution(
    "Nothing was found that shows residues cleaned up at a field rate.",
    "humate-search",
    Grade.COMMON_PRACTICE,
)
_TIMES_STAY = FulvicCaution(
    "Plant-back, withholding and re-entry times stay as the label of what was sprayed says, "
    "whatever was put on since.",
    "label-and-law",
    Grade.COMMON_PRACTICE,
)
_RELEASED = FulvicCaution(
    "Residues may be set free and moved towards groundwater, drains and dams: soil held less of "
    "three chemicals the more dissolved organic matter there was. Keep the setbacks, and keep off "
    "sand, shallow water tables and ground about to be wet.",
    "dom-sorption-2005",
    Grade.PUBLISHED,
)
_EITHER_WAY = FulvicCaution(
    "Which way a residue goes differs: in a sand, humic acid sped a herbicide down and fulvic "
    "acid held it back. Held is not gone either: it can hurt a later crop.",
    "mcpa-humic-2002",
    Grade.PUBLISHED,
)


def fulvic_rates() -> tuple[FulvicRate, ...]:
    """The rates that the trade names."""
    return read_table("fulvic_bands.csv", FulvicRate)


def fulvic_band(rate_kg_ha: ArrayLike) -> NDArray[np.str_]:
    """In which band each rate of fulvic powder lies.

    Parameters
    ----------
    rate_kg_ha : array_like
        Rate of the powder. [kg/ha]

    Returns
    -------
    ndarray of str
        A value of `FulvicBand`; empty where the rate is NaN.

    Raises
    ------
    SoilInputError
        If a rate is negative.

    References
    ----------
    .. [1] fulvic-practice. The trade's rates.

    Examples
    --------
    >>> fulvic_band([0.3, 2.0, 3.0]).tolist()
    ['ordinary', 'above ordinary', 'clean-up']
    """
    require_at_least_zero(rate_kg_ha=rate_kg_ha)
    rate = np.asarray(rate_kg_ha, dtype=float)
    rates = {row.key: row for row in fulvic_rates()}
    return np.select(
        [
            np.isnan(rate),
            rate == 0,
            rate <= rates["irrigation"].high_kg_ha,
            rate < rates["clean_up"].low_kg_ha,
        ],
        ["", FulvicBand.NONE.value, FulvicBand.ORDINARY.value, FulvicBand.ABOVE_ORDINARY.value],
        default=FulvicBand.CLEAN_UP.value,
    )


def fulvic_cautions(band: FulvicBand) -> tuple[FulvicCaution, ...]:
    """What to mind with a rate of this band; what is above ordinary is treated as a clean-up.

    Examples
    --------
    >>> len(fulvic_cautions(FulvicBand.CLEAN_UP)) > len(fulvic_cautions(FulvicBand.ORDINARY))
    True
    """
    if band is FulvicBand.NONE:
        return ()
    ordinary = (_TANK, _LABEL_RATE)
    if band is FulvicBand.ORDINARY:
        return ordinary
    return (*ordinary, _NOT_SHOWN, _TIMES_STAY, _RELEASED, _EITHER_WAY)


def require_label_rate(rate: ArrayLike, *, label_rate: float, name: str) -> None:
    """Refuse a rate of a registered pesticide that is below the label's.

    Parameters
    ----------
    rate : array_like
        Rate that is to be sprayed; 0 where a place is left out. [the label's unit]
    label_rate : float
        Least that the label says for this use, above 0. [the same unit]
    name : str
        Name of the product.

    Raises
    ------
    SoilInputError
        If a place would get some of it, but less than the label says.

    References
    ----------
    .. [1] grdc-pyroxasulfone. Doses below the label breed resistance.

    Examples
    --------
    A place that is left out, and one that gets what the label says:

    >>> require_label_rate([0.0, 118.0], label_rate=118.0, name="the herbicide")
    """
    require_at_least_zero(rate=rate)
    require_above_zero(label_rate=label_rate)
    rates = np.asarray(rate, dtype=float)
    is_below = (rates > 0) & (rates < label_rate)
    if np.any(is_below):
        raise SoilInputError(
            f"{name} would be sprayed below the {label_rate:g} that its label says; "
            f"{int(np.sum(is_below))} of {rates.size} places are too low",
            value=f"{rates[is_below].flat[0]:g}",
            mend="Use the label's rate or leave the place out; no humic or fulvic product "
            "is a reason for less",
        )
