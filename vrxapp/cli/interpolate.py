"""`vrxapp interpolate`: a soil result over a whole paddock, with how far it may be off."""

import math
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import FARM_OPTIONS, as_json, lab_source, with_options
from vrxapp.cli.printing import TerminalProgress, print_json, print_notes
from vrxapp.edits.layers import add_layer, refuse_taken_name
from vrxapp.errors import MissingInputError, TargetExistsError
from vrxapp.farm import Farm, season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.variogram import Anisotropy, Model, practical_range_m
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.interpolate import USUAL_CELL_M, MapGrain, SoilMap, soil_map
from vrxapp.workflows.interpolation_files import (
    linked_map,
    map_bands,
    proposed_map_file,
    write_soil_map,
)
from vrxapp.workflows.interpolation_study import ExpertChoices, MapRequest, MapStudy, map_study
from vrxapp.workflows.interpolation_words import (
    advice_in_words,
    claim_in_words,
    compared_ways,
    map_in_words,
    title_of,
    unit_of_comparison,
    variogram_in_words,
)
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.open_files import results_of_paddock
from vrxapp.workflows.zones_of_map import MappedZone, zones_of_map

_FILE = click.Path(path_type=Path)
_WAYS = {
    "kriging": Interpolation.KRIGING,
    "inverse-distance": Interpolation.INVERSE_DISTANCE,
    "zone-means": Interpolation.ZONE_MEANS,
    "one-mean": Interpolation.PADDOCK_MEAN,
}
_MODELS = {
    "spherical": Model.SPHERICAL,
    "exponential": Model.EXPONENTIAL,
    "matern-3/2": Model.MATERN_3_2,
    "matern-5/2": Model.MATERN_5_2,
}
_OPTIONS = (
    *FARM_OPTIONS,
    click.option("--test", required=True, help="Which test, such as colwell_p."),
    click.option("--depth", default="", help="Layer, such as 0-10; none: most samples'. [cm]"),
    click.option("--lab", type=_FILE, help="A sheet with positions instead of the farm's own."),
    click.option("--way", type=click.Choice(list(_WAYS)), help="None: the advised one."),
    click.option("--cell", type=float, default=USUAL_CELL_M, show_default=True, help="Side. [m]"),
    click.option(
        "--critical",
        type=float,
        default=math.nan,
        help="For the chance to be below it. [test's unit]",
    ),
    click.option("--model", type=click.Choice(list(_MODELS)), help="None: the one that fits."),
    click.option("--log/--plain", "is_log", default=None, help="Neither: what is advised."),
    click.option("--direction", type=float, help="Of the slowest change, from grid north. [°]"),
    click.option("--ratio", type=float, help="Range across it as a share of that along it."),
    click.option("--out", type=_FILE, help="GeoTIFF to write: mean, standard error, chance."),
    click.option("--replace", "replaces", is_flag=True, help="Replace --out where it exists."),
    click.option("--add-layer", "layer", default="", metavar="NAME", help="Link it to the farm."),
)


@click.command()
@with_options(*_OPTIONS)
@as_json
def interpolate(*, as_json: bool, **given: Any) -> None:
    """Map a soil test over a paddock, the way that is least off at samples left out.

    It needs samples with a longitude and a latitude. With fewer than 30 it gives zone means.
    Without --out, --add-layer and --critical the ways are only compared. --add-layer writes
    the file beside the farm file where --out does not say another place.

    \b
    Example:
        vrxapp interpolate --farm farm.gpkg --paddock "Two Mile Sands" \\
            --lab grid_samples.csv --test colwell_p --critical 25 --add-layer "Colwell P map"
    """
    farm, notes = open_farm(given["farm"])
    season = season_called(farm, given["season_name"])
    _refuse_taken(season, given)
    study = map_study(_with_tests(season, given["lab"]), _request(given), TerminalProgress())
    print_notes((*notes, *study.notes))
    soil: SoilMap | None = None
    of_zones: tuple[MappedZone, ...] = ()
    path: Path | None = None
    layers: tuple[str, ...] = ()
    if given["out"] or given["layer"] or not math.isnan(given["critical"]):
        grain = MapGrain(given["cell"], given["critical"])
        soil = soil_map(season, study, grain, TerminalProgress())
        print_notes(soil.notes)
        of_zones = zones_of_map(season, soil)
        path, layers = _written(farm, season, soil, given)
    if as_json:
        print_json(_record(study, soil, of_zones) | {"file": path and str(path), "layers": layers})
        return
    _print(study)
    for line in map_in_words(soil) if soil is not None else ():
        click.echo(line)
    _print_zones(of_zones, study)
    if path is not None:
        click.echo(f"Written and read back: {path}")
    if layers:
        click.echo(f"{season.paddock.name} has the map layers {_listed(layers)}. Saved the farm.")


def _refuse_taken(season: Season, given: dict[str, Any]) -> None:
    """Refuse a name that is taken before anything is worked out."""
    if given["out"] and given["out"].exists() and not given["replaces"]:
        raise TargetExistsError(
            "it exists already",
            mend="Choose another name, or give --replace",
            file=given["out"].name,
        )
    if given["layer"]:
        refuse_taken_name(season, given["layer"])


def _with_tests(season: Season, lab: Path | None) -> Season:
    """The season with the sheet that was named, or its own."""
    source = lab_source(lab)
    if source is None:
        return season
    return replace(season, tests=results_of_paddock(lab_results(source), season.paddock.name))


def _request(given: dict[str, Any]) -> MapRequest:
    direction, ratio = given["direction"], given["ratio"]
    if (direction is None) != (ratio is None):
        raise MissingInputError(
            "a direction and a ratio belong together",
            mend="Give both --direction and --ratio, or neither",
        )
    scale = None if given["is_log"] is None else (Scale.PLAIN, Scale.LOGARITHM)[given["is_log"]]
    choices = ExpertChoices(
        way=_WAYS.get(given["way"]),
        model=_MODELS.get(given["model"]),
        scale=scale,
        anisotropy=None if direction is None else Anisotropy(direction, ratio),
    )
    return MapRequest(given["test"], given["depth"], choices)


def _written(
    farm: Farm, season: Season, soil: SoilMap, given: dict[str, Any]
) -> tuple[Path | None, tuple[str, ...]]:
    """Write the file and link it, as far as that was asked for; where, and the layers' names."""
    path = given["out"]
    if path is None and given["layer"]:
        path = proposed_map_file(given["farm"].absolute().parent, season, soil.study)
    if path is None:
        return None, ()
    for band in map_bands(soil, name=given["layer"]) if given["layer"] else ():
        refuse_taken_name(season, band.band.name)
    write_soil_map(soil, path, replace=given["replaces"])
    if not given["layer"]:
        return path, ()
    layers = linked_map(soil, path, name=given["layer"])
    for made in layers:
        season = add_layer(season, made.layer)
    write_farm(with_season(farm, season), given["farm"])
    return path, tuple(made.layer.name for made in layers)


def _record(
    study: MapStudy, soil: SoilMap | None, of_zones: tuple[MappedZone, ...]
) -> dict[str, object]:
    notes = (*study.notes, *(soil.notes if soil is not None else ()))
    return {
        "test": study.analyte.key,
        "unit": study.analyte.unit,
        "depth_cm": study.depth_cm,
        "samples": study.samples.values.size,
        "scale": str(study.scale),
        "advised": str(study.choice.advised),
        "way": str(study.way),
        "compared": [
            {
                "way": str(row.way),
                "typical_difference": row.typical_difference,
                "bias": row.bias,
                "samples": row.samples,
            }
            for row in compared_ways(study)
        ],
        "unit_of_comparison": unit_of_comparison(study),
        "variogram": _variogram_record(study),
        "map": list(map_in_words(soil)) if soil is not None else None,
        "zones": [asdict(zone) for zone in of_zones],
        "notes": [str(note) for note in notes],
    }


def _variogram_record(study: MapStudy) -> dict[str, object] | None:
    if study.fitted is None:
        return None
    fit = study.fitted.variogram
    return {
        "model": str(fit.model),
        "nugget": fit.nugget,
        "partial_sill": fit.partial_sill,
        "practical_range_m": practical_range_m(fit),
        "direction_degree": fit.anisotropy.angle_degree if fit.anisotropy else None,
        "ratio": fit.anisotropy.ratio if fit.anisotropy else None,
        "fitted_by": str(study.fitted.method),
        "words": variogram_in_words(study),
    }


def _print(study: MapStudy) -> None:
    """Print the comparison, the advice and the variogram."""
    console = Console(soft_wrap=True, highlight=False)
    title = (
        f"{title_of(study)}: {study.samples.values.size} samples left out in turn, differences "
        f"{unit_of_comparison(study)}"
    )
    table = Table(box=box.SIMPLE_HEAD, title=title.rstrip(), title_justify="left")
    table.add_column("Way", no_wrap=True)
    for heading in ("typical", "bias", "samples", ""):
        table.add_column(heading, justify="right")
    for row in compared_ways(study):
        table.add_row(
            str(row.way),
            f"{row.typical_difference:.3g}",
            f"{round(row.bias, 2) + 0.0:+.2f}",
            str(row.samples),
            "advised" if row.is_advised else "",
        )
    console.print(table)
    for line in (advice_in_words(study), variogram_in_words(study), claim_in_words(study)):
        if line:
            console.print(line, markup=False)


def _print_zones(of_zones: tuple[MappedZone, ...], study: MapStudy) -> None:
    """Print what the map says of each zone."""
    if not of_zones:
        return
    unit = f" {study.analyte.unit}" if study.analyte.unit else ""
    table = Table("Zone", box=box.SIMPLE_HEAD)
    for heading in (f"mean{unit}", f"standard error{unit}", "chance below %", "samples"):
        table.add_column(heading, justify="right")
    for zone in of_zones:
        numbers = (
            f"{zone.mean:.3g}",
            f"{zone.standard_error:.2g}",
            f"{zone.chance_percent:.0f}",
            str(zone.samples),
        )
        table.add_row(zone.zone, *("-" if text == "nan" else text for text in numbers))
    Console(soft_wrap=True, highlight=False).print(table)


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(repr(name) for name in names)
