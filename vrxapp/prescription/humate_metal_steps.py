"""What a dose of humate brings of the metals in its analysis, beside the topsoil it lies on."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import TrailStep
from vrxapp.inputs.humate_acceptance import HumateTest
from vrxapp.inputs.humate_metals import humate_metal_limits, metal_load, metal_rise
from vrxapp.prescription.humate_proportion_steps import TOPSOIL_CM, TOPSOIL_T_M3
from vrxapp.sources import Grade
from vrxapp.units import PERCENT


def metal_steps(humate_kg_ha: NDArray[np.float64], test: HumateTest) -> tuple[TrailStep, ...]:
    """Load of each metal that was measured, and what it adds to the topsoil.

    Parameters
    ----------
    humate_kg_ha : ndarray of float
        Humate on each zone, as delivered. [kg/ha]
    test : HumateTest
        What is known of it; metals are told of the dry matter.
    """
    is_dry = math.isnan(test.moisture_percent)
    moisture = 0.0 if is_dry else test.moisture_percent
    counted = "; all of it is counted as dry, for its moisture is not told" if is_dry else ""
    dry = np.nan_to_num(humate_kg_ha) * (1.0 - moisture / PERCENT)
    limits = {limit.metal: limit for limit in humate_metal_limits()}
    steps = []
    for number, (metal, content) in enumerate(test.metals):
        load = metal_load(dry, content)
        rise = metal_rise(load, depth_cm=TOPSOIL_CM, bulk_density_t_m3=TOPSOIL_T_M3)
        name, limit = f"metal_{number}", limits[metal]
        steps += [
            # micrograms, for milligrams would print as nought
            TrailStep(f"{name}_rise", f"{limit.name} added", "µg/kg", rise * 1000.0, ""),
            TrailStep(
                name,
                f"{limit.name} in it",
                "g/ha",
                load,
                f"{limit.name}: {content:g} mg/kg of its dry matter (limit "
                f"{limit.highest_mg_kg:g}) brings {{{name}}} g/ha, "
                f"{{{name}_rise}} µg/kg in {TOPSOIL_CM:g} cm of soil at "
                f"{TOPSOIL_T_M3:g} t/m³{counted}.",
                source=limit.source,
                grade=Grade.YOURS,
                told=dry > 0,
            ),
        ]
    return tuple(steps)
