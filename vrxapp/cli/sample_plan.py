"""`vrxapp sample-plan`: where to take soil samples, as files for phone, bags and map."""

import math
from pathlib import Path
from typing import Any

import click
import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import as_json, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.guidance import guidance_row
from vrxapp.edits.sample_plan import set_sample_plan
from vrxapp.errors import MissingInputError, TargetExistsError
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind, cautions_for
from vrxapp.ground.guidance import bearing_degree
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.sample_plan import DIGGING_CAUTION, SamplePlan, bags_of
from vrxapp.ground.sample_positions import SamplingDesign
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.sample_plan import (
    plan_doubts,
    planned_samples,
    require_plan_suffix,
    write_plan_file,
)
from vrxapp.workflows.sample_settings import (
    USUAL_CV_PERCENT,
    USUAL_ERROR_PERCENT,
    SampleSettings,
)

_FILE = click.Path(path_type=Path)
_OPTIONS = (
    click.option("--farm", type=_FILE, required=True, help="The farm file (.gpkg)."),
    click.option("--paddock", "--season", "season_name", default="", help="Which paddock of it."),
    click.option(
        "--design",
        type=click.Choice([str(d) for d in SamplingDesign]),
        default=str(SamplingDesign.BY_ZONE),
        show_default=True,
        help="A few in each zone, spread over the paddock, or on lines.",
    ),
    click.option(
        "--stops",
        type=int,
        default=8,
        show_default=True,
        help="In each zone, in all (spread), or on each line (transects).",
    ),
    click.option("--lines", type=int, default=3, show_default=True, help="Transects."),
    click.option("--bearing", type=float, default=0.0, help="Of transects. [°]"),
    click.option("--along", default="", help="Guidance line that transects run along instead."),
    click.option("--each-its-bag", is_flag=True, help="No bulking by zone: one bag a stop."),
    click.option("--cores", type=int, help="Cores of a sample; none: from --cv and --error."),
    click.option(
        "--cv",
        type=float,
        default=USUAL_CV_PERCENT,
        show_default=True,
        help="Spread of single cores, CV. [%]",
    ),
    click.option(
        "--error",
        type=float,
        default=USUAL_ERROR_PERCENT,
        show_default=True,
        help="Error of the mean that is borne, at 95 %. [% of the mean]",
    ),
    click.option("--depth", default="", help="Layer, such as 0-10. [cm]"),
    click.option("--edge", type=float, default=20.0, show_default=True, help="Kept clear. [m]"),
    click.option("--seed", type=int, default=0, show_default=True, help="For random starts."),
    click.option(
        "--point",
        "points",
        type=(click.Choice([str(k) for k in GroundPointKind]), float, float, str),
        multiple=True,
        metavar="KIND LONGITUDE LATITUDE NAME",
        help="Gate, dump site... beside those of the farm; the walk begins at the first gate.",
    ),
    click.option(
        "--bands", type=float, default=math.nan, help="Earlier fertiliser lies this far apart. [m]"
    ),
    click.option(
        "--out",
        type=_FILE,
        multiple=True,
        help="File to write: .html (to print), .gpx, .csv or .geojson.",
    ),
    click.option(
        "--keep", is_flag=True, help="Keep the plan in the farm: a lab sheet's bags then find it."
    ),
    click.option("--kept", is_flag=True, help="No new plan: the one that the farm keeps."),
    click.option("--drop", is_flag=True, help="No new plan, and keep none in the farm."),
    click.option("--replace", is_flag=True, help="Replace files that exist."),
)


@click.command("sample-plan")
@with_options(*_OPTIONS)
@as_json
def sample_plan(
    *, as_json: bool, out: tuple[Path, ...], replace: bool, keep: bool, kept: bool, **given: Any
) -> None:
    """Plan where to take soil samples, how many cores, and in which order to walk.

    \b
    Example:
        vrxapp sample-plan --farm farm.gpkg --paddock "Long Bend" --depth 0-10 \\
            --keep --out samples.html --out samples.gpx
    """
    for path in out:
        require_plan_suffix(path)
    taken = [path for path in out if path.exists() and not replace]
    if taken:
        raise TargetExistsError(
            "it exists already", mend="Choose another name, or give --replace", file=taken[0].name
        )
    farm, notes = open_farm(given["farm"])
    print_notes(notes)
    season = season_called(farm, given["season_name"])
    if given["drop"]:
        _kept(season)
        write_farm(with_season(farm, set_sample_plan(season, None)), given["farm"])
        click.echo(f"{given['farm']} keeps no sample plan for {season.paddock.name} any more")
        return
    plan = _kept(season) if kept else planned_samples(season, _settings(given, season))
    print_notes(plan_doubts(season, plan) if kept else ())
    for path in out:
        write_plan_file(season, plan, path)
    if keep and not kept:
        write_farm(with_season(farm, set_sample_plan(season, plan)), given["farm"])
    if as_json:
        print_json(_record(plan, out))
        return
    _print(plan, out)
    if keep and not kept:
        click.echo(f"Kept in {given['farm']}")


def _kept(season: Season) -> SamplePlan:
    """The plan that the farm keeps."""
    if season.sample_plan is None:
        raise MissingInputError(
            f"no sample plan is kept for {season.paddock.name!r}", mend="Make one with --keep"
        )
    return season.sample_plan


def _settings(given: dict[str, Any], season: Season) -> SampleSettings:
    design = SamplingDesign(given["design"])
    bearing = given["bearing"]
    if given["along"]:
        bearing = bearing_degree(season.guidance[guidance_row(season, given["along"])])
    return SampleSettings(
        design=design,
        stops=given["stops"],
        lines=given["lines"],
        bearing_degree=bearing,
        is_bulked_by_zone=design is SamplingDesign.BY_ZONE and not given["each_its_bag"],
        cores=given["cores"],
        cv_percent=given["cv"],
        error_percent=given["error"],
        depth_cm=given["depth"],
        edge_m=given["edge"],
        seed=given["seed"],
        band_spacing_m=given["bands"],
        points=tuple(_point(*point, crs=season.paddock.crs) for point in given["points"]),
    )


def _point(kind: str, longitude: float, latitude: float, name: str, *, crs: str) -> GroundPoint:
    if not (-180.0 <= longitude <= 180.0 and -90.0 <= latitude <= 90.0):
        raise MissingInputError(
            f"longitude {longitude:g}, latitude {latitude:g} of {name!r} is no place",
            mend="Longitude comes first",
        )
    x, y = transformed_xy(np.array([longitude]), np.array([latitude]), from_crs=LON_LAT, to_crs=crs)
    return GroundPoint(name, GroundPointKind(kind), float(x[0]), float(y[0]))


def _record(plan: SamplePlan, files: tuple[Path, ...]) -> dict[str, object]:
    return {
        "design": str(plan.design),
        "seed": plan.seed,
        "walk_m": plan.walk_m,
        "advice": list(plan.advice),
        "stops": [
            {
                "sample": plan.sample_ids[row],
                "zone": plan.zone_names[row],
                "cores": int(plan.cores[row]),
                "depth_cm": plan.depth_cm,
                "longitude": float(plan.longitude_degree[row]),
                "latitude": float(plan.latitude_degree[row]),
            }
            for row in range(len(plan.sample_ids))
        ],
        "files": [str(path) for path in files],
    }


def _print(plan: SamplePlan, files: tuple[Path, ...]) -> None:
    console = Console(soft_wrap=True, highlight=False)
    table = Table("Bag", "Zone", box=box.SIMPLE_HEAD)
    for heading in ("stops", "cores"):
        table.add_column(heading, justify="right")
    for bag in bags_of(plan):
        table.add_row(bag.sample_id, bag.zone_name, str(len(bag.stops)), str(bag.cores))
    console.print(table)
    console.print(
        f"{len(plan.sample_ids)} stops, {int(plan.cores.sum())} cores, {plan.walk_m / 1e3:.1f} km "
        f"straight from stop to stop; {plan.design}, seed {plan.seed}",
        markup=False,
    )
    for sentence in plan.advice:
        console.print(sentence, markup=False)
    for path in files:
        console.print(f"Written and read back: {path}", markup=False)
    for caution in (DIGGING_CAUTION, *cautions_for(plan.points)):
        console.print(f"Mind: {caution}", markup=False)
