"""Options that say what one pass is: product, humate, machine, cap, and how lime is worked out."""

import math
from typing import Any

import click

from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.agronomy.lime_maintenance import lime_removals, nitrogen_acidities
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.agronomy.lime_values import LimeMethod
from vrxapp.cli.humate_options import (
    HUMATE_OPTIONS,
    SEED_OPTIONS,
    humate_test_of,
    policy_of,
    seed_row_of,
)
from vrxapp.need_plans import Purpose
from vrxapp.spreading.machine import Machine
from vrxapp.units import PERCENT
from vrxapp.workflows.operation_settings import (
    LimeSettings,
    OperationSettings,
    starting_machine,
)

MACHINE_OPTIONS = (
    click.option("--machine", default="", help="What the spreader is called."),
    click.option("--swath", type=float, help="Distance between passes. [m]"),
    click.option("--step", type=float, help="Smallest change of rate. [kg/ha]"),
    click.option("--lowest", type=float, help="Lowest rate that is metered. [kg/ha]"),
    click.option("--highest", type=float, help="Highest rate that is metered. [kg/ha]"),
)

OPERATION_OPTIONS = (
    click.option(
        "--purpose",
        type=click.Choice([str(p) for p in Purpose]),
        default=str(Purpose.PHOSPHORUS),
        show_default=True,
        help="Which need the pass covers.",
    ),
    click.option("--product", default="map", show_default=True, help="What is spread."),
    click.option("--timing", default="not said", help="When the pass is planned."),
    *HUMATE_OPTIONS,
    *SEED_OPTIONS,
    click.option("--cap", type=float, default=math.inf, help="Highest rate of product. [kg/ha]"),
    *MACHINE_OPTIONS,
)

LIME_OPTIONS = (
    click.option(
        "--lime-method",
        type=click.Choice([str(m) for m in LimeMethod]),
        help="How lime is worked out; there is no default.",
    ),
    click.option("--target-ph-cacl2", type=float, default=math.nan, help="Target pH(CaCl2)."),
    click.option("--target-ph-water", type=float, default=math.nan, help="Target pH(water)."),
    click.option(
        "--buffer-function",
        type=click.Choice([str(f) for f in BufferFunction]),
        help="Which estimate of the buffer capacity; unverified.",
    ),
    click.option(
        "--tolerated-aluminium", type=float, default=math.nan, help="Of effective CEC. [%]"
    ),
    click.option("--sensitive-crop", is_flag=True, help="The crop is sensitive to acidity."),
    click.option(
        "--upkeep-harvest",
        type=click.Choice([row.key for row in lime_removals()]),
        help="Add maintenance lime for what is taken away at the target yield.",
    ),
    click.option(
        "--upkeep-nitrogen",
        type=click.Choice([row.key for row in nitrogen_acidities()]),
        help="Add maintenance lime for this source of nitrogen.",
    ),
    click.option("--upkeep-n-rate", type=float, default=0.0, help="Of it a year. [kg N/ha]"),
    click.option("--upkeep-leached", type=float, default=math.nan, help="Share leached. [%]"),
    click.option("--upkeep-years", type=float, default=1.0, help="Years that it is to last."),
    click.option("--bulk-density", type=float, default=math.nan, help="Limed layer. [t/m³]"),
    click.option("--texture", default="", help="Texture of the paddock."),
)


def machine_of(given: dict[str, Any], *, start: Machine) -> Machine:
    """The machine out of the options; what is not given is that of another machine."""
    return Machine(
        given["machine"] or start.name,
        start.swath_width_m if given["swath"] is None else given["swath"],
        start.rate_step_kg_ha if given["step"] is None else given["step"],
        start.lowest_rate_kg_ha if given["lowest"] is None else given["lowest"],
        start.highest_rate_kg_ha if given["highest"] is None else given["highest"],
    )


def operation_settings(given: dict[str, Any], *, name: str) -> OperationSettings:
    """The settings of a pass out of the options."""
    purpose = Purpose(given["purpose"])
    machine = machine_of(given, start=starting_machine(purpose))
    return OperationSettings(
        name=name,
        timing=given["timing"],
        product=given["product"],
        purpose=purpose,
        machine=machine,
        rate_cap_kg_ha=given["cap"],
        seed_row=seed_row_of(given),
        **humate_settings(given),
    )


def humate_settings(given: dict[str, Any]) -> dict[str, Any]:
    """The settings of a pass that speak of its humate."""
    return {
        "humate": given["humate"],
        "humate_share_percent": given["humate_share"],
        "humate_cap_kg_ha": given["humate_cap"],
        "humate_policy": policy_of(given),
        "humate_cut_percent": given["humate_cut"],
        "humate_test": humate_test_of(given),
    }


def lime_settings(given: dict[str, Any]) -> LimeSettings:
    """How lime is worked out, out of the options."""
    method, function = given["lime_method"], given["buffer_function"]
    return LimeSettings(
        method=LimeMethod(method) if method else None,
        target_ph_cacl2=given["target_ph_cacl2"],
        target_ph_water=given["target_ph_water"],
        buffer_function=BufferFunction(function) if function else None,
        tolerated_aluminium_percent=given["tolerated_aluminium"],
        is_sensitive_crop=given["sensitive_crop"],
        bulk_density_t_m3=given["bulk_density"],
        texture=given["texture"],
        upkeep=_upkeep(given),
    )


def _upkeep(given: dict[str, Any]) -> LimeUpkeep | None:
    """The maintenance lime out of the options; None where none is asked for."""
    harvest, nitrogen = given["upkeep_harvest"], given["upkeep_nitrogen"]
    if not (harvest or nitrogen):
        return None
    return LimeUpkeep(
        harvest or "",
        nitrogen or "",
        given["upkeep_n_rate"],
        given["upkeep_leached"] / PERCENT,
        given["upkeep_years"],
    )
