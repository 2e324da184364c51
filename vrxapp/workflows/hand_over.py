"""Hands a plan over: writes the files aside, reads them back, then puts them in place."""

from dataclasses import dataclass
from pathlib import Path

from vrxapp.errors import MissingInputError, Note
from vrxapp.files.file_checks import ReadBack, check_written
from vrxapp.files.file_names import spreader_file_name
from vrxapp.files.geojson import read_geojson_rates, write_geojson
from vrxapp.files.ground_point_files import (
    write_ground_points_geojson,
    write_ground_points_gpx,
)
from vrxapp.files.guidance_geojson import write_guidance_geojson
from vrxapp.files.job_note import job_note
from vrxapp.files.shapefile import read_shapefile_rates, write_shapefile
from vrxapp.files.spreader_parts import parts_notes, spreader_parts
from vrxapp.files.trail_sheet import trail_csv
from vrxapp.files.write_aside import new_folder
from vrxapp.prescription.pipeline import Prescription, prescription
from vrxapp.progress import Progress, Unwatched
from vrxapp.season import Operation, Season

CONTRACTOR = "for_the_contractor"
POINTS = "ground_points"
GUIDANCE = "guidance_lines"
AGRONOMIST = "for_the_agronomist"


@dataclass(frozen=True, slots=True)
class HandOver:
    """What was handed over, and what reading it back showed."""

    folder: Path
    files: tuple[Path, ...]
    plan: Prescription
    read_backs: tuple[ReadBack, ...]
    notes: tuple[Note, ...]


def hand_over(
    season: Season,
    operation: Operation,
    folder: Path,
    *,
    replace: bool = False,
    progress: Progress | None = None,
) -> HandOver:
    """Write an operation's plan into a new folder that appears whole or not at all.

    The contractor's part holds the Shapefile, the GeoJSON, guidance lines, gates and other ground
    points where there are any, and a note, without price or laboratory value; the agronomist's
    part holds the trail of every rate.

    Parameters
    ----------
    season : Season
        The paddock.
    operation : Operation
        Which of its passes.
    folder : Path
        Folder to make; it must not exist yet, unless `replace` says that it may go.
    replace : bool, default False
        Put the new folder in the place of an older one.
    progress : Progress, optional
        Who watches, and may stop it.

    Returns
    -------
    HandOver
        Where the files are, and the figures of the read-back.

    Raises
    ------
    TargetExistsError
        If the folder exists and may not be replaced.
    WriteError
        If a file cannot be written.
    ReadBackError
        If a written file differs from the plan; nothing is put in place then.
    MissingInputError
        If no zone has a rate.
    """
    watch = progress or Unwatched()
    watch.step(0, 4, "Working out the rates")
    plan = prescription(season, operation)
    if all(plan.reasons):
        raise MissingInputError(
            f"no zone has a rate, so there is nothing to hand over: {plan.reasons[0]}",
            mend="Check that the lab sheet names the zones, and holds the soil test that the "
            "critical value was made for",
        )
    parts = spreader_parts(plan.rate_map)
    name = spreader_file_name(season.paddock.name, operation.name, operation.revision)
    with new_folder(folder, replace=replace) as aside:
        contractor, agronomist = aside / CONTRACTOR, aside / AGRONOMIST
        for made in (contractor / "shapefile", contractor / "geojson", agronomist):
            made.mkdir(parents=True)
        watch.step(1, 4, "Writing the Shapefile")
        write_shapefile(parts, contractor / "shapefile", name=name)
        watch.step(2, 4, "Writing the GeoJSON")
        geojson = contractor / "geojson" / f"{name}.geojson"
        write_geojson(parts, geojson)
        _write_points(season, contractor)
        if season.guidance:
            target = contractor / f"{GUIDANCE}.geojson"
            write_guidance_geojson(season.guidance, target, crs=season.paddock.crs)
        note = job_note(season, plan, file_name=name)
        (contractor / "read_me.txt").write_text(note, encoding="utf-8")
        (agronomist / "why_these_rates.csv").write_text(trail_csv(plan), encoding="utf-8-sig")
        watch.step(3, 4, "Reading the files back")
        read_backs = (
            check_written(
                parts, read_shapefile_rates(contractor / "shapefile"), file=f"{name}.shp"
            ),
            check_written(parts, read_geojson_rates(geojson), file=geojson.name),
        )
    watch.step(4, 4, "Done")
    files = tuple(sorted(path for path in folder.rglob("*") if path.is_file()))
    return HandOver(folder, files, plan, read_backs, parts_notes(plan.rate_map, parts))


def _write_points(season: Season, folder: Path) -> None:
    """Write the ground points for phone and map, where the season has any."""
    points, paddock = season.ground_points, season.paddock
    if points:
        write_ground_points_geojson(points, folder / f"{POINTS}.geojson", crs=paddock.crs)
        write_ground_points_gpx(
            points, folder / f"{POINTS}.gpx", crs=paddock.crs, title=f"Points of {paddock.name}"
        )
