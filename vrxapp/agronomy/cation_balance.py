"""Cation balance: lift a cation to a share of the exchange. An option, never a default.

Trials have shown no yield benefit of it. Every result carries that note, and the
difference to sufficiency where that was worked out too.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim
from vrxapp.agronomy.exchange_sums import saturation_percent
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.rule_need import Findings, RuleNeed, settled_need
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.agronomy.trail import TrailStep
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT, milligrams_per_cmol

EVIDENCE_NOTE = (
    "No yield benefit of aiming at a cation ratio has been shown in trials: within the range "
    "found in soils, fertility does not follow the ratios, and the method spends more on inputs "
    "(Kopittke and Menzies 2007; McLean et al. 1983)."
)
"""Told with every result [kopittke-menzies-2007] [mclean-1983]."""


class Cation(StrEnum):
    """Cations that the method lifts."""

    CALCIUM = "Ca"
    MAGNESIUM = "Mg"
    POTASSIUM = "K"


class FreeSalt(StrEnum):
    """Whether the sample held free lime, gypsum or salt that swells the sums."""

    NOT_TOLD = ""
    NONE = "none"
    PRESENT = "present"


@dataclass(frozen=True, slots=True)
class CationTarget:
    """A share of the exchange that an author aimed at; the authors differ."""

    scheme: str
    name: str
    cation: Cation
    low_percent: float
    high_percent: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CationSoil:
    """A cation in one layer, one value a place or one for all.

    Parameters
    ----------
    present_cmol_kg, cec_cmol_kg : array_like
        The exchangeable cation, and the capacity by the same method. [cmol(+)/kg]
    free_salt : array_like of str
        `FreeSalt` of each place; without a word on it nothing can be told.
    bulk_density_t_m3 : array_like
        Bulk density. [t/m³]
    depth_cm : float
        Thickness of the layer. [cm]
    """

    present_cmol_kg: ArrayLike
    cec_cmol_kg: ArrayLike
    free_salt: ArrayLike
    bulk_density_t_m3: ArrayLike
    depth_cm: float


def cation_targets(cation: Cation | None = None) -> tuple[CationTarget, ...]:
    """The shares as published, or those for one cation. None is the default."""
    rows = read_table("cation_targets.csv", CationTarget)
    return tuple(row for row in rows if cation in (None, row.cation))


def cation_target(scheme: str, cation: Cation) -> CationTarget:
    """The share that one author aimed at.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for target in cation_targets(cation):
        if target.scheme == scheme:
            return target
    raise UnknownChoiceError(
        f"no target of {cation} has the scheme {scheme!r}",
        mend=f"Choose one of: {', '.join(target.scheme for target in cation_targets(cation))}",
    )


def published_span_percent(cation: Cation) -> tuple[float, float]:
    """Lowest and highest share of a cation among the published targets. [%]

    Examples
    --------
    >>> published_span_percent(Cation.CALCIUM)
    (60.0, 75.0)
    """
    rows = [row for row in cation_targets(cation) if row.grade is Grade.PUBLISHED]
    return min(row.low_percent for row in rows), max(row.high_percent for row in rows)


def cation_deficit(
    cation: Cation,
    present_cmol_kg: ArrayLike,
    cec_cmol_kg: ArrayLike,
    *,
    target_percent: ArrayLike,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
) -> NDArray[np.float64]:
    r"""What a layer lacks of a cation to a share of its exchange.

    Parameters
    ----------
    cation : Cation
        The cation.
    present_cmol_kg, cec_cmol_kg : array_like
        The exchangeable cation, and the capacity above 0. [cmol(+)/kg]
    target_percent : array_like
        Share aimed at, up to 100. [%]
    depth_cm, bulk_density_t_m3 : array_like
        Thickness and bulk density of the layer. [cm] [t/m³]

    Returns
    -------
    ndarray of float
        The element; zero at or above the share. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: q = \max(0, target - present) / 100 \; CEC \, (10 M / z) \, W / 1000

    References
    ----------
    .. [1] bear-1945. The shares.
    .. [2] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> cation_deficit(Cation.CALCIUM, [5.0], 10.0, target_percent=65.0,
    ...     depth_cm=15.0, bulk_density_t_m3=1.3).round(1)
    array([586.1])
    """
    require_at_least_zero(present_cmol_kg=present_cmol_kg, target_percent=target_percent)
    require_above_zero(cec_cmol_kg=cec_cmol_kg)
    share = np.asarray(target_percent, dtype=float) / PERCENT
    if np.any(share > 1):
        raise SoilInputError("target_percent must not be above 100", mend="Give a share in percent")
    wanted_cmol_kg = share * np.asarray(cec_cmol_kg, dtype=float)
    lack_mg_kg = np.maximum(wanted_cmol_kg - present_cmol_kg, 0.0) * milligrams_per_cmol(cation)
    mass_t_ha = soil_mass(depth_cm, bulk_density_t_m3)
    return np.asarray(lack_mg_kg * mass_t_ha / KILOGRAMS_PER_TONNE)


def cation_balance_need(
    target: CationTarget, soil: CationSoil, *, sufficiency: RuleNeed | None = None
) -> RuleNeed:
    """What the method asks for at each place, with the note on its evidence.

    It lifts to the low end of the target, for no reason was found to give more.

    Parameters
    ----------
    target : CationTarget
        The share aimed at; none is the default.
    soil : CationSoil
        The cation and the exchange.
    sufficiency : RuleNeed or None
        The need of the same places by sufficiency, to show the difference.

    Returns
    -------
    RuleNeed
        The element. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the two needs are of different elements.

    References
    ----------
    .. [1] kopittke-menzies-2007. Soil Science Society of America Journal 71, 259-265.
    .. [2] mclean-1983. No favourable ratio evidently exists.

    Examples
    --------
    >>> soil = CationSoil([0.5], 10.0, "none", bulk_density_t_m3=1.3, depth_cm=15.0)
    >>> need = cation_balance_need(cation_target("bear", Cation.MAGNESIUM), soil)
    >>> need.amount.round(1), need.doubt[0].startswith("No yield benefit")
    (array([118.5]), True)
    """
    deficit = cation_deficit(
        target.cation,
        soil.present_cmol_kg,
        soil.cec_cmol_kg,
        target_percent=target.low_percent,
        depth_cm=soil.depth_cm,
        bulk_density_t_m3=soil.bulk_density_t_m3,
    )
    present = saturation_percent(soil.present_cmol_kg, soil.cec_cmol_kg)
    free_salt = np.asarray(soil.free_salt, dtype=str)
    deficit, present, free_salt = np.broadcast_arrays(deficit, present, free_salt)
    return settled_need(
        deficit,
        f"kg {target.cation}/ha",
        findings=Findings(
            none=(),
            untold=_untold(present, free_salt, soil),
            doubts=((np.ones(deficit.shape, dtype=bool), EVIDENCE_NOTE),),
        ),
        steps=(
            *_steps(present, target),
            *_difference(deficit, target, sufficiency=sufficiency),
        ),
        cautions=(
            EVIDENCE_NOTE,
            "Much potassium or magnesium can bring on shortage of the other. Lime raises the pH "
            "as well as calcium; gypsum does not.",
            "Labels, local codes and licensed advice come before this sheet.",
        ),
    )


def _untold(
    present: NDArray[np.float64], free_salt: NDArray[np.str_], soil: CationSoil
) -> tuple[Claim, ...]:
    """Where the exchange cannot be trusted."""
    if not np.all(np.isin(free_salt, tuple(FreeSalt))):
        raise SoilInputError(
            "a word on free lime, gypsum or salt is not known",
            column="free_salt",
            mend=f"Use one of: {', '.join(kind for kind in FreeSalt if kind)}, or leave it empty",
        )
    missing = np.isnan(np.asarray(soil.present_cmol_kg, dtype=float))
    return (
        (missing, "the exchangeable cation was not measured"),
        (np.isnan(np.asarray(soil.cec_cmol_kg, dtype=float)), "no exchange capacity"),
        (
            (free_salt == FreeSalt.PRESENT) | np.isnan(present),
            "free lime, gypsum or salt was counted as exchangeable: no share can be told",
        ),
        (
            free_salt == FreeSalt.NOT_TOLD,
            "it is not told whether the sample held free lime, gypsum or salt",
        ),
        (np.isnan(np.asarray(soil.bulk_density_t_m3, dtype=float)), "no bulk density"),
    )


def _steps(present: NDArray[np.float64], target: CationTarget) -> tuple[TrailStep, ...]:
    """The share that the cation holds and the one aimed at."""
    low, high = published_span_percent(target.cation)
    return (
        TrailStep("present", f"{target.cation}, share of the exchange", "%", present, ""),
        TrailStep(
            "target",
            "share aimed at",
            "%",
            np.array(target.low_percent),
            f"{target.cation} holds {{present}} % of the exchange; the method aims at {{target}} % "
            f"({target.name}: {target.where}). Published targets run from {low:g} to {high:g} %.",
            source=target.source,
            grade=target.grade,
        ),
        TrailStep(
            "evidence",
            "evidence",
            "",
            np.array("no yield benefit shown"),
            EVIDENCE_NOTE,
            source="kopittke-menzies-2007",
            grade=Grade.PUBLISHED,
        ),
    )


def _difference(
    deficit: NDArray[np.float64], target: CationTarget, *, sufficiency: RuleNeed | None
) -> tuple[TrailStep, ...]:
    """How much more the method asks for than sufficiency does."""
    if sufficiency is None:
        return ()
    unit = f"kg {target.cation}/ha"
    if sufficiency.unit != unit:
        raise SoilInputError(
            f"a need in {sufficiency.unit} does not compare with one in {unit}",
            mend="Give the need of the same element by sufficiency",
        )
    return (
        TrailStep("by_sufficiency", "need by sufficiency", unit, sufficiency.amount, ""),
        TrailStep(
            "extra",
            "beyond sufficiency",
            unit,
            deficit - sufficiency.amount,
            f"Sufficiency asks for {{by_sufficiency}} {unit}; this method for {{extra}} more.",
        ),
    )
