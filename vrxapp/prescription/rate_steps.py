"""From a need to the rate that the machine will meter, with the steps of the trail."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import TrailStep, filled
from vrxapp.inputs.humate_inclusion import starter_rate_at_cap
from vrxapp.prescription.supply import strength, supply_per_kg
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.season import HumateShare, Operation
from vrxapp.sources import Grade
from vrxapp.spreading.machine import metered_rate
from vrxapp.units import PERCENT


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MeteredRates:
    """What each zone gets, with its steps.

    Parameters
    ----------
    rates_kg_ha : ndarray of float
        Rate that the machine is set to: the product and what travels with it. [kg/ha]
    product_kg_ha, humate_kg_ha : ndarray of float
        Product and humate in that rate. [kg/ha]
    steps : tuple of TrailStep
        From need to rate.
    """

    rates_kg_ha: NDArray[np.float64]
    product_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    steps: tuple[TrailStep, ...]


def metered_rates(
    need: ZoneNeed,
    supplied: NDArray[np.float64],
    operation: Operation,
    *,
    suppliers: str = "Earlier operations",
) -> MeteredRates:
    """The rate of an operation's product that covers what is still needed.

    Parameters
    ----------
    need : ZoneNeed
        What is needed this season.
    supplied : ndarray of float
        What was spread before brings, counted once. [need.unit]
    operation : Operation
        Product, machine, cap, and the humate that travels with the product.
    suppliers : str
        What brings it, in words.
    """
    per_kg = supply_per_kg(operation.product, operation.purpose)
    open_need = np.maximum(need.amount - supplied, 0.0)
    wanted = open_need / per_kg
    share = 1.0 + (operation.humate.share_percent / PERCENT if operation.humate else 0.0)
    cap = _cap(operation, share)
    rates = metered_rate(wanted * share, operation.machine, cap_kg_ha=cap * share)
    rates.setflags(write=False)
    product = rates / share
    return MeteredRates(
        rates,
        product,
        rates - product,
        (
            *_need_steps(need, supplied, open_need, suppliers=suppliers),
            *_product_steps(operation, wanted, need.unit),
            *_mix_steps(operation, wanted * share),
            *_limit_steps(operation, wanted, cap=cap, share=share),
            *_rate_steps(operation, rates, product),
        ),
    )


def _cap(operation: Operation, share: float) -> float:
    """Most product that any place may get: by agronomist, machine and humate cap. [kg/ha]"""
    caps = [operation.rate_cap_kg_ha, operation.machine.highest_rate_kg_ha / share]
    if operation.humate is not None:
        caps.append(_starter_at_humate_cap(operation.humate))
    return min(caps)


def _starter_at_humate_cap(humate: HumateShare) -> float:
    """Rate of product at which its humate reaches the cap. [kg/ha]"""
    return starter_rate_at_cap(humate.cap_kg_ha, share_percent=humate.share_percent)


def _need_steps(
    need: ZoneNeed,
    supplied: NDArray[np.float64],
    open_need: NDArray[np.float64],
    *,
    suppliers: str,
) -> tuple[TrailStep, ...]:
    """What was brought before."""
    unit = need.unit
    return (
        TrailStep(
            "supplied",
            f"from {suppliers[0].lower()}{suppliers[1:]}",
            unit,
            supplied,
            f"{suppliers} bring {{supplied}} {unit} of it.",
            told=supplied > 0,
        ),
        TrailStep(
            "open_need",
            "still needed",
            unit,
            open_need,
            f"Still needed: {{need}} − {{supplied}} = {{open_need}} {unit}, never below zero.",
            told=supplied > 0,
        ),
    )


def _product_steps(
    operation: Operation, wanted: NDArray[np.float64], unit: str
) -> tuple[TrailStep, ...]:
    """How much product holds what is needed."""
    product = operation.product
    found = strength(product, operation.purpose)
    amount = "{open_need} t/ha × 1000" if unit.startswith("t ") else "{open_need}"
    return (
        TrailStep(
            "strength", f"strength towards {unit}", "%", filled(found.percent, len(wanted)), ""
        ),
        TrailStep(
            "wanted",
            "rate wanted",
            "kg/ha",
            wanted,
            f"{product.name} {found.words}: {amount} ÷ ({{strength}} ÷ 100) = {{wanted}} kg/ha.",
            source=product.source,
            grade=product.grade,
        ),
    )


def _mix_steps(operation: Operation, wanted: NDArray[np.float64]) -> tuple[TrailStep, ...]:
    """The rate of the mix that carries the wanted rate of product."""
    if operation.humate is None:
        return ()
    share_percent = operation.humate.share_percent
    return (
        TrailStep(
            "mix_wanted",
            "rate wanted of the mix",
            "kg/ha",
            wanted,
            f"With {share_percent:g} % of its mass in {operation.humate.product.name} on top, the "
            f"mix is {{wanted}} × (1 + {share_percent:g} ÷ 100) = {{mix_wanted}} kg/ha.",
        ),
    )


def _limit_steps(
    operation: Operation, wanted: NDArray[np.float64], *, cap: float, share: float
) -> tuple[TrailStep, ...]:
    """Where the rate was held back by a cap, or lifted to what the machine can meter."""
    machine = operation.machine
    capped = wanted > cap
    low = ~capped & (wanted > 0) & (wanted * share < machine.lowest_rate_kg_ha)
    return (
        TrailStep(
            "cap",
            "cap",
            "kg/ha",
            np.where(capped, cap, np.nan),
            f"Capped at {{cap}} kg/ha, {_whose(operation, cap)}: {{wanted}} kg/ha would be more, "
            "so the need is not met.",
            grade=Grade.YOURS,
            told=capped,
        ),
        TrailStep(
            "low",
            "below the lowest metered rate",
            "kg/ha",
            np.where(low, machine.lowest_rate_kg_ha, np.nan),
            "The machine meters no less than {low} kg/ha: from half of that upwards it gets "
            "the lowest rate, below half nothing.",
            source="program-choice",
            grade=Grade.COMMON_PRACTICE,
            told=low,
        ),
    )


def _whose(operation: Operation, cap: float) -> str:
    """Who holds the rate back."""
    if cap == operation.rate_cap_kg_ha:
        return "the agronomist's cap"
    humate = operation.humate
    if humate is not None and cap == _starter_at_humate_cap(humate):
        return f"where the humate reaches its cap of {humate.cap_kg_ha:g} kg/ha"
    return "the machine's limit"


def _rate_steps(
    operation: Operation, rates: NDArray[np.float64], product: NDArray[np.float64]
) -> tuple[TrailStep, ...]:
    """What the machine is set to, and what is in it."""
    machine, humate = operation.machine, operation.humate
    rate = TrailStep(
        "rate",
        "rate",
        "kg/ha",
        rates,
        f"{machine.name} meters in steps of {machine.rate_step_kg_ha:g} kg/ha: {{rate}} kg/ha.",
    )
    return (rate,) if humate is None else (rate, *_humate_steps(operation, humate, rates, product))


def _humate_steps(
    operation: Operation,
    humate: HumateShare,
    rates: NDArray[np.float64],
    product: NDArray[np.float64],
) -> tuple[TrailStep, ...]:
    """What a set rate of the mix holds."""
    return (
        TrailStep("in_product", f"{operation.product.name} in it", "kg/ha", product, ""),
        TrailStep(
            "in_humate",
            f"{humate.product.name} in it",
            "kg/ha",
            rates - product,
            f"That is the rate of the mix: {{in_product}} kg/ha of {operation.product.name} and "
            f"{humate.share_percent:g} % of that in {humate.product.name}, {{in_humate}} kg/ha. "
            "No nutrient and no yield is credited to the humate.",
            source=humate.product.source,
            grade=humate.product.grade,
        ),
    )
