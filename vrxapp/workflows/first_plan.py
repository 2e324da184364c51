"""From files and a few settings to a farm with one planned operation."""

import math
from dataclasses import dataclass, replace
from pathlib import Path

from vrxapp.agronomy.critical_values import critical_value, own_critical_value
from vrxapp.edits.lab_tests import match_sample
from vrxapp.edits.rates import set_build_up, set_critical_value
from vrxapp.errors import Note
from vrxapp.farm import Farm
from vrxapp.files.product_list import read_product_list
from vrxapp.inputs.products import product_called, typical_products
from vrxapp.season import Operation, Season
from vrxapp.spreading.machine import Machine
from vrxapp.workflows.open_files import SeasonFiles, open_season

STANDARD_SPREADER = Machine("Spreader", 24.0, 1.0, 0.0, 1000.0)
"""A spreader to start from, until the user gives the real one."""


@dataclass(frozen=True, slots=True)
class PlanSettings:
    """What the user decides beside the files; everything has a plain start.

    Parameters
    ----------
    season, farm : str
        What to call them.
    crop : str
        Key of the crop.
    target_yield_t_ha : float
        Yield aimed at. [t/ha]
    critical : str
        Key of a published calibration; empty for the crop's default.
    own_critical_mg_kg : float
        A critical value of the agronomist's own; NaN for none. [mg/kg]
    own_critical_reason : str
        Where it comes from.
    build_up_factor_kg_ha_per_mg_kg, build_up_years : float
        Build-up; a factor of NaN leaves it out.
    operation, timing, product : str
        The pass: its name, when it is planned, and what is spread.
    product_list : Path or None
        The user's own products with prices.
    machine : Machine
        The spreader.
    rate_cap_kg_ha : float
        Highest rate of product. [kg/ha]
    matches : tuple of pairs of str
        Samples joined by hand: sample id and zone name.
    """

    season: str = "This season"
    farm: str = "My farm"
    crop: str = "wheat"
    target_yield_t_ha: float = math.nan
    critical: str = ""
    own_critical_mg_kg: float = math.nan
    own_critical_reason: str = ""
    build_up_factor_kg_ha_per_mg_kg: float = math.nan
    build_up_years: float = 1.0
    operation: str = ""
    timing: str = "not said"
    product: str = "map"
    product_list: Path | None = None
    machine: Machine = STANDARD_SPREADER
    rate_cap_kg_ha: float = math.inf
    matches: tuple[tuple[str, str], ...] = ()


def first_plan(files: SeasonFiles, settings: PlanSettings) -> tuple[Farm, tuple[Note, ...]]:
    """A farm with one season and one operation, made from people's files.

    Raises
    ------
    VrxError
        If a file or a setting cannot be used; the message says what to do.
    """
    own = read_product_list(settings.product_list) if settings.product_list else ()
    products = (*own, *(p for p in typical_products() if p.key not in {o.key for o in own}))
    season, notes = open_season(
        files,
        name=settings.season,
        crop=settings.crop,
        target_yield_t_ha=settings.target_yield_t_ha,
    )
    season = _with_settings(season, settings)
    product = product_called(settings.product, products)
    operation = Operation(
        id="operation-1",
        name=settings.operation or product.name,
        timing=settings.timing,
        product=product,
        machine=settings.machine,
        rate_cap_kg_ha=settings.rate_cap_kg_ha,
    )
    season = replace(season, operations=(operation,))
    return Farm(settings.farm, (season,), products, (settings.machine,)), notes


def _with_settings(season: Season, settings: PlanSettings) -> Season:
    """The season with the critical value, build-up and hand-made matches of the settings."""
    if settings.critical:
        season = set_critical_value(season, critical_value(settings.critical))
    if not math.isnan(settings.own_critical_mg_kg):
        analyte_key = season.phosphorus.critical.analyte
        own = own_critical_value(
            settings.crop,
            analyte_key,
            settings.own_critical_mg_kg,
            reason=settings.own_critical_reason,
        )
        season = set_critical_value(season, own)
    season = set_build_up(
        season,
        factor_kg_ha_per_mg_kg=settings.build_up_factor_kg_ha_per_mg_kg,
        years=settings.build_up_years,
    )
    for sample_id, zone_name in settings.matches:
        season = match_sample(season, sample_id, zone_name)
    return season
