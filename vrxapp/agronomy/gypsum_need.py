"""Gypsum that each place needs: only where soil is sodic and was seen to disperse."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.claims import Claim, any_of
from vrxapp.agronomy.gypsum import (
    gypsum_by_handbook,
    gypsum_by_oster,
    gypsum_for_sodium,
    sodium_to_replace,
)
from vrxapp.agronomy.gypsum_quality import calcium_in_gypsum, sulfur_in_gypsum
from vrxapp.agronomy.gypsum_values import (
    Dispersion,
    GypsumChoices,
    GypsumMethod,
    GypsumMethodFacts,
    GypsumSoil,
    gypsum_method,
)
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.rule_need import Findings, RuleNeed, settled_need
from vrxapp.agronomy.sodicity import (
    SODIC_FROM_PERCENT,
    STRONGLY_SODIC_ABOVE_PERCENT,
    exchangeable_sodium_percent,
    sodicity_class,
)
from vrxapp.agronomy.trail import TrailStep
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.sources import Grade

NEED_UNIT = "t gypsum/ha"

MUCH_FOR_ONE_PASS_T_HA = 10.0
"""Above it a pass is warned of [program-choice]."""

SALINE_ABOVE_ECE_DS_M = 4.0
"""Salt may hold sodic clay together above it [richards-1954]."""

ESP_NEEDS_CEC_CMOL_KG = 3.0
"""Below it no ESP is told; a guard, from no publication that was read [program-choice]."""

_SANDS = ("sand", "loamy sand", "clayey sand")
_CAUTIONS = (
    "Gypsum dust: wear a mask and eye protection when loading, and spread in light wind.",
    "Gypsum does not raise the pH. The sodium it frees must be able to leave with drainage; "
    "keep that water and any run-off from waterways.",
    "Leave a strip without gypsum: it tells whether the soil answered.",
    "Labels, local codes and licensed advice come before this sheet.",
)
_USUAL = (
    "Usual one-off rates in the Mallee are 2 to 5 t/ha (gypsum-mallee); on dispersive Grey "
    "Vertosols 2.5 t/ha paid and 12.5 t/ha lasted five seasons (grdc-2022-sodicity)."
)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class _Columns:
    """The soil over all places, with its ESP."""

    sodium: NDArray[np.float64]
    cec: NDArray[np.float64]
    density: NDArray[np.float64]
    ece: NDArray[np.float64]
    dispersion: NDArray[np.str_]
    texture: NDArray[np.str_]
    esp: NDArray[np.float64]


def gypsum_need(method: GypsumMethod, soil: GypsumSoil, *, choices: GypsumChoices) -> RuleNeed:
    """Pure gypsum that each place needs this year, by one method.

    Nothing is advised below ESP 6, where the soil is stable in rainwater, or on sands:
    there gypsum only supplies calcium and sulfur. Without a dispersion test nothing
    can be told.

    Parameters
    ----------
    method : GypsumMethod
        The method; there is no default.
    soil : GypsumSoil
        Columns over places.
    choices : GypsumChoices
        Target and years.

    Returns
    -------
    RuleNeed
        Pure gypsum, this year's share. [t gypsum/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.
    MissingInputError
        If a choice that the method asks for is missing.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15N1, sodic from ESP 6.
    .. [2] grdc-dispersion. Gypsum mends dispersive soil alone.
    .. [3] grdc-2022-sodicity. What 2.5 and 12.5 t/ha did.
    .. [4] gypsum-mallee. Usual rates.

    Examples
    --------
    >>> soil = GypsumSoil(sodium_cmol_kg=[3.0, 0.8, 3.0], cec_cmol_kg=20.0,
    ...     dispersion=["disperses", "disperses", "stable"], bulk_density_t_m3=1.3, depth_cm=15.0)
    >>> need = gypsum_need(GypsumMethod.EXCHANGE, soil, choices=GypsumChoices(5.0))
    >>> need.amount.round(2)
    array([3.36, 0.  , 0.  ])
    """
    facts, columns = gypsum_method(method), _columns(soil)
    _check(choices, method)
    sodium = sodium_to_replace(
        columns.cec, columns.esp, target_esp_percent=choices.target_esp_percent
    )
    total = _total(method, sodium, columns, depth_cm=soil.depth_cm, choices=choices)
    none = _no_need(columns)
    untold = _untold(columns, needs_density=method is not GypsumMethod.HANDBOOK)
    total = np.where(any_of(none), 0.0, np.where(any_of(untold), np.nan, total))
    year = total / choices.years
    return settled_need(
        year,
        NEED_UNIT,
        findings=Findings(none, untold, _doubts(year, columns, facts=facts)),
        steps=_steps(sodium, total, columns, facts=facts, choices=choices),
        cautions=_CAUTIONS,
    )


def _columns(soil: GypsumSoil) -> _Columns:
    """The soil's columns, checked and of one shape."""
    numbers = {
        "sodium_cmol_kg": soil.sodium_cmol_kg,
        "bulk_density_t_m3": soil.bulk_density_t_m3,
        "ece_ds_m": soil.ece_ds_m,
    }
    require_at_least_zero(**numbers)
    require_above_zero(cec_cmol_kg=soil.cec_cmol_kg, depth_cm=soil.depth_cm)
    seen = np.asarray(soil.dispersion, dtype=str)
    if not np.all(np.isin(seen, tuple(Dispersion))):
        raise SoilInputError(
            "a result of the dispersion test is not known",
            column="dispersion",
            mend=f"Use one of: {', '.join(kind for kind in Dispersion if kind)}, or leave it empty",
        )
    sodium, cec, density, ece = (
        np.asarray(column, dtype=float)
        for column in (
            soil.sodium_cmol_kg,
            soil.cec_cmol_kg,
            soil.bulk_density_t_m3,
            soil.ece_ds_m,
        )
    )
    esp = np.where(cec < ESP_NEEDS_CEC_CMOL_KG, np.nan, exchangeable_sodium_percent(sodium, cec))
    named = np.char.lower(np.asarray(soil.texture, dtype=str))
    return _Columns(*np.broadcast_arrays(sodium, cec, density, ece, seen, named, esp))


def _check(choices: GypsumChoices, method: GypsumMethod) -> None:
    """Refuse choices that are missing or out of range."""
    require_above_zero(years=choices.years)
    if math.isnan(choices.target_esp_percent):
        raise MissingInputError(
            "the ESP to be reached is not set, and there is no default",
            mend="Set it; 3 to 6 is usual",
        )
    if not 0 < choices.target_esp_percent <= SODIC_FROM_PERCENT:
        raise SoilInputError(
            f"target_esp_percent must lie above 0 and up to {SODIC_FROM_PERCENT:g}",
            value=f"{choices.target_esp_percent:g}",
            mend="Above 6 the soil stays sodic",
        )
    if method is GypsumMethod.OSTER and math.isnan(choices.exchange_factor):
        raise MissingInputError(
            "this method asks for an exchange factor",
            mend="Set 1.1 to 1.3; the lower the target, the larger",
        )


def _total(
    method: GypsumMethod,
    sodium: NDArray[np.float64],
    columns: _Columns,
    *,
    depth_cm: float,
    choices: GypsumChoices,
) -> NDArray[np.float64]:
    """Pure gypsum for the whole step from the present ESP to the target. [t/ha]"""
    match method:
        case GypsumMethod.EXCHANGE:
            return gypsum_for_sodium(sodium, depth_cm=depth_cm, bulk_density_t_m3=columns.density)
        case GypsumMethod.OSTER:
            return gypsum_by_oster(
                sodium,
                depth_cm=depth_cm,
                bulk_density_t_m3=columns.density,
                exchange_factor=choices.exchange_factor,
            )
        case GypsumMethod.HANDBOOK:
            return gypsum_by_handbook(sodium, depth_cm=depth_cm, field_factor=choices.field_factor)


def _no_need(columns: _Columns) -> tuple[Claim, ...]:
    """Where gypsum would not mend the soil."""
    only = "gypsum would only supply calcium and sulfur"
    return (
        (columns.esp < SODIC_FROM_PERCENT, f"ESP is below {SODIC_FROM_PERCENT:g}: not sodic"),
        (columns.dispersion == Dispersion.NO, f"the soil does not disperse: {only}"),
        (np.isin(columns.texture, _SANDS), f"sand has no structure to mend: {only}"),
    )


def _untold(columns: _Columns, *, needs_density: bool) -> tuple[Claim, ...]:
    """Where no need can be told."""
    return (
        (np.isnan(columns.sodium), "no exchangeable sodium"),
        (np.isnan(columns.cec), "no exchange capacity"),
        (
            columns.cec < ESP_NEEDS_CEC_CMOL_KG,
            f"CEC is below {ESP_NEEDS_CEC_CMOL_KG:g} cmol(+)/kg, where an ESP means little",
        ),
        (
            np.isnan(columns.esp),
            "sodium is more than the exchange capacity: free salt was counted with it",
        ),
        (
            columns.dispersion == Dispersion.NOT_TESTED,
            "no dispersion test: put air-dry crumbs into rainwater and look for a milky cloud "
            "after 2 and 20 hours",
        ),
        (np.isnan(columns.density) & np.array(needs_density), "no bulk density"),
    )


def _doubts(
    year_t_ha: NDArray[np.float64], columns: _Columns, *, facts: GypsumMethodFacts
) -> tuple[Claim, ...]:
    """What makes a need less sure, or asks for more than spreading."""
    acts = year_t_ha > 0
    is_least = np.array(facts.key is GypsumMethod.EXCHANGE)
    return (
        (
            acts & (columns.esp > STRONGLY_SODIC_ABOVE_PERCENT),
            "ESP is above 15: stage it over years, and see that water can carry the sodium away",
        ),
        (
            acts & (year_t_ha > MUCH_FOR_ONE_PASS_T_HA),
            f"over {MUCH_FOR_ONE_PASS_T_HA:g} t/ha in one year: stage it and test again between",
        ),
        (
            acts & (columns.ece > SALINE_ABOVE_ECE_DS_M),
            "saline: salt may hold the clay together although it is sodic, and counts as sodium",
        ),
        (acts & is_least, "the least that exchange can take; not all gypsum exchanges"),
    )


def _steps(
    sodium: NDArray[np.float64],
    total: NDArray[np.float64],
    columns: _Columns,
    *,
    facts: GypsumMethodFacts,
    choices: GypsumChoices,
) -> tuple[TrailStep, ...]:
    """From the soil test to the whole amount, and what it brings beside."""
    acts = total > 0
    return (
        TrailStep("sodium", "exchangeable sodium", "cmol(+)/kg", columns.sodium, ""),
        TrailStep("cec", "exchange capacity", "cmol(+)/kg", columns.cec, ""),
        TrailStep("esp", "exchangeable sodium percentage", "%", columns.esp, ""),
        TrailStep(
            "class",
            "sodicity",
            "",
            sodicity_class(columns.esp),
            "ESP: {sodium} / {cec} = {esp} %, {class}.",
            source="rayment-lyons-2011",
            grade=Grade.PUBLISHED,
            told=np.isfinite(columns.esp),
        ),
        TrailStep("replaced", "sodium to be replaced", "cmol(+)/kg", sodium, ""),
        TrailStep(
            "total",
            "pure gypsum to the target",
            NEED_UNIT,
            total,
            f"To ESP {choices.target_esp_percent:g} it replaces {{replaced}} cmol(+)/kg of sodium "
            f"with {{total}} t/ha of pure gypsum ({facts.name}: {facts.where}); 1 part in "
            f"{choices.years:g} this year.",
            source=facts.source,
            grade=facts.grade,
            told=acts,
        ),
        TrailStep("sulfur", "sulfur in it", "kg S/ha", sulfur_in_gypsum(total, 100.0), ""),
        TrailStep("calcium", "calcium in it", "kg Ca/ha", calcium_in_gypsum(total, 100.0), ""),
        TrailStep(
            "usual",
            "usual rates",
            "",
            np.array("told"),
            "It brings {sulfur} kg S and {calcium} kg Ca/ha. " + _USUAL,
            source="gypsum-mallee",
            grade=Grade.PUBLISHED,
            told=acts,
        ),
    )
