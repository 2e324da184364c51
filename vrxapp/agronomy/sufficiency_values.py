"""What the rules of sufficiency and replacement read, and what the agronomist chooses."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim
from vrxapp.sources import Grade


class NeedPolicy(StrEnum):
    """What the need of an element is worked out for; the agronomist chooses.

    Sufficiency is where a new plan starts. Cation balance is never the default; it
    stands in `cation_balance` with what is known against it.
    """

    SUFFICIENCY = "sufficiency"
    REPLACEMENT = "replacement"
    CATION_BALANCE = "cation-balance"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LayerTest:
    """Results of one soil test in one layer, one value a place or one for all.

    Parameters
    ----------
    analyte, depth_cm : str
        Key of the soil test, and the layer it was sampled from, ``"0-10"``.
    values : array_like
        Results in the test's unit; NaN where there is none.
    bulk_density_t_m3 : array_like
        Bulk density of the layer. [t/m³]
    gravel_fraction : array_like
        Share of stones in its volume. [-]
    texture : array_like of str
        Texture of each place; empty where not told.
    """

    analyte: str
    depth_cm: str
    values: ArrayLike
    bulk_density_t_m3: ArrayLike = math.nan
    gravel_fraction: ArrayLike = 0.0
    texture: ArrayLike = ""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class HarvestRemoval:
    """What the harvest carries away of the element, with where the figure is from.

    Parameters
    ----------
    target_yield_t_ha : array_like
        Yield aimed at. [t/ha]
    removal_kg_t : array_like
        The element in one tonne of product; NaN where no figure is known. [kg/t]
    source, where : str
        Key of the bibliography and the place in it.
    grade : Grade
        How well the figure is known.
    """

    target_yield_t_ha: ArrayLike
    removal_kg_t: ArrayLike
    source: str = ""
    where: str = ""
    grade: Grade = Grade.YOURS


@dataclass(frozen=True, slots=True)
class NeedChoices:
    """What the agronomist sets beside the critical range.

    Parameters
    ----------
    policy : NeedPolicy
        Sufficiency or replacement.
    is_built_up : bool
        Whether a layer below the range is lifted to its middle.
    build_up_years : float
        Years over which that is shared. [years]
    most_kg_ha : float
        The most that is given in this season; NaN for no limit. [kg/ha]
    """

    policy: NeedPolicy = NeedPolicy.SUFFICIENCY
    is_built_up: bool = True
    build_up_years: float = 1.0
    most_kg_ha: float = math.nan


def _no_doubts(_need_kg_ha: NDArray[np.float64]) -> tuple[Claim, ...]:
    """No doubts of the element's own."""
    return ()


@dataclass(frozen=True, slots=True)
class ElementWords:
    """What is particular to an element: its doubts, told from the need, and its cautions."""

    doubts: Callable[[NDArray[np.float64]], tuple[Claim, ...]] = _no_doubts
    cautions: tuple[str, ...] = ()
