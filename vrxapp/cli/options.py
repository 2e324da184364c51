"""Options that several verbs share: which farm, or which files and settings make one."""

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from vrxapp.agronomy.critical_values import critical_values
from vrxapp.agronomy.crops import crops
from vrxapp.errors import MissingInputError, Note
from vrxapp.farm import Farm, season_called
from vrxapp.season import Operation, Season, operation_called
from vrxapp.spreading.machine import Machine
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.first_plan import STANDARD_SPREADER, PlanSettings, first_plan
from vrxapp.workflows.open_files import SeasonFiles

_FILE = click.Path(path_type=Path)

as_json = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")

_OPTIONS = (
    click.option("--farm", type=_FILE, help="A farm file (.gpkg) instead of separate files."),
    click.option("--season", "season_name", help="Which season of the farm file."),
    click.option("--operation", "operation_name", help="Which operation; its name for own files."),
    click.option("--boundary", type=_FILE, help="Boundary of the paddock (GeoJSON polygon)."),
    click.option("--zones", type=_FILE, help="Zones (GeoJSON); none: the whole paddock is one."),
    click.option("--exclusions", type=_FILE, help="Dams, creeks... (GeoJSON; kind, setback_m)."),
    click.option("--strips", type=_FILE, help="Middle lines of check strips (GeoJSON; width_m)."),
    click.option("--strip-width", type=float, default=math.nan, help="Width of strips. [m]"),
    click.option("--lab", type=_FILE, help="Lab sheet (CSV, wide or long)."),
    click.option(
        "--match",
        "matches",
        multiple=True,
        metavar="SAMPLE=ZONE",
        help="Join a sample to a zone by hand; may be given often.",
    ),
    click.option(
        "--crop", type=click.Choice([c.key for c in crops()]), default="wheat", show_default=True
    ),
    click.option("--yield", "target_yield", type=float, help="Target yield. [t/ha]"),
    click.option(
        "--critical",
        type=click.Choice([c.key for c in critical_values()]),
        metavar="KEY",
        help="Published critical value: "
        + ", ".join(c.key for c in critical_values())
        + ". None: the crop's default.",
    ),
    click.option("--own-critical", type=float, default=math.nan, help="Your own. [mg/kg]"),
    click.option("--own-critical-reason", default="", help="Where your own value comes from."),
    click.option(
        "--build-up-factor",
        type=float,
        default=math.nan,
        help="Phosphorus that lifts the soil test by 1 mg/kg; none: no build-up. [kg P/ha]",
    ),
    click.option("--build-up-years", type=float, default=1.0, show_default=True),
    click.option("--product", default="map", show_default=True, help="What is spread."),
    click.option("--products", type=_FILE, help="Your own products with prices (CSV)."),
    click.option("--cap", type=float, default=math.inf, help="Highest rate of product. [kg/ha]"),
    click.option("--swath", type=float, default=STANDARD_SPREADER.swath_width_m, help="[m]",
                 show_default=True),
    click.option("--step", type=float, default=STANDARD_SPREADER.rate_step_kg_ha,
                 help="Smallest change of rate. [kg/ha]", show_default=True),
    click.option("--lowest", type=float, default=STANDARD_SPREADER.lowest_rate_kg_ha,
                 help="Lowest rate the spreader meters. [kg/ha]", show_default=True),
    click.option("--highest", type=float, default=STANDARD_SPREADER.highest_rate_kg_ha,
                 help="Highest rate the spreader meters. [kg/ha]", show_default=True),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Chosen:
    """The farm, season and operation that a verb works on, and what was doubtful."""

    farm: Farm
    season: Season
    operation: Operation
    notes: tuple[Note, ...]


def plan_options(verb: Callable[..., Any]) -> Callable[..., Any]:
    """Give a verb the options that make a farm; it gets what they choose as `chosen`."""

    @functools.wraps(verb)
    def with_plan(**given: Any) -> Any:
        names = {option.name for option in _parameters()}
        plan = {name: given.pop(name) for name in list(given) if name in names}
        return verb(chosen=_chosen(plan), **given)

    return functools.reduce(lambda f, option: option(f), reversed(_OPTIONS), with_plan)


def _parameters() -> list[click.Parameter]:
    """The shared options as click knows them."""
    probe = functools.reduce(lambda f, option: option(f), _OPTIONS, lambda: None)
    return list(probe.__click_params__)  # type: ignore[attr-defined]


def _chosen(given: dict[str, Any]) -> Chosen:
    """The farm, season and operation that the options ask for."""
    notes: tuple[Note, ...] = ()
    if given["farm"] is not None:
        farm, notes = open_farm(given["farm"])
    elif given["boundary"] is not None:
        farm, notes = first_plan(_files(given), _settings(given))
    else:
        raise MissingInputError(
            "there is nothing to work on",
            mend="Give --boundary FILE (and --zones, --lab), or --farm FILE",
        )
    named = given["season_name"] if given["farm"] else None
    season = season_called(farm, named) if named else farm.seasons[0]
    wanted = given["operation_name"] if given["farm"] else None
    operation = operation_called(season, wanted) if wanted else season.operations[0]
    return Chosen(farm, season, operation, notes)


def _files(given: dict[str, Any]) -> SeasonFiles:
    return SeasonFiles(
        boundary=given["boundary"],
        zones=given["zones"],
        exclusions=given["exclusions"],
        strips=given["strips"],
        lab=given["lab"],
        strip_width_m=given["strip_width"],
    )


def _settings(given: dict[str, Any]) -> PlanSettings:
    if given["target_yield"] is None:
        raise MissingInputError(
            "the target yield is missing", mend="Give --yield in tonnes per hectare"
        )
    return PlanSettings(
        season=given["season_name"] or "This season",
        crop=given["crop"],
        target_yield_t_ha=given["target_yield"],
        critical=given["critical"] or "",
        own_critical_mg_kg=given["own_critical"],
        own_critical_reason=given["own_critical_reason"],
        build_up_factor_kg_ha_per_mg_kg=given["build_up_factor"],
        build_up_years=given["build_up_years"],
        operation=given["operation_name"] or "",
        product=given["product"],
        product_list=given["products"],
        machine=Machine(
            "Spreader", given["swath"], given["step"], given["lowest"], given["highest"]
        ),
        rate_cap_kg_ha=given["cap"],
        matches=tuple(_match(text) for text in given["matches"]),
    )


def _match(text: str) -> tuple[str, str]:
    """A hand-made match out of SAMPLE=ZONE."""
    sample, equals, zone = text.partition("=")
    if not (sample.strip() and equals and zone.strip()):
        raise MissingInputError(
            f"cannot read the match {text!r}", mend='Write it as --match "SAMPLE=ZONE"'
        )
    return sample.strip(), zone.strip()
