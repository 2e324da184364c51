"""Lime: pure CaCO3 that each place needs, by the method that the agronomist chooses.

No method is the default. A pH in water never meets a calibration in calcium chloride:
the two are separate columns with separate targets.
"""

import math
from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.claims import Claim, any_of, first_claim
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.lime_buffering import (
    HIGHEST_ORGANIC_CARBON_PERCENT,
    BufferFunction,
    buffer_capacity,
    buffer_capacity_spread,
    buffer_estimate,
    lime_by_buffering,
)
from vrxapp.agronomy.lime_tables import lime_by_buffer_table, lime_by_ecec, lime_by_texture
from vrxapp.agronomy.lime_tests import (
    lime_by_aluminium,
    lime_by_mehlich_buffer,
    lime_by_tolerated_aluminium,
)
from vrxapp.agronomy.lime_values import (
    LimeChoices,
    LimeMethod,
    LimeMethodFacts,
    LimeNeed,
    LimeSoil,
    lime_method,
)
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.soil.estimates import require_measured
from vrxapp.units import KILOGRAMS_PER_TONNE

HIGHEST_TARGET_PH_CACL2 = 6.0
"""Over-liming starts trace-element shortages above it [program-choice]."""

ENOUGH_PH_CACL2 = 5.5
"""From here on there is no lime but maintenance; WA's target for 0-10 cm [dpird-lime-program]."""

_STRAIGHT_FROM_PH_CACL2 = 4.3
_HIGHEST_PH = 14.0
_TEN_CM, _TWENTY_CM = 10.0, 20.0  # layers that the sources print their amounts for
_MEHLICH_BELOW_PH_WATER = 6.5
_AVAILABLE_SHARE = 0.9  # inside 16B1 and 16C1, rayment-lyons-2011


_Columns = dict[str, NDArray[np.float64]]


def lime_need(method: LimeMethod, soil: LimeSoil, *, choices: LimeChoices) -> LimeNeed:
    """Pure lime that each place needs, by one method.

    Nothing is needed from pH(CaCl2) 5.5 on, where that was measured: only maintenance.

    Parameters
    ----------
    method : LimeMethod
        The method; there is no default.
    soil : LimeSoil
        Columns over places; `lime_method` says which of them the method reads.
    choices : LimeChoices
        Targets and what else the method asks the agronomist for.

    Returns
    -------
    LimeNeed
        One value for each place. [t/ha of pure CaCO3]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or a target above pH(CaCl2) 6.0.
    MissingInputError
        If a choice that the method asks for is missing.

    References
    ----------
    .. [1] rayment-lyons-2011. Methods 16A1, 16B1, 16C1.

    Examples
    --------
    >>> soil = LimeSoil(ph_cacl2=[4.8, 5.6], buffer_capacity_cmol_kg_ph=2.0, bulk_density_t_m3=1.3)
    >>> lime_need(LimeMethod.MEASURED_BUFFERING, soil,
    ...     choices=LimeChoices(target_ph_cacl2=5.5)).need_t_ha.round(2)
    array([0.91, 0.  ])
    """
    facts, (columns, texture) = lime_method(method), _columns(soil)
    target = _target(facts, choices)
    present = columns["ph_cacl2" if "ph_cacl2" in facts.needs else "ph_water"]
    capacity = _capacity(facts, columns, choices=choices)
    printed = _printed(facts, columns, texture=texture, choices=choices, capacity=capacity)
    enough = _enough(columns["ph_cacl2"], is_reached=(present >= target) | (printed == 0))
    lacks = _lacks(facts, columns, texture=texture, choices=choices)
    printed = np.where(any_of(lacks), np.nan, printed)
    printed = np.where(any_of(enough), 0.0, printed)
    outside = [(np.isnan(printed), _OUTSIDE.get(method, ""))]
    low, high = _spread(facts, columns, gap=target - present)
    chosen = choices.buffer_function
    origin = buffer_estimate(chosen) if _estimates(facts) and chosen else facts
    return LimeNeed(
        need_t_ha=printed * _pure_share(facts),
        reason=first_claim([*enough, *lacks, *outside]),
        doubt=first_claim(
            [((printed > 0) & is_so, text) for is_so, text in _doubts(facts, columns)]
        ),
        as_printed_t_ha=printed,
        pure_share=_pure_share(facts),
        ph_gap=target - present,
        buffer_capacity_cmol_kg_ph=capacity,
        low_t_ha=np.where(printed > 0, low, low * printed),
        high_t_ha=np.where(printed > 0, high, high * printed),
        source=origin.source,
        where=origin.where,
        grade=origin.grade,
    )


_OUTSIDE = {
    LimeMethod.ESTIMATED_BUFFERING: "organic carbon is above "
    f"{HIGHEST_ORGANIC_CARBON_PERCENT:g} %, where the estimates do not hold",
    LimeMethod.TEXTURE: "the texture rule knows sand, sandy loam, clay loam and clay alone",
    LimeMethod.MEHLICH_BUFFER: "the method is made for soils under pH 6.5 in water",
    LimeMethod.QUEENSLAND_BUFFER: "the buffer pH lies outside the table, 4.5 to 6.5",
    LimeMethod.ECEC_TABLE: "outside the table: effective CEC 1 to 15, pH(CaCl2) from 4.0",
}

_NAMES = {
    "ph_cacl2": "pH in calcium chloride (pH in water does not stand in for it)",
    "ph_water": "pH in water (pH in calcium chloride does not stand in for it)",
    "buffer_ph": "buffer pH by the method's own buffer (another buffer does not stand in for it)",
    "organic_carbon_percent": "organic carbon",
    "clay_percent": "clay",
    "texture": "texture",
    "aluminium_cmol_kg": "exchangeable aluminium",
    "ecec_cmol_kg": "effective CEC",
    "buffer_capacity_cmol_kg_ph": "pH buffer capacity",
    "bulk_density_t_m3": "bulk density",
}


def _columns(soil: LimeSoil) -> tuple[_Columns, NDArray[np.str_]]:
    """The soil's columns as numbers of one shape, and its texture."""
    require_above_zero(depth_cm=soil.depth_cm)
    names = [field.name for field in fields(soil) if field.name != "texture"]
    # a pH worked out from the other pH test is for the eye alone
    require_measured(**{name: getattr(soil, name) for name in names})
    numbers = [np.asarray(getattr(soil, name), dtype=float) for name in names]
    for name, column in zip(names, numbers, strict=True):
        require_at_least_zero(**{name: column})
        if name in ("ph_cacl2", "ph_water", "buffer_ph") and np.any(column > _HIGHEST_PH):
            raise SoilInputError(
                f"{name} must not be above {_HIGHEST_PH:g}", mend="Check the value; was it 6.5?"
            )
    *same, texture = np.broadcast_arrays(*numbers, np.asarray(soil.texture, dtype=str))
    return dict(zip(names, same, strict=True)), texture


def _estimates(facts: LimeMethodFacts) -> bool:
    """Whether the buffer capacity is estimated."""
    return facts.key is LimeMethod.ESTIMATED_BUFFERING


def _target(facts: LimeMethodFacts, choices: LimeChoices) -> float:
    """The target on the method's own scale; NaN where it reads none."""
    if facts.key is LimeMethod.QUEENSLAND_BUFFER:
        return _told(choices.target_ph_water, facts, what="a target pH in water")
    if "ph_cacl2" not in facts.needs:
        return math.nan
    target = _told(choices.target_ph_cacl2, facts, what="a target pH in calcium chloride")
    if target > HIGHEST_TARGET_PH_CACL2:
        raise SoilInputError(
            f"a target above pH {HIGHEST_TARGET_PH_CACL2:g} in calcium chloride is not limed for",
            value=f"{target:g}",
            mend="Aim lower: over-liming starts shortages of manganese, zinc and boron",
        )
    return target


def _told(value: float, facts: LimeMethodFacts, *, what: str) -> float:
    """A choice that the method asks for."""
    if math.isnan(value):
        raise MissingInputError(
            f"the method {facts.name!r} asks for {what}",
            mend="Set it; a pH on the other scale does not stand in for it",
        )
    return value


def _capacity(
    facts: LimeMethodFacts, columns: _Columns, *, choices: LimeChoices
) -> NDArray[np.float64]:
    """The buffer capacity that the method goes by; NaN where it reads none."""
    if facts.key is LimeMethod.MEASURED_BUFFERING:
        return columns["buffer_capacity_cmol_kg_ph"]
    if not _estimates(facts):
        return np.full_like(columns["ph_cacl2"], np.nan)
    if choices.buffer_function is None:
        raise MissingInputError(
            "the buffer capacity can be estimated in several ways, and none is the default",
            mend=f"Choose one of: {', '.join(BufferFunction)}",
        )
    return buffer_capacity(
        choices.buffer_function,
        organic_carbon_percent=columns["organic_carbon_percent"],
        clay_percent=columns["clay_percent"],
    )


def _printed(
    facts: LimeMethodFacts,
    columns: _Columns,
    *,
    texture: NDArray[np.str_],
    choices: LimeChoices,
    capacity: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The amount for the layer in the form of the method's source. [t/ha]"""
    gap = choices.target_ph_cacl2 - columns["ph_cacl2"]
    carbon, layers = columns["organic_carbon_percent"], columns["depth_cm"] / _TEN_CM
    match facts.key:
        case LimeMethod.MEASURED_BUFFERING | LimeMethod.ESTIMATED_BUFFERING:
            return _by_buffering(columns, gap=gap, capacity=capacity)
        case LimeMethod.TEXTURE:
            return lime_by_texture(gap, texture, organic_carbon_percent=carbon) * layers
        case LimeMethod.ECEC_TABLE:
            target = choices.target_ph_cacl2
            found = lime_by_ecec(
                columns["ecec_cmol_kg"], columns["ph_cacl2"], target_ph_cacl2=target
            )
            return found * layers
        case LimeMethod.MEHLICH_BUFFER:
            sensitive = choices.is_sensitive_crop
            found = lime_by_mehlich_buffer(columns["buffer_ph"], is_sensitive_crop=sensitive)
            is_in = columns["ph_water"] < _MEHLICH_BELOW_PH_WATER
            return np.where(is_in, found * columns["depth_cm"] / _TWENTY_CM, np.nan)
        case LimeMethod.QUEENSLAND_BUFFER:
            target = choices.target_ph_water
            return lime_by_buffer_table(columns["buffer_ph"], target_ph_water=target) * layers
        case _:
            return _by_aluminium(facts, columns, choices=choices) / KILOGRAMS_PER_TONNE


def _by_buffering(
    columns: _Columns, *, gap: NDArray[np.float64], capacity: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Pure lime from a buffer capacity, for the layer. [t/ha]"""
    return lime_by_buffering(
        gap,
        capacity,
        depth_cm=columns["depth_cm"],
        bulk_density_t_m3=columns["bulk_density_t_m3"],
    )


def _by_aluminium(
    facts: LimeMethodFacts, columns: _Columns, *, choices: LimeChoices
) -> NDArray[np.float64]:
    """Lime from exchangeable aluminium, in the form of the method's source. [kg/ha]"""
    aluminium, depth_cm = columns["aluminium_cmol_kg"], columns["depth_cm"]
    if facts.key is LimeMethod.ALUMINIUM:
        return lime_by_aluminium(aluminium, columns["bulk_density_t_m3"], depth_cm=depth_cm)
    if math.isnan(choices.tolerated_aluminium_percent):
        raise MissingInputError(
            f"the method {facts.name!r} asks for the aluminium that the crop bears",
            mend="Set it as a share of the effective CEC; none is the default",
        )
    return lime_by_tolerated_aluminium(
        aluminium,
        columns["ecec_cmol_kg"],
        tolerated_percent=choices.tolerated_aluminium_percent,
        depth_cm=depth_cm,
    )


def _pure_share(facts: LimeMethodFacts) -> float:
    """Pure lime in one part of the form that the source prints."""
    is_ninety = facts.key in (LimeMethod.TOLERATED_ALUMINIUM, LimeMethod.MEHLICH_BUFFER)
    return _AVAILABLE_SHARE if is_ninety else 1.0


def _lacks(
    facts: LimeMethodFacts,
    columns: _Columns,
    *,
    texture: NDArray[np.str_],
    choices: LimeChoices,
) -> list[Claim]:
    """Where each of the method's columns is missing."""
    needs, chosen = facts.needs, choices.buffer_function
    if _estimates(facts) and chosen and buffer_estimate(chosen).per_clay_percent:
        needs = (*needs, "clay_percent")
    return [
        (texture == "" if name == "texture" else np.isnan(columns[name]), f"no {_NAMES[name]}")
        for name in needs
    ]


def _enough(ph_cacl2: NDArray[np.float64], *, is_reached: NDArray[np.bool_]) -> list[Claim]:
    """Where a place needs no lime, and why."""
    return [
        (
            ph_cacl2 >= ENOUGH_PH_CACL2,
            f"pH(CaCl2) is {ENOUGH_PH_CACL2:g} or above: no lime but maintenance",
        ),
        (is_reached, "the target is reached: no lime needed"),
    ]


def _spread(
    facts: LimeMethodFacts, columns: _Columns, *, gap: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Least and most lime by all estimates of the buffer capacity; NaN for other methods. [t/ha]"""
    if not _estimates(facts):
        unknown = np.full_like(gap, np.nan)
        return unknown, unknown
    low, high = buffer_capacity_spread(
        organic_carbon_percent=columns["organic_carbon_percent"],
        clay_percent=columns["clay_percent"],
    )
    return (
        _by_buffering(columns, gap=gap, capacity=low),
        _by_buffering(columns, gap=gap, capacity=high),
    )


def _doubts(facts: LimeMethodFacts, columns: _Columns) -> list[Claim]:
    """Where a need is less sure than the method promises, and why."""
    ph, carbon = columns["ph_cacl2"], columns["organic_carbon_percent"]
    is_bent = (ph < _STRAIGHT_FROM_PH_CACL2) & np.array(
        _estimates(facts) or facts.key is LimeMethod.MEASURED_BUFFERING
    )
    is_short = np.isnan(carbon) & np.array(facts.key is LimeMethod.TEXTURE)
    return [
        (
            is_bent,
            f"below pH(CaCl2) {_STRAIGHT_FROM_PH_CACL2:g} the soil's buffering bends: less sure",
        ),
        (is_short, "organic carbon is not known: the addition for it was left out"),
    ]
