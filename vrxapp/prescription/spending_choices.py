"""Where money can go: places, nutrients, prices, and what each answers along its curve."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import SoilInputError

DEFAULT_PIECES = 24
_BEND_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SpendingChoices:
    """Where money can go; one row a place, one column a nutrient.

    Parameters
    ----------
    area_ha : ndarray of float, places
        Ground of each place. [ha]
    need_kg_ha : ndarray of float, places × nutrients
        What each place needs now, to tell what falls short. [kg/ha]
    rates_kg_ha : ndarray of float, pieces + 1 × places × nutrients
        Rates at which each response curve is known, rising from 0 to the machine's
        highest; all 0 where a nutrient is left out. [kg/ha]
    yields_t_ha : ndarray of float, pieces + 1 × places × nutrients
        Yield at those rates; the curve must bend down. [t/ha]
    crop_price_t : float
        Price of the crop. [currency/t]
    nutrient_price_kg : ndarray of float, nutrients
        Price of each nutrient as it is spread, above 0. [currency/kg]
    lowest_kg_ha : ndarray of float, nutrients
        Lowest rate the machine spreads, beside none at all. [kg/ha]
    """

    area_ha: NDArray[np.float64]
    need_kg_ha: NDArray[np.float64]
    rates_kg_ha: NDArray[np.float64]
    yields_t_ha: NDArray[np.float64]
    crop_price_t: float
    nutrient_price_kg: NDArray[np.float64]
    lowest_kg_ha: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Refuse columns that do not go together, and curves that bend up."""
        _check_shapes(self)
        _check_values(self)


def _check_shapes(choices: SpendingChoices) -> None:
    """Refuse columns of different lengths."""
    places, nutrients = choices.need_kg_ha.shape
    fits = (
        choices.area_ha.shape == (places,)
        and choices.rates_kg_ha.shape[1:] == (places, nutrients)
        and choices.rates_kg_ha.shape == choices.yields_t_ha.shape
        and len(choices.rates_kg_ha) > 1
        and choices.nutrient_price_kg.shape == choices.lowest_kg_ha.shape == (nutrients,)
    )
    if not fits:
        raise SoilInputError(
            "the columns of places, nutrients and curves do not go together",
            mend="Give each place an area, each nutrient a price, and each pair a curve",
        )


def _check_values(choices: SpendingChoices) -> None:
    """Refuse prices and rates that cannot be, and curves that bend up."""
    prices = np.append(choices.nutrient_price_kg, choices.crop_price_t)
    if not np.all(prices > 0) or not np.all(np.isfinite(prices)):
        raise SoilInputError("prices must be above zero", mend="Give the price of every nutrient")
    widths, gains = np.diff(choices.rates_kg_ha, axis=0), np.diff(choices.yields_t_ha, axis=0)
    rises = np.all((widths >= 0) | np.isnan(widths)) and not np.any(choices.rates_kg_ha[0] != 0)
    highest = choices.rates_kg_ha[-1]
    if not rises or np.any(choices.area_ha < 0) or np.any(choices.lowest_kg_ha < 0):
        raise SoilInputError(
            "rates must rise from zero, and areas and lowest rates must not be negative",
            mend="Start each curve with the yield at no fertiliser",
        )
    if np.any((highest < choices.lowest_kg_ha) & (highest > 0)):
        raise SoilInputError(
            "the lowest rate of the machine lies above a highest rate",
            mend="Raise the highest rate, or leave the place out",
        )
    slopes, blurs = np.full(widths.shape, math.nan), np.full(widths.shape, math.nan)
    np.divide(gains, widths, out=slopes, where=widths > 0)
    # on a short piece of a high yield the slope is no surer than the yields' last digits
    digits = 2.0 * np.finfo(float).eps * np.max(np.abs(choices.yields_t_ha), axis=0)
    np.divide(digits, widths, out=blurs, where=widths > 0)
    unsure = _BEND_TOLERANCE + blurs[:-1] + blurs[1:]
    bends_up = np.any(np.diff(slopes, axis=0) > unsure, axis=0)
    if np.any(bends_up):
        place, nutrient = np.argwhere(bends_up)[0]
        raise SoilInputError(
            "a response curve must bend down: each kilogram brings no more than the one before",
            row=int(place) + 1,
            column=f"nutrient {int(nutrient) + 1}",
            mend="Check the curve of this place",
        )
