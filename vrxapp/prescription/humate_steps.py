"""The humate's part of a trail: what it carries, and what comes off for it."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.agronomy.trail import Trail, TrailStep, filled, prefixed
from vrxapp.inputs.humate_acceptance import humic_acid_dose
from vrxapp.prescription.rate_steps import MeteredRates
from vrxapp.prescription.season_humate import HumateLoad
from vrxapp.season import HumateShare, Operation
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

LOAD_PREFIX = "load_"

_SAME = 1e-9


def load_steps(
    load: HumateLoad, operation: Operation, humate: HumateShare
) -> tuple[TrailStep, ...]:
    """From the uncut product to the mix that is aimed at."""
    return (
        *_season_steps(load, humate),
        *prefixed(Trail(_own_steps(load, operation, humate)), "own_"),
        *prefixed(Trail(_mix_steps(load, operation, humate)), "mix_"),
    )


def in_mix_steps(
    rates: MeteredRates, operation: Operation, humate: HumateShare
) -> tuple[TrailStep, ...]:
    """What a set rate of the mix holds."""
    product, dose = rates.product_kg_ha, rates.humate_kg_ha
    per_tonne = KILOGRAMS_PER_TONNE * dose / np.where(product > 0, product, np.nan)
    usual = _is_usual(dose, product, humate) | ~(product > 0)
    no_credit = "No nutrient and no yield is credited to the humate."
    carried = humate.product
    acid = humic_acid_dose(np.nan_to_num(dose), humate.test)
    return (
        TrailStep("in_product", f"{operation.product.name} in it", "kg/ha", product, ""),
        TrailStep("per_tonne", f"{carried.name} to a tonne", "kg/t", per_tonne, ""),
        TrailStep(
            "in_humate",
            f"{carried.name} in it",
            "kg/ha",
            dose,
            f"That is the rate of the mix: {{in_product}} kg/ha of {operation.product.name} and "
            f"{humate.share_percent:g} % of that in {carried.name}, {{in_humate}} kg/ha. "
            f"{no_credit}",
            source=carried.source,
            grade=carried.grade,
            told=usual,
        ),
        TrailStep(
            "in_other_mix",
            "rate of a mix of another share",
            "kg/ha",
            rates.rates_kg_ha,
            f"That is the rate of the mix: {{in_product}} kg/ha of {operation.product.name} and "
            f"{{in_humate}} kg/ha of {carried.name}, {{per_tonne}} kg to a tonne. {no_credit}",
            source=carried.source,
            grade=carried.grade,
            told=~usual,
        ),
        TrailStep(
            "humic_acid",
            "humic acid in it",
            "kg/ha",
            acid,
            "It holds {humic_acid} kg/ha of humic acid by ISO 19822: the figure in which trials "
            "and products compare.",
            source="iso-19822",
            grade=Grade.YOURS,
            told=acid > 0,
        ),
    )


def _season_steps(load: HumateLoad, humate: HumateShare) -> tuple[TrailStep, ...]:
    """All passes together; of a single pass that keeps its fertiliser only the warning."""
    steps = prefixed(load.season.trail, LOAD_PREFIX)
    if humate.policy is FertiliserPolicy.KEEP and not load.is_one_of_several:
        return tuple(step for step in steps if step.name == f"{LOAD_PREFIX}full")
    together = TrailStep(
        "together",
        "passes with humate",
        "",
        filled("all", load.uncut_kg_ha.size),
        "Humate is counted over all operations of the season together:",
        told=np.full(load.uncut_kg_ha.shape, load.is_one_of_several),
    )
    return (together, *steps)


def _own_steps(
    load: HumateLoad, operation: Operation, humate: HumateShare
) -> tuple[TrailStep, ...]:
    """What earlier passes and the cut leave of this one."""
    is_short = (load.before_kg_ha > 0) & (load.asked_kg_ha > load.left_kg_ha * (1 + _SAME))
    return (
        TrailStep("before", "humate of earlier operations", "kg/ha", load.before_kg_ha, ""),
        TrailStep("asked", "humate asked for", "kg/ha", load.asked_kg_ha, ""),
        TrailStep(
            "left",
            "humate that the cap leaves",
            "kg/ha",
            load.left_kg_ha,
            f"Earlier operations spread {{before}} kg/ha of humate, so the season's cap of "
            f"{humate.cap_kg_ha:g} kg/ha leaves {{left}} kg/ha for this one, which would carry "
            "{asked} kg/ha.",
            grade=Grade.YOURS,
            told=is_short,
        ),
        TrailStep("uncut", "product before the cut", "kg/ha", load.uncut_kg_ha, ""),
        TrailStep(
            "kept",
            "product kept",
            "kg/ha",
            load.product_kg_ha,
            "Of this operation's {uncut} kg/ha that leaves {kept} kg/ha.",
            grade=Grade.YOURS,
            told=(load.cut_kg_ha > 0) & load.is_one_of_several,
        ),
        *_forgone_steps(load, operation),
    )


def _forgone_steps(load: HumateLoad, operation: Operation) -> tuple[TrailStep, ...]:
    """What goes with the product that comes off: cost is not all of it."""
    product, cut = operation.product, load.cut_kg_ha
    return (
        TrailStep("cut", "product that comes off", "kg/ha", cut, ""),
        TrailStep("cut_n", "nitrogen forgone", "kg N/ha", cut * product.n_percent / PERCENT, ""),
        TrailStep(
            "cut_p",
            "phosphorus forgone",
            "kg P/ha",
            cut * product.p_percent / PERCENT,
            "With the {cut} kg/ha that come off this operation the crop forgoes {cut_n} kg N/ha "
            "and {cut_p} kg P/ha.",
            told=cut > 0,
        ),
    )


def _mix_steps(
    load: HumateLoad, operation: Operation, humate: HumateShare
) -> tuple[TrailStep, ...]:
    """The rate of the mix that is aimed at."""
    kept, dose = load.product_kg_ha, load.humate_kg_ha
    usual = _is_usual(dose, kept, humate) & (load.cut_kg_ha == 0)
    share = humate.share_percent
    name = humate.product.name
    return (
        TrailStep("aimed_humate", f"{name} aimed at", "kg/ha", dose, ""),
        TrailStep("aimed_product", "product aimed at", "kg/ha", kept, ""),
        TrailStep(
            "wanted",
            "rate wanted of the mix",
            "kg/ha",
            kept + dose,
            f"With {share:g} % of its mass in {name} on top, the mix is {{aimed_product}} × (1 + "
            f"{share:g} ÷ 100) = {{wanted}} kg/ha.",
            told=usual,
        ),
        TrailStep(
            "other_wanted",
            "rate wanted of a mix of another share",
            "kg/ha",
            kept + dose,
            f"The mix is {{aimed_product}} kg/ha of {operation.product.name} + {{aimed_humate}} "
            f"kg/ha of {name} = {{other_wanted}} kg/ha.",
            told=~usual,
        ),
    )


def _is_usual(
    dose: NDArray[np.float64], product: NDArray[np.float64], humate: HumateShare
) -> NDArray[np.bool_]:
    """Where the humate is its share of the product and no other."""
    usual = np.nan_to_num(product) * humate.share_percent / PERCENT
    return np.isclose(np.nan_to_num(dose), usual, rtol=1e-6, atol=math.ulp(1.0))
