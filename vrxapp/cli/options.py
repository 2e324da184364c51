"""Options that several verbs share: which farm, or which files and settings make one."""

import functools
import math
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from vrxapp.cli.needs_options import NEEDS_OPTIONS, phosphorus_settings, target_yield_of
from vrxapp.cli.operation_options import (
    LIME_OPTIONS,
    OPERATION_OPTIONS,
    lime_settings,
    operation_settings,
)
from vrxapp.errors import MissingInputError, Note
from vrxapp.farm import Farm, season_called
from vrxapp.season import Operation, Season, operation_called
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.first_plan import HandMatch, PlanSettings, first_plan
from vrxapp.workflows.lab_sheets import LabSource, PastedCells
from vrxapp.workflows.open_files import SeasonFiles

_FILE = click.Path(path_type=Path)
_PARTS = ("boundary", "zones", "exclusions", "strips")

as_json = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")

LAB_OPTION: Callable[[Any], Any] = click.option(
    "--lab",
    type=_FILE,
    help="Lab sheet (CSV or XLSX, wide or long); - reads pasted cells from standard input.",
)

CRS_OPTION: Callable[[Any], Any] = click.option(
    "--crs", default="", help="Coordinate system of files that name none, such as EPSG:7855."
)

FARM_OPTIONS: tuple[Callable[[Any], Any], ...] = (
    click.option("--farm", type=_FILE, required=True, help="The farm file (.gpkg)."),
    click.option(
        "--paddock",
        "--season",
        "season_name",
        default="",
        help="Which paddock or season of it, where it holds several.",
    ),
)
"""Options of verbs that work on one season of a farm file."""

_OPTIONS = (
    click.option("--farm", type=_FILE, help="A farm file (.gpkg) instead of separate files."),
    click.option(
        "--paddock",
        "--season",
        "season_name",
        default="",
        help="Which paddock or season of the farm file, where it holds several; for own files "
        "the season's name.",
    ),
    click.option("--operation", "operation_name", help="Which operation; its name for own files."),
    click.option(
        "--boundary",
        type=_FILE,
        help="Boundary: GeoJSON, Shapefile (also zipped), GeoPackage, KML or KMZ.",
    ),
    click.option(
        "--zones", type=_FILE, help="Zones, in the same formats; none: the whole paddock is one."
    ),
    click.option("--exclusions", type=_FILE, help="Dams, creeks... with kind and setback_m."),
    click.option("--strips", type=_FILE, help="Middle lines of check strips, with width_m."),
    click.option(
        "--layer",
        "layers",
        multiple=True,
        metavar="PART=NAME",
        help="Which layer of a file that holds several, for instance zones=soils.",
    ),
    CRS_OPTION,
    click.option("--strip-width", type=float, default=math.nan, help="Width of strips. [m]"),
    LAB_OPTION,
    click.option(
        "--lab-paddock", default="", help="Paddock whose rows of the lab sheet are meant."
    ),
    click.option(
        "--match",
        "matches",
        multiple=True,
        metavar="SAMPLE=ZONE@LAYER",
        help="Join a sample to a zone (and, where the sheet does not tell it, a layer such as "
        "0-10) by hand; may be given often.",
    ),
    *NEEDS_OPTIONS,
    click.option("--products", type=_FILE, help="Your own products with prices (CSV)."),
    *OPERATION_OPTIONS,
    *LIME_OPTIONS,
)


def lab_source(path: Path | None) -> LabSource | None:
    """The lab sheet that was named: a file, or what comes on standard input for ``-``."""
    if path is None or str(path) != "-":
        return path
    return PastedCells(sys.stdin.read(), "standard input")


@dataclass(frozen=True, slots=True)
class Chosen:
    """The farm, season and operation that a verb works on, and what was doubtful."""

    farm: Farm
    season: Season
    operation: Operation
    notes: tuple[Note, ...]


def with_options(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """All of several options, in the order in which help shows them."""
    return lambda verb: functools.reduce(lambda f, option: option(f), reversed(options), verb)


def plan_options(verb: Callable[..., Any]) -> Callable[..., Any]:
    """Give a verb the options that make a farm; it gets what they choose as `chosen`."""

    @functools.wraps(verb)
    def with_plan(**given: Any) -> Any:
        names = {option.name for option in _parameters()}
        plan = {name: given.pop(name) for name in list(given) if name in names}
        return verb(chosen=_chosen(plan), **given)

    verb_with_options: Callable[..., Any] = with_options(*_OPTIONS)(with_plan)
    return verb_with_options


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
    season = season_called(farm, given["season_name"] if given["farm"] else "")
    wanted = given["operation_name"] if given["farm"] else None
    operation = operation_called(season, wanted) if wanted else season.operations[0]
    return Chosen(farm, season, operation, notes)


def _files(given: dict[str, Any]) -> SeasonFiles:
    return SeasonFiles(
        boundary=given["boundary"],
        zones=given["zones"],
        exclusions=given["exclusions"],
        strips=given["strips"],
        lab=lab_source(given["lab"]),
        lab_paddock=given["lab_paddock"],
        layers=tuple(_layer(text) for text in given["layers"]),
        crs=given["crs"],
        strip_width_m=given["strip_width"],
    )


def _settings(given: dict[str, Any]) -> PlanSettings:
    return PlanSettings(
        season=given["season_name"] or "This season",
        crop=given["crop"],
        target_yield_t_ha=target_yield_of(given),
        phosphorus=phosphorus_settings(given),
        product_list=given["products"],
        operation=operation_settings(given, name=given["operation_name"] or ""),
        lime=lime_settings(given),
        matches=tuple(_match(text) for text in given["matches"]),
    )


def _layer(text: str) -> tuple[str, str]:
    """A part and its layer out of PART=NAME."""
    part, equals, name = (word.strip() for word in text.partition("="))
    if part not in _PARTS or not (equals and name):
        raise MissingInputError(
            f"cannot read the layer {text!r}",
            mend=f"Write it as --layer PART=NAME, where PART is one of: {', '.join(_PARTS)}",
        )
    return part, name


def _match(text: str) -> HandMatch:
    """A hand-made match out of SAMPLE=ZONE@LAYER."""
    sample, equals, place = text.partition("=")
    zone, _, layer = place.partition("@")
    if not (sample.strip() and equals and place.strip(" @")):
        raise MissingInputError(
            f"cannot read the match {text!r}",
            mend='Write it as --match "SAMPLE=ZONE", or with its layer in cm as '
            '--match "SAMPLE=ZONE@0-10"',
        )
    return HandMatch(sample.strip(), zone.strip(), layer.strip())
