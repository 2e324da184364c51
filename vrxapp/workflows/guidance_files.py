"""Guidance lines of a season out of task data or any known format of shapes."""

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from vrxapp.edits.guidance import add_guidance, is_near
from vrxapp.errors import InputFileError, Note
from vrxapp.files.formats import read_features
from vrxapp.files.iso_guidance import holds_task_data, read_iso_guidance
from vrxapp.ground.features import Features, numbers, texts
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.season import Season
from vrxapp.workflows.ground_files import far_notes


@dataclass(frozen=True, slots=True)
class GuidanceMachine:
    """What counts for lines that do not tell it themselves.

    Parameters
    ----------
    name : str
        The machine, in the user's words.
    swath_m, wheel_track_m : float
        From pass to pass, and from wheel track to wheel track; NaN where not known. [m]
    """

    name: str = ""
    swath_m: float = math.nan
    wheel_track_m: float = math.nan


def guidance_from_file(
    season: Season,
    path: Path,
    machine: GuidanceMachine,
    *,
    layer: str = "",
    crs: str = "",
) -> tuple[Season, tuple[Note, ...]]:
    """The season with the guidance lines of a file too.

    Parameters
    ----------
    season : Season
        The season.
    path : Path
        Task data (``TASKDATA.XML``, also in a zip), or lines in any known format; the fields
        ``name``, ``machine``, ``swath_m`` and ``wheel_track_m`` tell what each is.
    machine : GuidanceMachine
        For lines that do not tell it.
    layer, crs : str, optional
        Which layer, and the coordinate system of a file that names none.

    Returns
    -------
    tuple of Season and tuple of Note
        The season, and what was left out.

    Raises
    ------
    VrxError
        If the file cannot be used, or none of its lines lies near the paddock.
    """
    is_iso = holds_task_data(path)
    features = read_iso_guidance(path) if is_iso else read_features(path, layer=layer, crs=crs)
    lines = _lines(features, season.paddock.crs, machine)
    near = [line for line in lines if is_near(season, line)]
    if not near:
        raise InputFileError(
            f"not one of its {len(lines)} lines lies near {season.paddock.name!r}"
            if lines
            else "it holds no lines",
            mend="Check that the file belongs to this paddock",
            file=path.name,
        )
    far = far_notes(len(lines) - len(near), len(lines), file=path.name, lie="lines lie far from")
    return add_guidance(season, near), (*features.notes, *far)


def _lines(features: Features, crs: str, machine: GuidanceMachine) -> list[GuidanceLine]:
    """All lines of a layer; each part of one that comes in several is a line."""
    shapes = transformed(features.shapes, from_crs=LON_LAT, to_crs=crs)
    names, machines = texts(features, "name"), texts(features, "machine")
    swaths_m = np.nan_to_num(numbers(features, "swath_m"), nan=machine.swath_m)
    tracks_m = np.nan_to_num(numbers(features, "wheel_track_m"), nan=machine.wheel_track_m)
    return [
        GuidanceLine(
            names[row] or f"Line {row + 1}",
            machines[row] or machine.name,
            part,
            float(swaths_m[row]),
            float(tracks_m[row]),
        )
        for row, shape in enumerate(shapes)
        for part in shapely.get_parts(shape)
        if part.geom_type == "LineString"
    ]
