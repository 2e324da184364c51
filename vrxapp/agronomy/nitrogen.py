"""Nitrogen: what a target yield and protein ask for beyond what the soil brings.

A surplus is shown as a surplus; it never makes a rate below zero.
"""

from dataclasses import dataclass, fields
from math import nan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim, all_claims, first_claim
from vrxapp.agronomy.figures import Figure, FigureTable, figure
from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.nitrogen_demand import nitrogen_supply_needed
from vrxapp.agronomy.nitrogen_supply import in_crop_mineralisation, mineralisation_range
from vrxapp.sources import Grade

EFFICIENCY_CAUTION = (
    "Half of the nitrogen within reach ends in the grain, says the rule of thumb; in Victoria the "
    "crop found 35 % of its fertiliser in the year of spreading, and 25 to 41 % was lost."
)
"""To be shown beside every need that was worked out with an efficiency [grdc-2021-n-rules]."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class NitrogenSupply:
    """What the soil brings, one value a place or one for all; NaN where not known.

    Parameters
    ----------
    mineral_n_kg_ha : array_like
        Mineral nitrogen in the root zone, as `mineral_nitrogen` gives. [kg N/ha]
    organic_carbon_percent : array_like
        Organic carbon of the top 10 cm, Walkley-Black. [%]
    growing_season_rain_mm : array_like
        Rain expected while the crop grows. [mm]
    legume_n_kg_ha : array_like
        What the legume before brings, as `legume_nitrogen` gives; 0 after others. [kg N/ha]
    other_n_kg_ha : array_like
        Manure, irrigation water and fertiliser already given. [kg N/ha]
    """

    mineral_n_kg_ha: ArrayLike = nan
    organic_carbon_percent: ArrayLike = nan
    growing_season_rain_mm: ArrayLike = nan
    legume_n_kg_ha: ArrayLike = 0.0
    other_n_kg_ha: ArrayLike = 0.0


@dataclass(frozen=True, slots=True)
class NitrogenChoices:
    """What the agronomist sets beside demand and supply.

    Parameters
    ----------
    efficiency : Figure
        Share of the nitrogen within reach that ends in the grain. [-]
    counts_mineralisation : bool
        Whether the rule of thumb of mineralisation counts as supply.
    counts_legume : bool
        Whether the legume before counts beside the mineral nitrogen: only where that
        was not sampled after it, for such a sample has found it already.
    """

    efficiency: Figure
    counts_mineralisation: bool = True
    counts_legume: bool = False


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class NitrogenNeed:
    """What each place needs, with the columns it was made from. All in kg N/ha.

    Parameters
    ----------
    need_kg_ha, surplus_kg_ha : ndarray of float
        Fertiliser nitrogen, and what the supply has beyond the demand; one of them is 0.
        NaN where it cannot be told.
    grain_n_kg_ha, demand_kg_ha : ndarray of float
        Nitrogen in the grain, and what must be within reach for it.
    mineral_n_kg_ha, mineralised_kg_ha, legume_n_kg_ha, other_n_kg_ha : ndarray of float
        The parts of the supply as they were counted; 0 where a part is not counted.
    low_kg_ha, high_kg_ha : ndarray of float
        The need if half more or half less is set free than the rule of thumb says.
    is_better_split : ndarray of bool
        Where the need is above 50 kg N/ha.
    reason : ndarray of object
        Text why there is no need or none can be told; empty elsewhere.
    doubt : ndarray of object
        Text why a need is less sure; empty elsewhere.
    figures : tuple of Figure
        The numbers of the rule that were used, each with its source and grade.
    source, where : str
        Key of the bibliography and the place in it, of the efficiency.
    grade : Grade
        How well the efficiency is known; `figures` tells it of the other numbers.
    """

    need_kg_ha: NDArray[np.float64]
    surplus_kg_ha: NDArray[np.float64]
    grain_n_kg_ha: NDArray[np.float64]
    demand_kg_ha: NDArray[np.float64]
    mineral_n_kg_ha: NDArray[np.float64]
    mineralised_kg_ha: NDArray[np.float64]
    legume_n_kg_ha: NDArray[np.float64]
    other_n_kg_ha: NDArray[np.float64]
    low_kg_ha: NDArray[np.float64]
    high_kg_ha: NDArray[np.float64]
    is_better_split: NDArray[np.bool_]
    reason: NDArray[np.object_]
    doubt: NDArray[np.object_]
    figures: tuple[Figure, ...]
    source: str
    where: str
    grade: Grade


def nitrogen_balance(
    demand_kg_ha: ArrayLike, supply_kg_ha: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""Fertiliser nitrogen that closes the gap, and the surplus where there is no gap.

    Parameters
    ----------
    demand_kg_ha, supply_kg_ha : array_like
        What must be within reach, and what is there without fertiliser. [kg N/ha]

    Returns
    -------
    tuple of two ndarrays of float
        Need and surplus, never below zero, and one of them zero; NaN where an input is
        missing. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: N_{fert} = \max(0, N_{demand} - N_{supply})

    Examples
    --------
    >>> [part.tolist() for part in nitrogen_balance([60.0, 90.0], [90.0, 60.0])]
    [[0.0, 30.0], [30.0, 0.0]]
    """
    require_at_least_zero(demand_kg_ha=demand_kg_ha, supply_kg_ha=supply_kg_ha)
    gap = np.subtract(demand_kg_ha, supply_kg_ha, dtype=float)
    return np.asarray(np.maximum(gap, 0.0)), np.asarray(np.maximum(-gap, 0.0))


def nitrogen_need(
    grain_n_kg_ha: ArrayLike, supply: NitrogenSupply, *, choices: NitrogenChoices
) -> NitrogenNeed:
    r"""Fertiliser nitrogen that each place needs for the grain that is aimed at.

    Parameters
    ----------
    grain_n_kg_ha : array_like
        Nitrogen in the grain, as `grain_nitrogen` gives from yield and protein, or
        `nutrient_removal` from yield alone. [kg N/ha]
    supply : NitrogenSupply
        Columns over places.
    choices : NitrogenChoices
        Efficiency, and which parts of the supply count.

    Returns
    -------
    NitrogenNeed
        Need, surplus and their parts in the shape the inputs broadcast to. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: N_{fert} = \max(0, N_{grain} / E - N_{min} - ICM - N_{legume} - N_{other})

    References
    ----------
    .. [1] grdc-2021-n-rules. The rules of thumb for southern cropping, and their doubts.
    .. [2] grdc-mineralisation. In-crop mineralisation.

    Examples
    --------
    Wheat of 3 t/ha at 11.5 %, 42 kg N/ha in the soil, organic carbon 1.0 %, 300 mm:

    >>> from vrxapp.agronomy.nitrogen_demand import grain_nitrogen
    >>> supply = NitrogenSupply([42.0], organic_carbon_percent=1.0, growing_season_rain_mm=300.0)
    >>> half = figure(FigureTable.NITROGEN, "efficiency_rule")
    >>> nitrogen_need(grain_nitrogen([3.0], 11.5, protein_per_n=5.7), supply,
    ...     choices=NitrogenChoices(half)).need_kg_ha.round(1)
    array([34.1])
    """
    demand = nitrogen_supply_needed(grain_n_kg_ha, choices.efficiency.value)
    parts = _parts(supply, choices)
    grain, demand, *parts = np.broadcast_arrays(
        np.asarray(grain_n_kg_ha, dtype=float), demand, *parts
    )
    mineral, free, legume, other = parts
    measured = mineral + legume + other
    less, more = mineralisation_range(free)
    need, surplus = nitrogen_balance(demand, measured + free)
    return NitrogenNeed(
        need_kg_ha=need,
        surplus_kg_ha=surplus,
        grain_n_kg_ha=grain,
        demand_kg_ha=demand,
        mineral_n_kg_ha=mineral,
        mineralised_kg_ha=free,
        legume_n_kg_ha=legume,
        other_n_kg_ha=other,
        low_kg_ha=nitrogen_balance(demand, measured + more)[0],
        high_kg_ha=nitrogen_balance(demand, measured + less)[0],
        is_better_split=need > figure(FigureTable.NITROGEN, "split_above").value,
        reason=first_claim(_reasons(grain, parts, need=need)),
        doubt=all_claims(_doubts(supply, choices, need=need, free=free)),
        figures=_figures(choices),
        source=choices.efficiency.source,
        where=choices.efficiency.where,
        grade=choices.efficiency.grade,
    )


def _parts(supply: NitrogenSupply, choices: NitrogenChoices) -> list[NDArray[np.float64]]:
    """Mineral nitrogen, mineralisation, legume and others, as they count. [kg N/ha]"""
    require_at_least_zero(**{f.name: getattr(supply, f.name) for f in fields(supply)})
    free = in_crop_mineralisation(supply.organic_carbon_percent, supply.growing_season_rain_mm)
    legume = np.asarray(supply.legume_n_kg_ha, dtype=float)
    return [
        np.asarray(supply.mineral_n_kg_ha, dtype=float),
        free if choices.counts_mineralisation else np.zeros_like(free),
        legume if choices.counts_legume else np.zeros_like(legume),
        np.asarray(supply.other_n_kg_ha, dtype=float),
    ]


def _reasons(
    grain: NDArray[np.float64], parts: list[NDArray[np.float64]], *, need: NDArray[np.float64]
) -> list[Claim]:
    """Why there is no need, or none can be told."""
    mineral, free, legume, other = map(np.isnan, parts)
    return [
        (np.isnan(grain), "the target yield or protein is not known"),
        (mineral, "mineral nitrogen was not measured down to the roots' depth"),
        (free, "organic carbon or the season's rain is not known, and mineralisation counts"),
        (legume | other, "what the legume before or others bring is not known"),
        (need == 0, "the soil brings all that the target asks for"),
    ]


def _doubts(
    supply: NitrogenSupply,
    choices: NitrogenChoices,
    *,
    need: NDArray[np.float64],
    free: NDArray[np.float64],
) -> list[Claim]:
    """Why a need is less sure than its sum looks."""
    known = ~np.isnan(need)
    legume = np.broadcast_to(np.asarray(supply.legume_n_kg_ha, dtype=float) > 0, need.shape)
    ceiling = figure(FigureTable.NITROGEN, "mineralisation_ceiling").value
    unverified = choices.efficiency.grade in (Grade.UNVERIFIED, Grade.COMMON_PRACTICE)
    return [
        (known & (free > 0), "mineralisation is a rule of thumb, half either way"),
        (known & (free >= ceiling), f"mineralisation is held at {ceiling:g} kg N/ha"),
        (
            known & legume & (not choices.counts_legume),
            "the legume before is not counted: a soil test after it has found its nitrogen",
        ),
        (
            known & legume & choices.counts_legume,
            "the legume before counts: right only where no soil test was taken after it",
        ),
        (known & unverified, "the efficiency has no published source"),
    ]


def _figures(choices: NitrogenChoices) -> tuple[Figure, ...]:
    """The numbers of the rule that were used."""
    keys = ["mineralisation", "mineralisation_spread"] if choices.counts_mineralisation else []
    known = (figure(FigureTable.NITROGEN, key) for key in (*keys, "split_above"))
    return (choices.efficiency, *known)
