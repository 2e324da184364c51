"""Exclusions and ground points of a season out of a file in any known format of shapes."""

from pathlib import Path

import numpy as np
import shapely

from vrxapp.edits.ground import FARTHEST_POINT_M, add_exclusions, add_points
from vrxapp.errors import InputFileError, MissingInputError, Note
from vrxapp.files.formats import opened_format, read_features
from vrxapp.ground.exclusions import ExclusionKind, excluded_shape
from vrxapp.ground.features import Features, texts
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.season import Season
from vrxapp.workflows.open_files import exclusions_from

WAYPOINTS = "waypoints"


def exclusions_from_file(
    season: Season,
    path: Path,
    *,
    layer: str = "",
    crs: str = "",
    kind: ExclusionKind = ExclusionKind.OTHER,
    setback_m: float = 0.0,
) -> tuple[Season, tuple[Note, ...]]:
    """The season with the exclusions of a file too.

    Parameters
    ----------
    season : Season
        The season.
    path : Path
        Polygons, lines or points; their fields ``kind``, ``name`` and ``setback_m`` count.
    layer, crs : str, optional
        Which layer, and the coordinate system of a file that names none.
    kind, setback_m : optional
        For those that tell none. [m]

    Returns
    -------
    tuple of Season and tuple of Note
        The season, and which exclusions of the file lie outside this paddock.

    Raises
    ------
    VrxError
        If the file cannot be used, or none of its shapes takes ground of the paddock.
    """
    features = read_features(path, layer=layer, crs=crs)
    found = exclusions_from(features, season.paddock.crs, kind=kind, setback_m=setback_m)
    shapes = np.array([excluded_shape(e) for e in found], dtype=object)
    takes = shapely.area(shapely.intersection(shapes, season.paddock.boundary)) > 0.0
    if not np.any(takes):
        raise InputFileError(
            f"not one of its {len(found)} shapes takes ground of {season.paddock.name!r}",
            mend="Check that the file belongs to this paddock",
            file=path.name,
        )
    inside = [e for e, used in zip(found, takes.tolist(), strict=True) if used]
    notes = (*features.notes, *far_notes(len(found) - len(inside), len(found), file=path.name))
    return add_exclusions(season, inside), notes


def points_from_file(
    season: Season,
    path: Path,
    *,
    layer: str = "",
    crs: str = "",
    kind: GroundPointKind | None = None,
) -> tuple[Season, tuple[Note, ...]]:
    """The season with the ground points of a file too, such as waypoints of a phone.

    Parameters
    ----------
    season : Season
        The season.
    path : Path
        Points; the fields ``kind`` (or ``type``), ``name`` and ``note`` (or ``desc``, ``cmt``)
        tell what each is.
    layer, crs : str, optional
        Which layer, and the coordinate system of a file that names none.
    kind : GroundPointKind, optional
        Kind of those that tell none.

    Returns
    -------
    tuple of Season and tuple of Note
        The season, and what was left out.

    Raises
    ------
    VrxError
        If the file cannot be used, or a point has a kind that is not known.
    """
    features = read_features(path, layer=layer or layer_of_points(path), crs=crs)
    are_points = shapely.get_type_id(features.shapes) == shapely.GeometryType.POINT
    if not np.any(are_points):
        raise InputFileError(
            "it holds no points",
            mend="Give gates, dump sites and others as points",
            file=path.name,
        )
    shapes = transformed(features.shapes, from_crs=LON_LAT, to_crs=season.paddock.crs)
    kinds, names = texts(features, "kind", "type"), texts(features, "name")
    notes, rows = texts(features, "note", "desc", "cmt"), np.flatnonzero(are_points).tolist()
    points = [
        GroundPoint(
            names[row] or f"Point {row + 1}",
            _kind_of(kinds[row], kind, row=row, features=features),
            float(shapes[row].x),
            float(shapes[row].y),
            notes[row],
        )
        for row in rows
    ]
    away_m = shapely.distance(shapes[rows], season.paddock.boundary)
    near = [p for p, away in zip(points, away_m.tolist(), strict=True) if away <= FARTHEST_POINT_M]
    if not near:
        raise InputFileError(
            f"not one of its points lies within 50 km of {season.paddock.name!r}",
            mend="Check that the file belongs to this paddock",
            file=path.name,
        )
    told = (*features.notes, *far_notes(len(points) - len(near), len(points), file=path.name))
    return add_points(season, near), told


def layer_of_points(path: Path) -> str:
    """The layer of waypoints in a file that holds routes or tracks too; empty for others."""
    layers = opened_format(path).layers(path)
    return WAYPOINTS if len(layers) > 1 and WAYPOINTS in layers else ""


def known_point_kind(text: str) -> GroundPointKind | None:
    """The kind that a text names, without regard to case, spaces, hyphens and underscores."""
    return next((kind for kind in GroundPointKind if _letters(kind) == _letters(text)), None)


def _kind_of(
    text: str, usual: GroundPointKind | None, *, row: int, features: Features
) -> GroundPointKind:
    found = known_point_kind(text) or (None if text else usual)
    if found is not None:
        return found
    known = ", ".join(map(str, GroundPointKind))
    if text:
        raise InputFileError(
            f"feature {row + 1}: the kind {text!r} is not known",
            mend=f"Write one of: {known}",
            file=features.file,
            column="kind",
            value=text,
        )
    raise MissingInputError(
        f"feature {row + 1} does not tell what it marks",
        mend=f"Give it a field kind, or choose a kind for all that tell none: {known}",
        file=features.file,
    )


def _letters(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalpha())


def far_notes(
    count: int, total: int, *, file: str, lie: str = "shapes lie outside"
) -> tuple[Note, ...]:
    """A note on how many shapes of a file lie too far away to be this paddock's, if any do."""
    if not count:
        return ()
    return (
        Note(
            f"{count} of its {total} {lie} this paddock and are left out",
            mend="Nothing needs doing unless they are of this one",
            file=file,
        ),
    )
