"""Options that say what is grown and how phosphorus needs are worked out."""

import math
from dataclasses import replace
from typing import Any

import click

from vrxapp.agronomy.critical_values import PHOSPHORUS_TESTS, critical_values
from vrxapp.agronomy.crops import crops
from vrxapp.errors import MissingInputError
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings

CRITICAL_OPTIONS = (
    click.option(
        "--critical",
        type=click.Choice([c.key for c in critical_values()]),
        metavar="KEY",
        help="Published critical value: "
        + ", ".join(c.key for c in critical_values())
        + ". None: the crop's default.",
    ),
    click.option("--own-critical", type=float, default=math.nan, help="Your own. [mg/kg]"),
    click.option(
        "--own-critical-test",
        type=click.Choice(PHOSPHORUS_TESTS),
        help="The soil test that your own is for; none: that of the calibration.",
    ),
    click.option(
        "--own-critical-depth",
        default="",
        metavar="LAYER",
        help="The layer that your own is for, such as 0-15; none: that of the calibration. [cm]",
    ),
    click.option("--own-critical-reason", default="", help="Where your own value comes from."),
)
"""Which critical value of phosphorus counts."""

PHOSPHORUS_OPTIONS = (
    *CRITICAL_OPTIONS,
    click.option(
        "--build-up-factor",
        type=float,
        default=math.nan,
        help="Phosphorus that lifts the soil test by 1 mg/kg; none: no build-up. [kg P/ha]",
    ),
    click.option("--build-up-years", type=float, default=1.0, show_default=True),
    click.option(
        "--removal-p",
        type=float,
        default=math.nan,
        help="Phosphorus in your own harvest; none: the published figure. [kg P/t]",
    ),
    click.option("--removal-reason", default="", help="Which analysis that comes from."),
)
NEEDS_OPTIONS = (
    click.option(
        "--crop", type=click.Choice([c.key for c in crops()]), default="wheat", show_default=True
    ),
    click.option("--yield", "target_yield", type=float, help="Target yield. [t/ha]"),
    *PHOSPHORUS_OPTIONS,
)


def critical_settings(given: dict[str, Any]) -> PhosphorusSettings:
    """Which critical value of phosphorus counts, out of the options."""
    return PhosphorusSettings(
        critical=given["critical"] or "",
        own_critical_mg_kg=given["own_critical"],
        own_critical_reason=given["own_critical_reason"],
        own_critical_test=given["own_critical_test"] or "",
        own_critical_depth_cm=given["own_critical_depth"],
    )


def phosphorus_settings(given: dict[str, Any]) -> PhosphorusSettings:
    """How phosphorus is worked out, out of the options."""
    return replace(
        critical_settings(given),
        build_up_factor_kg_ha_per_mg_kg=given["build_up_factor"],
        build_up_years=given["build_up_years"],
        removal_kg_t=given["removal_p"],
        removal_reason=given["removal_reason"],
    )


def target_yield_of(given: dict[str, Any]) -> float:
    """The target yield, which has no default. [t/ha]"""
    if given["target_yield"] is None:
        raise MissingInputError(
            "the target yield is missing", mend="Give --yield in tonnes per hectare"
        )
    return float(given["target_yield"])
