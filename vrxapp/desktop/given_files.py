"""What people drop on the window or choose in a dialog, and which part each file plays."""

from dataclasses import dataclass, replace
from pathlib import Path

import shapely

from vrxapp.errors import InputFileError
from vrxapp.ground.features import Features, texts

FARM, BOUNDARY, ZONES, EXCLUSIONS, STRIPS, LAB, POINTS, GUIDANCE = (
    "farm",
    "boundary",
    "zones",
    "exclusions",
    "strips",
    "lab",
    "points",
    "guidance",
)


@dataclass(frozen=True, slots=True)
class GivenFiles:
    """Files by the part they play; None where none was given."""

    farm: Path | None = None
    boundary: Path | None = None
    zones: Path | None = None
    exclusions: Path | None = None
    strips: Path | None = None
    lab: Path | None = None
    points: Path | None = None
    guidance: Path | None = None


def is_raster(path: Path) -> bool:
    """Whether a file is one that lies under the zones of a paddock, by the end of its name."""
    return path.suffix.casefold() in {".tif", ".tiff"}


def sorted_by_part(paths: list[Path]) -> GivenFiles:
    """Guess the part of each file from its kind and its contents.

    Raises
    ------
    InputFileError
        If a file's kind is unknown, or two files would play the same part.
    """
    given = GivenFiles()
    for path in paths:
        part = _part_of(path)
        if getattr(given, part) is not None:
            raise InputFileError(
                f"{getattr(given, part).name} and {path.name} both look like the {part}",
                mend="Give one of them, or tell them apart in the dialog (Ctrl+O)",
                file=path.name,
            )
        given = replace(given, **{part: path})
    return given


def _part_of(path: Path) -> str:
    """Which part a file plays."""
    from vrxapp.files.farm_file import is_farm_file  # heavy, so only when files are given
    from vrxapp.files.formats import known_formats, read_features
    from vrxapp.files.iso_guidance import holds_task_data
    from vrxapp.workflows.ground_files import layer_of_points

    ending = path.suffix.casefold()
    if ending == ".gpkg" and is_farm_file(path):
        return FARM
    if ending in {".csv", ".txt", ".xlsx"}:
        return LAB
    if ending in {".xml", ".zip"} and holds_task_data(path):
        return GUIDANCE
    if any(ending in suffixes for _, suffixes in known_formats()):
        return _part_of_features(read_features(path, layer=layer_of_points(path)))
    raise InputFileError(
        f"files ending in {ending or 'nothing'} cannot be opened yet",
        mend="Give GeoJSON, Shapefile, GeoPackage, KML or GPX for the ground, CSV or XLSX for the "
        "lab sheet, GeoTIFF for a map layer, or a farm file (.gpkg)",
        file=path.name,
    )


def _part_of_features(features: Features) -> str:
    """The part of a file of shapes: by its fields first, then by its shapes."""
    kinds = {shape.geom_type for shape in features.shapes}
    if any(texts(features, "setback_m")):
        return EXCLUSIONS
    if kinds == {"Point"}:
        return POINTS
    if any(texts(features, "kind")):
        return EXCLUSIONS
    if kinds <= {"LineString", "MultiLineString"}:
        is_ring = len(features.shapes) == 1 and bool(shapely.is_closed(features.shapes[0]))
        return BOUNDARY if is_ring else STRIPS
    if any(texts(features, "zone", "zone_name")) or len(features.shapes) > 1:
        return ZONES
    return BOUNDARY
