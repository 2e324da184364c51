"""`vrxapp make-zones`: zones of a paddock from rasters, points, harvests or samples."""

import math
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.trail import printed_value
from vrxapp.cli.needs_options import target_yield_of
from vrxapp.cli.options import CRS_OPTION, as_json, with_options
from vrxapp.cli.printing import TerminalProgress, print_json, print_notes
from vrxapp.errors import MissingInputError, Note, TargetExistsError, begun
from vrxapp.farm import Farm, season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.zone_worth import (
    ZoneWorth,
    worth_by_samples,
    worth_in_words,
)
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.units import PERCENT
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.first_plan import PlanSettings, first_plan
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.make_zones import TidyRules, ZoneMethod, ZoneRecipe
from vrxapp.workflows.open_files import SeasonFiles, results_of_paddock
from vrxapp.workflows.placed_samples import placed_samples
from vrxapp.workflows.zone_layers import LayerFiles
from vrxapp.workflows.zones_from_data import (
    ZonesAsked,
    ZonesFound,
    with_found_zones,
    zones_from_data,
)

_FILE = click.Path(path_type=Path)
_OF_FILE = (_FILE, str)

_GROUND = (
    click.option("--farm", type=_FILE, help="The farm file (.gpkg) to put zones into."),
    click.option("--paddock", "--season", "season_name", default="", help="Which paddock of it."),
    click.option("--every-paddock", is_flag=True, help="Of all paddocks of the farm, at once."),
    click.option("--boundary", type=_FILE, help="A boundary instead, for a new farm file."),
    click.option("--exclusions", type=_FILE, help="Dams, creeks... beside the boundary."),
    click.option("--crop", default="wheat", show_default=True, help="For a new farm file."),
    click.option("--yield", "target_yield", type=float, help="Its target yield. [t/ha]"),
    click.option("--out", type=_FILE, help="New farm file to write; needed with --boundary."),
    click.option("--replace", is_flag=True, help="Replace --out where it exists."),
)
_LAYERS = (
    click.option("--raster", "rasters", type=_FILE, multiple=True, help="A GeoTIFF of one band."),
    click.option(
        "--raster-band",
        "bands",
        type=(_FILE, int),
        multiple=True,
        metavar="FILE BAND",
        help="One band of a GeoTIFF of several.",
    ),
    click.option(
        "--elevation", "elevations", type=_FILE, multiple=True, help="Heights; their slope counts."
    ),
    click.option("--linked", multiple=True, help="A map layer of the paddock, by its name."),
    click.option(
        "--points", type=_OF_FILE, multiple=True, metavar="FILE COLUMN", help="Measured points."
    ),
    click.option(
        "--harvest",
        "harvests",
        type=_OF_FILE,
        multiple=True,
        metavar="FILE COLUMN",
        help="Harvest points; of two or more seasons, their mean and their swing count.",
    ),
    click.option(
        "--test",
        "tests",
        multiple=True,
        metavar="TEST",
        help="A soil test of --lab or the paddock, mapped between its samples: colwell_p...",
    ),
    CRS_OPTION,
    click.option("--cell", type=float, default=5.0, show_default=True, help="Cell. [m]"),
    click.option(
        "--reach",
        type=float,
        default=25.0,
        show_default=True,
        help="How far a cell without a point looks. [m]",
    ),
)
_HOW = (
    click.option(
        "--method",
        type=click.Choice([str(m) for m in ZoneMethod]),
        default=str(ZoneMethod.K_MEANS),
        show_default=True,
        help="Classes (quantiles, natural, breaks) take one layer; samples needs --lab.",
    ),
    click.option("--zones", type=int, help="How many; none: the number that is crispest."),
    click.option("--breaks", default="", metavar="20,35", help="For breaks: where to cut."),
    click.option("--hectares", type=float, default=2.0, show_default=True, help="Of a square."),
    click.option("--bearing", type=float, default=0.0, help="Of squares, from grid north. [°]"),
    click.option("--seed", type=int, default=0, show_default=True, help="For random starts."),
)
_TIDY = (
    click.option("--majority", type=float, default=25.0, show_default=True, help="Square. [m]"),
    click.option("--least-area", type=float, default=0.5, show_default=True, help="[ha]"),
    click.option("--least-width", type=float, help="None: the swath of the operation. [m]"),
    click.option("--smooth", type=float, help="None: one cell. [m]"),
)
_WORTH = (
    click.option("--lab", type=_FILE, help="Lab sheet with positions, to judge zones by."),
    click.option("--worth", multiple=True, metavar="TEST", help="Test to judge by: colwell_p..."),
)


@click.command("make-zones")
@with_options(*_GROUND, *_LAYERS, *_HOW, *_TIDY, *_WORTH)
@as_json
def make_zones(*, as_json: bool, **given: Any) -> None:
    """Make the zones of a paddock from data, and save the farm.

    What is printed tells how crisp the groups are, how sure each zone is, and what zones
    explain of a soil test that they were not made from. Locked zones stay as they are; the
    made zones take the rest.

    \b
    Example:
        vrxapp make-zones --boundary boundary.geojson --raster conductivity.tif \\
            --harvest wheat.csv yield_t_ha --zones 4 --yield 4 --out farm.gpkg
        vrxapp make-zones --farm farm.gpkg --paddock "Long Bend" \\
            --linked "Apparent conductivity" --lab samples.csv --worth colwell_p
        vrxapp make-zones --farm farm.gpkg --every-paddock --method squares --hectares 10
    """
    farm, seasons, target, notes = _ground(given)
    print_notes(notes)
    made = [(season, *_made(season, given)) for season in seasons]
    for season, found, _ in made:
        farm = with_season(farm, with_found_zones(season, found))
    write_farm(farm, target)
    if as_json:
        records = [
            {"paddock": season.paddock.name, **_record(found, worth, target)}
            for season, found, worth in made
        ]
        print_json(records if given["every_paddock"] else records[0])
        return
    for season, found, worth in made:
        _print(found, worth)
        count = len(found.zones.names)
        zones = "1 zone" if count == 1 else f"{count} zones"
        click.echo(f"{season.paddock.name} has {zones}. Saved {target}")


def _made(season: Season, given: dict[str, Any]) -> tuple[ZonesFound, list[ZoneWorth]]:
    """The zones of one paddock, and what they are worth by the tests asked for."""
    tests = _tests(given["lab"], season) if given["lab"] else None
    found = zones_from_data(season, _asked(given, season), tests=tests, progress=TerminalProgress())
    worth = [
        worth_by_samples(
            placed_samples(_required(tests), key, season.paddock.crs).points,
            found.zones.shapes,
            seed=given["seed"],
        )
        for key in given["worth"]
    ]
    print_notes(found.notes)
    return found, worth


def _ground(
    given: dict[str, Any],
) -> tuple[Farm, tuple[Season, ...], Path, tuple[Note, ...]]:
    """The farm, the seasons, and where to save: an own file, or a new one for a boundary."""
    if given["farm"] is not None:
        farm, notes = open_farm(given["farm"])
        if given["every_paddock"] and not given["season_name"]:
            return farm, farm.seasons, given["farm"], notes
        return farm, (season_called(farm, given["season_name"]),), given["farm"], notes
    if given["boundary"] is None or given["out"] is None:
        raise MissingInputError(
            "there is no paddock to make zones of",
            mend="Give --farm FILE, or --boundary FILE and --out FILE",
        )
    if given["out"].exists() and not given["replace"]:
        raise TargetExistsError(
            "it exists already",
            mend="Choose another name, or give --replace",
            file=str(given["out"]),
        )
    files = SeasonFiles(given["boundary"], exclusions=given["exclusions"], crs=given["crs"])
    farm, notes = first_plan(
        files, PlanSettings(crop=given["crop"], target_yield_t_ha=target_yield_of(given))
    )
    return farm, farm.seasons[:1], given["out"], notes


def _tests(path: Path, season: Season) -> ResultsTable:
    return results_of_paddock(lab_results(path), season.paddock.name)


def _required(tests: ResultsTable | None) -> ResultsTable:
    if tests is None:
        raise MissingInputError("there are no samples", mend="Give --lab FILE with positions")
    return tests


def _asked(given: dict[str, Any], season: Season) -> ZonesAsked:
    """Which zones are wanted, out of the options."""
    return ZonesAsked(
        files=_files(given),
        recipe=_recipe(given, season),
        cell_m=given["cell"],
        hectares=given["hectares"],
        bearing_degree=given["bearing"],
        sampled=next(iter(given["worth"]), ""),
    )


def _files(given: dict[str, Any]) -> LayerFiles:
    return LayerFiles(
        rasters=(*((path, None) for path in given["rasters"]), *given["bands"]),
        elevations=tuple((path, None) for path in given["elevations"]),
        points=given["points"],
        harvests=given["harvests"],
        linked=given["linked"],
        tests=given["tests"],
        crs=given["crs"],
        reach_m=given["reach"],
    )


def _recipe(given: dict[str, Any], season: Season) -> ZoneRecipe:
    swath_m = season.operations[0].machine.swath_width_m if season.operations else 0.0
    width, smooth = given["least_width"], given["smooth"]
    return ZoneRecipe(
        method=ZoneMethod(given["method"]),
        zones=given["zones"],
        breaks=_breaks(given["breaks"]),
        seed=given["seed"],
        tidy=TidyRules(
            majority_m=given["majority"],
            least_ha=given["least_area"],
            least_width_m=swath_m if width is None else width,
            smooth_m=given["cell"] if smooth is None else smooth,
        ),
    )


def _breaks(text: str) -> tuple[float, ...]:
    try:
        return tuple(float(part) for part in text.split(",") if part.strip())
    except ValueError:
        raise MissingInputError(
            f"cannot read the breaks {text!r}", mend="Write them as --breaks 20,35,50"
        ) from None


def _record(found: ZonesFound, worth: list[ZoneWorth], target: Path) -> dict[str, object]:
    made = found.made
    return {
        "zones": [
            {
                "zone": name,
                "area_ha": float(found.area_ha[row]),
                "sureness": float(found.sureness[row]),
                "means": {
                    layer: float(found.means[row, column])
                    for column, (layer, _) in enumerate(found.layers)
                },
                "locked": found.zones.ids[row] in found.zones.locked_ids,
            }
            for row, name in enumerate(found.zones.names)
        ],
        "crispness": made.crispness,
        "moved_by_tidying": made.moved_share,
        "tried": (
            dict(zip(map(str, made.advice.numbers), made.advice.crispness, strict=True))
            if made.advice
            else None
        ),
        "seed": made.seed,
        "worth": [
            {
                "test": w.name,
                "samples": w.samples,
                "share": w.share,
                "adjusted_share": w.adjusted_share,
                "chance": w.chance,
                "words": worth_in_words(w),
            }
            for w in worth
        ],
        "notes": [str(note) for note in found.notes],
        "file": str(target),
    }


def _print(found: ZonesFound, worth: list[ZoneWorth]) -> None:
    made = found.made
    console = Console(soft_wrap=True, highlight=False)
    table = Table("Zone", box=box.SIMPLE_HEAD)
    layers = [f"{name}, {unit}" if unit else name for name, unit in found.layers]
    for heading in ("ha", "sureness", *layers):
        table.add_column(heading, justify="right")
    for row, name in enumerate(found.zones.names):
        sure = found.sureness[row]
        table.add_row(
            name,
            f"{found.area_ha[row]:.2f}",
            "-" if math.isnan(sure) else f"{sure:.2f}",
            *(printed_value(float(mean)) for mean in found.means[row]),
        )
    console.print(table)
    if made.advice:
        tried = ", ".join(
            f"{number}: {crisp:.2f}"
            for number, crisp in zip(made.advice.numbers, made.advice.crispness, strict=True)
        )
        console.print(f"Crispness by number of groups: {tried}", markup=False)
    if not math.isnan(made.crispness):
        console.print(
            f"Crispness {made.crispness:.2f} (1: groups lie wholly apart, 0: there are none); "
            f"tidying moved {PERCENT * made.moved_share:.0f} % of the cells; seed {made.seed}",
            markup=False,
        )
    for one in worth:
        console.print(f"{begun(worth_in_words(one), one.name)}.", markup=False)
