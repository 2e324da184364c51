"""From a need to the rate that the machine will meter, with the steps of the trail."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.agronomy.trail import TrailStep, filled
from vrxapp.inputs.humate_inclusion import starter_rate_at_cap
from vrxapp.prescription.budget_steps import BudgetReach, budget_steps, cut_rates
from vrxapp.prescription.supply import strength, supply_per_kg
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.season import HumateShare, Operation
from vrxapp.sources import Grade
from vrxapp.spreading.machine import metered_rate
from vrxapp.units import PERCENT

if TYPE_CHECKING:
    from vrxapp.prescription.season_humate import HumateLoad

_SLACK = 1e-9


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Supplied:
    """What earlier operations did towards a need. [unit of the need]

    Parameters
    ----------
    brought : ndarray of float
        What they bring, counted once.
    forgone : ndarray of float
        What was cut off them beside a humate: no later pass makes it up, and nothing
        replaces it.
    """

    brought: NDArray[np.float64]
    forgone: NDArray[np.float64]

    @property
    def settled(self) -> NDArray[np.float64]:
        """What this pass need not bring."""
        return self.brought + self.forgone


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MeteredRates:
    """What each zone gets, with its steps.

    Parameters
    ----------
    rates_kg_ha : ndarray of float
        Rate that the machine is set to: the product and what travels with it. [kg/ha]
    product_kg_ha, humate_kg_ha : ndarray of float
        Product and humate in that rate. [kg/ha]
    product_steps, machine_steps : tuple of TrailStep
        From the need to the product, and to what the machine meters; a mix comes between.
    """

    rates_kg_ha: NDArray[np.float64]
    product_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    product_steps: tuple[TrailStep, ...]
    machine_steps: tuple[TrailStep, ...]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class _Mix:
    """Product aimed at, the mix that a kilogram of it makes, and the humate there may be."""

    product: NDArray[np.float64]
    per_product: NDArray[np.float64]
    most_humate: NDArray[np.float64]


def uncut_rate(
    need: ZoneNeed, settled: NDArray[np.float64], operation: Operation
) -> NDArray[np.float64]:
    """Rate of product that covers what is still needed, within the caps, before any cut. [kg/ha]

    Raises
    ------
    MissingInputError
        If the product brings nothing towards the need.
    """
    return np.asarray(np.minimum(_wanted(need, settled, operation), product_cap(operation)))


def metered_rates(
    need: ZoneNeed,
    supplied: Supplied,
    operation: Operation,
    *,
    load: "HumateLoad | None" = None,
    reach: BudgetReach | None = None,
    suppliers: str = "Earlier operations",
) -> MeteredRates:
    """The rate of an operation's product that covers what is still needed.

    Parameters
    ----------
    need : ZoneNeed
        What is needed this season.
    supplied : Supplied
        What was spread before brings, counted once. [need.unit]
    operation : Operation
        Product, machine and cap.
    load : HumateLoad or None, optional
        The humate that travels with the product, and what its policy leaves of the product.
    reach : BudgetReach or None, optional
        How far the season's budget reaches for this operation; None where none is kept to.
    suppliers : str, optional
        What brings it, in words.
    """
    open_need = np.maximum(need.amount - supplied.settled, 0.0)
    wanted = _wanted(need, supplied.settled, operation)
    mix = _mix(wanted, operation, load)
    full = metered_rate(
        mix.product * mix.per_product,
        operation.machine,
        cap_kg_ha=product_cap(operation) * mix.per_product,
    )
    rates = cut_rates(full, operation.machine, share=1.0 if reach is None else reach.share)
    rates.setflags(write=False)
    # the machine's steps lift no humate over what the cap leaves
    humate = np.minimum(rates - rates / mix.per_product, mix.most_humate)
    return MeteredRates(
        rates,
        rates - humate,
        humate,
        (
            *_need_steps(need, supplied, open_need, suppliers=suppliers),
            *_product_steps(operation, wanted, need.unit),
            _cap_step(operation, wanted),
        ),
        (
            *_machine_steps(operation, wanted, mix),
            *budget_steps(full, rates, operation.machine, reach=reach),
            _rate_step(operation, rates),
        ),
    )


def highest_rate_kg_ha(operation: Operation) -> float:
    """Highest rate that any place may get of the product and what travels with it. [kg/ha]"""
    return product_cap(operation) * _mix_share(operation)


def product_per_spread_kg(operation: Operation) -> float:
    """Product in each kilogram that is spread where nothing is cut; the rest is humate. [-]"""
    return 1.0 / _mix_share(operation)


def _mix_share(operation: Operation) -> float:
    """Mass that is spread for each kilogram of product where nothing is cut. [-]"""
    return 1.0 + (operation.humate.share_percent / PERCENT if operation.humate else 0.0)


def product_cap(operation: Operation) -> float:
    """Most product that any place may get before a cut. [kg/ha]

    By agronomist and, where nothing is cut, by the machine and the cap of the humate: one
    mix holds one share.
    """
    humate = operation.humate
    if humate is not None and humate.policy is not FertiliserPolicy.KEEP:
        return operation.rate_cap_kg_ha
    share = _mix_share(operation)
    caps = [operation.rate_cap_kg_ha, operation.machine.highest_rate_kg_ha / share]
    if humate is not None:
        caps.append(_starter_at_humate_cap(humate))
    return min(caps)


def _wanted(
    need: ZoneNeed, settled: NDArray[np.float64], operation: Operation
) -> NDArray[np.float64]:
    """Rate of product that holds what is still needed. [kg/ha]"""
    per_kg = supply_per_kg(operation.product, operation.purpose)
    return np.asarray(np.maximum(need.amount - settled, 0.0) / per_kg)


def _mix(wanted: NDArray[np.float64], operation: Operation, load: "HumateLoad | None") -> _Mix:
    """What is aimed at, with the humate that travels along."""
    if load is None:
        aimed = np.minimum(wanted, product_cap(operation))
        return _Mix(aimed, np.ones_like(wanted), np.zeros_like(wanted))
    kept = np.where(np.isnan(wanted), np.nan, load.product_kg_ha)
    has_product = np.where(load.product_kg_ha > 0, load.product_kg_ha, np.nan)
    per_product = 1.0 + np.nan_to_num(load.humate_kg_ha / has_product)
    return _Mix(kept, per_product, load.left_kg_ha)


def _starter_at_humate_cap(humate: HumateShare) -> float:
    """Rate of product at which its humate reaches the cap. [kg/ha]"""
    return starter_rate_at_cap(humate.cap_kg_ha, share_percent=humate.share_percent)


def _need_steps(
    need: ZoneNeed, supplied: Supplied, open_need: NDArray[np.float64], *, suppliers: str
) -> tuple[TrailStep, ...]:
    """What was brought before, and what came off earlier operations."""
    unit = need.unit
    brought, is_cut = supplied.brought, supplied.forgone > 0
    return (
        TrailStep(
            "supplied",
            f"from {suppliers[0].lower()}{suppliers[1:]}",
            unit,
            brought,
            f"{suppliers} bring {{supplied}} {unit} of it.",
            told=(brought > 0) | is_cut,
        ),
        TrailStep(
            "forgone",
            "cut off earlier operations",
            unit,
            supplied.forgone,
            f"{{forgone}} {unit} came off an earlier operation with its humate; this one does "
            "not make it up, and nothing replaces it.",
            grade=Grade.YOURS,
            told=is_cut,
        ),
        TrailStep(
            "open_need",
            "still needed",
            unit,
            open_need,
            f"Still needed: {{need}} − {{supplied}} = {{open_need}} {unit}, never below zero.",
            told=(brought > 0) & ~is_cut,
        ),
        TrailStep(
            "open_beside_cut",
            "still needed beside the cut",
            unit,
            open_need,
            f"Still needed: {{need}} − {{supplied}} − {{forgone}} = {{open_need}} {unit}, never "
            "below zero.",
            told=is_cut,
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


def _cap_step(operation: Operation, wanted: NDArray[np.float64]) -> TrailStep:
    """Where the product was held back by a cap."""
    cap = product_cap(operation)
    return TrailStep(
        "cap",
        "cap",
        "kg/ha",
        np.where(wanted > cap, cap, np.nan),
        f"Capped at {{cap}} kg/ha, {_whose(operation, cap)}: {{wanted}} kg/ha would be more, "
        "so the need is not met.",
        grade=Grade.YOURS,
        told=wanted > cap,
    )


def _machine_steps(
    operation: Operation, wanted: NDArray[np.float64], mix: _Mix
) -> tuple[TrailStep, ...]:
    """Where the rate was held to what the machine can meter."""
    machine = operation.machine
    aimed = mix.product * mix.per_product
    too_high = aimed > machine.highest_rate_kg_ha * (1 + _SLACK)
    is_capped = wanted > product_cap(operation)
    low = ~is_capped & (wanted > 0) & (aimed < machine.lowest_rate_kg_ha)
    return (
        TrailStep(
            "too_high",
            "above the highest metered rate",
            "kg/ha",
            np.where(too_high, machine.highest_rate_kg_ha, np.nan),
            "The machine meters no more than {too_high} kg/ha of the mix.",
            grade=Grade.YOURS,
            told=too_high,
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


def _rate_step(operation: Operation, rates: NDArray[np.float64]) -> TrailStep:
    """What the machine is set to."""
    machine = operation.machine
    return TrailStep(
        "rate",
        "rate",
        "kg/ha",
        rates,
        f"{machine.name} meters in steps of {machine.rate_step_kg_ha:g} kg/ha: {{rate}} kg/ha.",
    )
