"""From a need to the rate that the machine will meter, with the steps of the trail."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import TrailStep, filled
from vrxapp.season import Operation
from vrxapp.sources import Grade
from vrxapp.spreading.machine import metered_rate
from vrxapp.units import PERCENT


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MeteredRates:
    """Rate of product for each zone, with its steps. [kg/ha]"""

    rates_kg_ha: NDArray[np.float64]
    steps: tuple[TrailStep, ...]


def metered_rates(
    need_kg_ha: NDArray[np.float64], supplied_kg_ha: NDArray[np.float64], operation: Operation
) -> MeteredRates:
    """The rate of an operation's product that covers what is still needed.

    Parameters
    ----------
    need_kg_ha : ndarray of float
        Phosphorus needed this season. [kg P/ha]
    supplied_kg_ha : ndarray of float
        Phosphorus from earlier operations, counted once. [kg P/ha]
    operation : Operation
        Product, machine and cap.
    """
    product, machine = operation.product, operation.machine
    open_need = np.maximum(need_kg_ha - supplied_kg_ha, 0.0)
    wanted = open_need / (product.p_percent / PERCENT)
    cap = min(operation.rate_cap_kg_ha, machine.highest_rate_kg_ha)
    rates = metered_rate(wanted, machine, cap_kg_ha=operation.rate_cap_kg_ha)
    rates.setflags(write=False)
    capped = wanted > cap
    low = ~capped & (wanted > 0) & (wanted < machine.lowest_rate_kg_ha)
    whose = "the agronomist's cap" if cap == operation.rate_cap_kg_ha else "the machine's limit"
    steps = (
        TrailStep(
            "supplied",
            "phosphorus from earlier operations",
            "kg P/ha",
            supplied_kg_ha,
            "Earlier operations bring {supplied} kg P/ha of it.",
            told=supplied_kg_ha > 0,
        ),
        TrailStep(
            "open_need",
            "phosphorus still needed",
            "kg P/ha",
            open_need,
            "Still needed: {need} − {supplied} = {open_need} kg P/ha, never below zero.",
            told=supplied_kg_ha > 0,
        ),
        TrailStep(
            "strength", "phosphorus in the product", "%", filled(product.p_percent, len(wanted)), ""
        ),
        TrailStep(
            "wanted",
            "rate wanted",
            "kg/ha",
            wanted,
            f"{product.name} holds {{strength}} % phosphorus: {{open_need}} ÷ "
            f"({{strength}} ÷ 100) = {{wanted}} kg/ha.",
            source=product.source,
            grade=product.grade,
        ),
        TrailStep(
            "cap",
            "cap",
            "kg/ha",
            np.where(capped, cap, np.nan),
            f"Capped at {{cap}} kg/ha, {whose}: {{wanted}} kg/ha would be more, so the need is "
            "not met.",
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
        TrailStep(
            "rate",
            "rate",
            "kg/ha",
            rates,
            f"{machine.name} meters in steps of {machine.rate_step_kg_ha:g} kg/ha: {{rate}} kg/ha.",
        ),
    )
    return MeteredRates(rates, steps)
