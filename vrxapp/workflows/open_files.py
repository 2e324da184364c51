"""Opens people's files into a season: boundary, exclusions, zones, strips and lab sheet."""

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.agronomy.critical_values import default_critical_value
from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.errors import GroundError, InputFileError, Note
from vrxapp.files.formats import read_features
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.features import Features, numbers, texts
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT, projected_crs, transformed
from vrxapp.ground.zone_repair import mended_zones
from vrxapp.ground.zones import Zones
from vrxapp.need_plans import CropPlan, PhosphorusPlan
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable, paddocks_of, rows_of_paddock
from vrxapp.trials.strips import CheckStrip
from vrxapp.workflows.lab_sheets import LabSource, lab_results

WHOLE_PADDOCK = "Whole paddock"
_POLYGONS = ("Polygon", "MultiPolygon")


@dataclass(frozen=True, slots=True)
class SeasonFiles:
    """Files that make up a season; only the boundary is needed."""

    boundary: Path
    zones: Path | None = None
    exclusions: Path | None = None
    strips: Path | None = None
    lab: LabSource | None = None
    strip_width_m: float = math.nan
    """Width of check strips whose line has none. [m]"""
    layers: tuple[tuple[str, str], ...] = ()
    """Which layer of a file to read, where it holds several: the part (zones...) and its name."""
    crs: str = ""
    """Coordinate system of those files that name none, for instance ``EPSG:7855``."""
    lab_paddock: str = ""
    """Paddock whose rows of the lab sheet are used; empty for that of the boundary's name."""


def open_season(
    files: SeasonFiles,
    *,
    name: str,
    crop: str,
    target_yield_t_ha: float,
    crs: str = "",
    progress: Progress | None = None,
) -> tuple[Season, tuple[Note, ...]]:
    """A season out of people's files, without an operation yet.

    Zones that overlap or leave gaps are mended, and a note tells each ground that moved.

    Parameters
    ----------
    files : SeasonFiles
        Where they lie.
    name : str
        What to call the season.
    crop : str
        Key of the crop; its published critical value is the start.
    target_yield_t_ha : float
        Yield aimed at. [t/ha]
    crs : str, optional
        Projected coordinate system of the farm; chosen from the place if empty.
    progress : Progress, optional
        Who is told how far mending is, and may stop it.

    Returns
    -------
    tuple of Season and tuple of Note
        The season, and what was doubtful while reading or mended.

    Raises
    ------
    VrxError
        If a file cannot be used; the message names file, row and mend.
    """
    known_crop(crop)
    boundary = polygons_of(_part(files, "boundary"), "A boundary is drawn as a polygon")
    exclusions = _part(files, "exclusions") if files.exclusions else None
    paddock = paddock_from(boundary, exclusions, crs=crs)
    drawn = (
        polygons_of(_part(files, "zones"), "A zone is drawn as a polygon") if files.zones else None
    )
    zones, mended = mended_zones(zones_from(drawn, paddock), paddock, progress=progress)
    lines = _part(files, "strips") if files.strips else None
    strips = strips_from(lines, paddock, width_m=files.strip_width_m) if lines else ()
    tests = (
        results_of_paddock(lab_results(files.lab), paddock.name, wanted=files.lab_paddock)
        if files.lab
        else None
    )
    season = Season(
        id=name.casefold().replace(" ", "-"),
        name=name,
        paddock=paddock,
        zones=zones,
        tests=tests,
        row_matches=(),
        crop=CropPlan(crop, target_yield_t_ha),
        phosphorus=PhosphorusPlan(default_critical_value(crop)),
        strips=strips,
        operations=(),
    )
    read = [features for features in (boundary, exclusions, drawn, lines) if features is not None]
    return season, (*(note for features in read for note in features.notes), *mended)


def _part(files: SeasonFiles, part: str) -> Features:
    """The features of one of the files."""
    layer = dict(files.layers).get(part, "")
    return read_features(getattr(files, part), layer=layer, crs=files.crs)


def polygons_of(features: Features, rule: str) -> Features:
    """The polygons of a layer; a closed line stands for one where there are none.

    Parameters
    ----------
    features : Features
        A layer as people draw it: with gates, labels and tracks beside the polygons.
    rule : str
        What the mend says where nothing fits.

    Raises
    ------
    GroundError
        If there is no polygon and no closed line.
    """
    kinds = np.array([shape.geom_type for shape in features.shapes])
    drawn = np.isin(kinds, ("Polygon", "MultiPolygon"))
    closed = (kinds == "LineString") & shapely.is_closed(features.shapes)
    shapes, used, notes = features.shapes, drawn, list(features.notes)
    if not np.any(drawn) and np.any(closed):
        shapes, used = shapes.copy(), closed
        corners, line = shapely.get_coordinates(shapes[closed], return_index=True)
        rings = shapely.linearrings(corners, indices=line)
        shapes[closed] = shapely.make_valid(shapely.polygons(rings))
        notes.append(
            Note(
                f"{int(np.sum(closed))} closed line(s) were taken as polygons",
                mend="Look at the map whether that is the ground that is meant",
                file=features.file,
            )
        )
    _require(replace(features, shapes=shapes[used] if np.any(used) else shapes), _POLYGONS, rule)
    if not np.all(used):
        others = ", ".join(sorted(set(kinds[~used].tolist())))
        notes.append(
            Note(
                f"{int(np.sum(~used))} of its {len(kinds)} features are no polygons ({others}) and "
                "are left out",
                mend="Nothing needs doing unless they are part of the ground",
                file=features.file,
            )
        )
    rows = np.flatnonzero(used).tolist()
    fields = tuple(features.fields[row] for row in rows)
    return replace(features, shapes=shapes[used], fields=fields, notes=tuple(notes))


def results_of_paddock(tests: ResultsTable, paddock_name: str, *, wanted: str = "") -> ResultsTable:
    """The rows of a lab sheet that are from one paddock.

    Parameters
    ----------
    tests : ResultsTable
        The whole sheet.
    paddock_name : str
        What the boundary calls the paddock.
    wanted : str, optional
        What the sheet calls it; empty for the same name.

    Returns
    -------
    ResultsTable
        All rows of a sheet that names no paddock.

    Raises
    ------
    UnknownChoiceError
        If the sheet names paddocks, and this is not among them.
    """
    named = paddocks_of(tests)
    if not named and not wanted:
        return tests
    mine = rows_of_paddock(tests, wanted or paddock_name)
    left = len(tests.sample_ids) - len(mine.sample_ids)
    if not left:
        return mine
    note = Note(
        f"{left} of its {len(tests.sample_ids)} rows are of other paddocks, and not used here",
        mend="Nothing needs doing unless they are of this one",
        file=tests.file,
    )
    return replace(mine, notes=(note, *mine.notes))


def paddock_from(boundary: Features, exclusions: Features | None, *, crs: str = "") -> Paddock:
    """A paddock from its boundary and exclusions.

    Raises
    ------
    GroundError
        If the boundary holds anything but polygons, or is too small or too large to be one.
    InputFileError
        If an exclusion's kind is unknown.
    """
    centre = shapely.centroid(shapely.union_all(boundary.shapes))
    crs = crs or projected_crs(centre.x, centre.y)
    shape = shapely.union_all(transformed(boundary.shapes, from_crs=LON_LAT, to_crs=crs))
    hectares = shape.area / 1e4
    if not 0.05 <= hectares <= 100_000.0:
        raise GroundError(
            f"a paddock of {hectares:.3g} ha is not likely",
            mend="Check the coordinates; from 0.05 to 100,000 ha can be used",
            file=boundary.file,
        )
    name = next((n for n in texts(boundary, "name", "paddock") if n), "") or "Paddock"
    taken_out = exclusions_from(exclusions, crs) if exclusions else ()
    return Paddock(name, crs, shape, taken_out)


def exclusions_from(
    features: Features,
    crs: str,
    *,
    kind: ExclusionKind = ExclusionKind.OTHER,
    setback_m: float = 0.0,
) -> tuple[Exclusion, ...]:
    """Exclusions with their kind and setback.

    Parameters
    ----------
    features : Features
        Shapes; the fields ``kind``, ``name`` and ``setback_m`` tell what each is.
    crs : str
        Coordinate system of the farm.
    kind : ExclusionKind, optional
        Kind of those that tell none.
    setback_m : float, optional
        Setback of those that tell none. [m]

    Raises
    ------
    InputFileError
        If a kind is unknown.
    GroundError
        If a setback is no distance, or a line or point has none.
    """
    shapes = transformed(features.shapes, from_crs=LON_LAT, to_crs=crs)
    setbacks_m = np.nan_to_num(numbers(features, "setback_m"), nan=setback_m)
    names, kinds = texts(features, "name"), texts(features, "kind", "type")
    known = {str(one): one for one in ExclusionKind}
    for row, told in enumerate(kinds):
        if told.casefold() not in known and told:
            raise InputFileError(
                f"feature {row + 1}: the kind {told!r} is not known",
                mend=f"Write one of: {', '.join(known)}",
                file=features.file,
                column="kind",
                value=told,
            )
    return tuple(
        Exclusion(
            names[row] or f"Exclusion {row + 1}",
            known[kinds[row].casefold() or str(kind)],
            shapes[row],
            float(setbacks_m[row]),
        )
        for row in range(len(shapes))
    )


def zones_from(features: Features | None, paddock: Paddock) -> Zones:
    """Zones out of polygons, or the whole paddock as one zone without any.

    Raises
    ------
    GroundError
        If not one of them lies in the paddock.
    """
    if features is None:
        shapes = np.array([paddock.boundary], dtype=object)
        return Zones(("zone-1",), (WHOLE_PADDOCK,), shapes)
    given = texts(features, "zone", "zone_name", "name", "id")
    names = tuple(name or f"Zone {row + 1}" for row, name in enumerate(given))
    shapes = transformed(features.shapes, from_crs=LON_LAT, to_crs=paddock.crs)
    merged_names, merged = _merged_by_name(names, shapes)
    if not np.any(shapely.intersects(merged, paddock.boundary)):
        raise GroundError(
            f"not one of the {len(merged)} zones lies in the paddock {paddock.name!r}",
            mend="Check that boundary and zones belong to the same paddock",
            file=features.file,
        )
    ids = tuple(f"zone-{row + 1}" for row in range(len(merged_names)))
    return Zones(ids, merged_names, merged)


def _merged_by_name(
    names: tuple[str, ...], shapes: NDArray[np.object_]
) -> tuple[tuple[str, ...], NDArray[np.object_]]:
    """One zone a name: several polygons of the same name are parts of one zone."""
    once = tuple(dict.fromkeys(names))
    rows = np.array([once.index(name) for name in names])
    merged = np.empty(len(once), dtype=object)
    merged[:] = [
        shapes[rows == k][0] if np.sum(rows == k) == 1 else shapely.union_all(shapes[rows == k])
        for k in range(len(once))
    ]
    return once, merged


def strips_from(
    features: Features, paddock: Paddock, *, width_m: float = math.nan
) -> tuple[CheckStrip, ...]:
    """Check strips from lines with a width.

    Parameters
    ----------
    features : Features
        Lines; the field ``width_m`` gives the width of each.
    paddock : Paddock
        The paddock that they lie in.
    width_m : float, optional
        Width of strips whose line has none. [m]

    Raises
    ------
    GroundError
        If a strip has no width, is no line, or lies outside the paddock.
    """
    _require(features, ("LineString",), "A check strip is drawn as a line")
    lines = transformed(features.shapes, from_crs=LON_LAT, to_crs=paddock.crs)
    widths_m = numbers(features, "width_m")
    widths_m = np.where(np.isnan(widths_m), width_m, widths_m)
    names = texts(features, "name")
    for row, line in enumerate(lines):
        if math.isnan(widths_m[row]):
            raise GroundError(
                "the strip has no width",
                mend="Give it a field width_m, or give a width for all strips (--strip-width)",
                file=features.file,
                row=row + 1,
                column="width_m",
            )
        if not line.intersects(paddock.boundary):
            raise GroundError(
                f"the strip lies outside the paddock {paddock.name!r}",
                mend="Check that boundary and strips belong to the same paddock",
                file=features.file,
                row=row + 1,
            )
    return tuple(
        CheckStrip(names[row] or f"Strip {row + 1}", line, float(widths_m[row]))
        for row, line in enumerate(lines)
    )


def _require(features: Features, kinds: tuple[str, ...], rule: str) -> None:
    """Refuse shapes of another kind, naming the first."""
    for row, shape in enumerate(features.shapes):
        if shape.geom_type not in kinds:
            raise GroundError(
                f"feature {row + 1} is a {shape.geom_type}",
                mend=rule,
                file=features.file,
                row=row + 1,
                value=shape.geom_type,
            )
