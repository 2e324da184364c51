"""A dose of humate in proportion: beside the soil's exchange and carbon, and the pass's phosphorus.

No rate follows from any of it.
"""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.humate_proportion import (
    carbon_share_percent,
    charge_per_phosphorus,
    exchange_in_proportion,
)
from vrxapp.agronomy.humates import CHARGE_AT_PH_6_CMOL_KG
from vrxapp.agronomy.humic_charge import HumicKind, charge_at_ph
from vrxapp.agronomy.trail import Trail, TrailStep, prefixed
from vrxapp.prescription.need_rules import LayerRead, ResultsOf
from vrxapp.prescription.rate_steps import MeteredRates
from vrxapp.season import HumateShare, Operation
from vrxapp.sources import Grade
from vrxapp.units import PERCENT

TOPSOIL_CM = 10.0
TOPSOIL_T_M3 = 1.4
"""Topsoil that a dose is set beside, said with the figure; no rate follows [program-choice]."""

_THOUSANDTHS_PER_PERCENT = 10.0


def proportion_steps(
    rates: MeteredRates, operation: Operation, humate: HumateShare, results: ResultsOf
) -> tuple[TrailStep, ...]:
    """What the dose adds beside what the topsoil and the pass hold already.

    Parameters
    ----------
    rates : MeteredRates
        Product and humate of each zone.
    operation : Operation
        The pass; its phosphorus is set beside the humate's charge.
    humate : HumateShare
        The humate; its carbon is set beside the soil's.
    results : callable
        The season's results by zone.
    """
    dose = np.nan_to_num(rates.humate_kg_ha)
    ph = results(LayerRead("ph_water", "0-10")).mean
    charge = np.where(
        np.isnan(ph), CHARGE_AT_PH_6_CMOL_KG["humic"], charge_at_ph(HumicKind.HUMIC, ph)
    )
    p_kg_ha = np.nan_to_num(rates.product_kg_ha) * operation.product.p_percent / PERCENT
    return (
        *_exchange_steps(dose, charge, ph, results),
        *_carbon_steps(dose, humate, results(LayerRead("organic_carbon", "0-10")).mean),
        *_phosphorus_steps(dose, charge, p_kg_ha),
    )


def _carbon_steps(
    dose: NDArray[np.float64], humate: HumateShare, soil_carbon: NDArray[np.float64]
) -> tuple[TrailStep, ...]:
    """The carbon of the dose beside the carbon of the topsoil."""
    carried = humate.product
    if math.isnan(carried.organic_c_percent):
        return ()
    own = np.where(soil_carbon > 0, soil_carbon, np.nan)
    share = carbon_share_percent(
        dose,
        carried.organic_c_percent,
        soil_carbon_percent=own,
        depth_cm=TOPSOIL_CM,
        bulk_density_t_m3=TOPSOIL_T_M3,
    )
    return (
        TrailStep("soil_carbon", "organic carbon of the soil", "%", own, ""),
        TrailStep(
            "carbon_share",
            "carbon added, by the soil's own",
            "thousandths",
            share * _THOUSANDTHS_PER_PERCENT,
            f"With {carried.organic_c_percent:g} % carbon it adds {{carbon_share}} thousandths to "
            f"the {{soil_carbon}} % organic carbon of {TOPSOIL_CM:g} cm of soil at "
            f"{TOPSOIL_T_M3:g} t/m³.",
            source=carried.composition_source or carried.source,
            grade=carried.grade,
            told=(dose > 0) & np.isfinite(share),
        ),
    )


def _phosphorus_steps(
    dose: NDArray[np.float64], charge: NDArray[np.float64], p_kg_ha: NDArray[np.float64]
) -> tuple[TrailStep, ...]:
    """The charge of the dose beside the phosphorus that it is said to protect."""
    some = np.where(p_kg_ha > 0, p_kg_ha, np.nan)
    return (
        TrailStep("with_p", "phosphorus of the pass", "kg P/ha", some, ""),
        TrailStep(
            "charge_per_p",
            "charge for each mole of phosphorus",
            "mol/mol",
            charge_per_phosphorus(dose, charge, p_kg_ha=some),
            "Counted so high it brings {charge_per_p} moles of charge for each mole of the "
            "{with_p} kg P/ha beside it; far below 1 it cannot shield a whole dressing.",
            source="milne-2001",
            grade=Grade.PUBLISHED,
            told=(dose > 0) & (p_kg_ha > 0),
        ),
    )


def _exchange_steps(
    dose: NDArray[np.float64],
    charge: NDArray[np.float64],
    ph: NDArray[np.float64],
    results: ResultsOf,
) -> tuple[TrailStep, ...]:
    """What the dose adds to the topsoil's exchange capacity, counted as high as it can be."""
    exchange, cec = (results(LayerRead(key, "0-10")).mean for key in ("ecec", "cec"))
    own = np.where(np.isnan(exchange), cec, exchange)
    found = exchange_in_proportion(
        dose,
        charge,
        soil_cec_cmol_kg=np.where(own > 0, own, np.nan),
        depth_cm=TOPSOIL_CM,
        bulk_density_t_m3=TOPSOIL_T_M3,
    )
    has_dose = dose > 0
    at_ph = np.where(np.isnan(ph), 6.0, ph)
    basis = TrailStep(
        "charge",
        "charge of pure humic acid",
        "cmol/kg",
        charge,
        f"In proportion: counted as if all of the humate were pure humic acid, with {{charge}} "
        f"cmol/kg at pH {{at_ph}}, in {TOPSOIL_CM:g} cm of soil at {TOPSOIL_T_M3:g} t/m³.",
        source="milne-2001",
        grade=Grade.PUBLISHED,
        told=has_dose,
    )
    added = TrailStep(
        "added",
        "exchange capacity added",
        "thousandths of a cmol(+)/kg",
        found.added_cmol_kg * 1e3,
        "It adds {added} thousandths of a cmol(+)/kg to the soil's exchange; the soil's own "
        "was not measured.",
        source="milne-2001",
        grade=Grade.PUBLISHED,
        told=has_dose & ~(own > 0),
    )
    steps = (
        TrailStep("at_ph", "pH it is counted at", "pH", np.asarray(at_ph), ""),
        basis,
        added,
        *found.trail.steps,
    )
    return tuple(_told_only(step, has_dose) for step in prefixed(Trail(steps), "exchange_"))


def _told_only(step: TrailStep, where: NDArray[np.bool_]) -> TrailStep:
    """A step that is told in fewer places."""
    return replace(step, told=where if step.told is None else step.told & where)
