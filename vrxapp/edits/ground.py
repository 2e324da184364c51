"""Edits of the Ground stage: exclusions with their setbacks, and points to find or avoid.

Zones stay as they are: they tile the whole paddock, and exclusions are cut away later.
"""

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError, MissingInputError, UnknownChoiceError
from vrxapp.ground.exclusions import Exclusion, ExclusionKind, excluded_shape
from vrxapp.ground.ground_points import GroundPoint
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.zone_names import free_name
from vrxapp.ground.zones import comparable
from vrxapp.season import Season

FARTHEST_POINT_M = 50_000.0
"""A point farther from its paddock than this is a slip of the coordinates. [m]"""
_LEAST_LEFT_M2 = 1.0


def add_exclusions(season: Season, exclusions: Sequence[Exclusion]) -> Season:
    """Leave more ground out, after what is left out already.

    Parameters
    ----------
    season : Season
        The season.
    exclusions : sequence of Exclusion
        What to leave out; one whose name is taken, or that has none, gets a number.

    Raises
    ------
    GroundError
        If one crosses itself or lies outside the paddock, or no ground would be left.
    """
    known = list(season.paddock.exclusions)
    for exclusion in exclusions:
        _require_some_ground(season.paddock, exclusion)
        usual = exclusion.kind.capitalize()
        name = free_name([e.name for e in known], exclusion.name, usual=usual)
        known.append(replace(exclusion, name=name))
    return _with_exclusions(season, tuple(known))


def change_exclusion(
    season: Season,
    row: int,
    *,
    name: str | None = None,
    kind: ExclusionKind | None = None,
    setback_m: float | None = None,
) -> Season:
    """Call an exclusion otherwise, or give it another kind or setback; None keeps a part.

    Raises
    ------
    GroundError
        If the setback is no distance, or no ground would be left.
    MissingInputError
        If the name is empty.
    UnknownChoiceError
        If another exclusion has the name.
    """
    before = season.paddock.exclusions[row]
    others = [e.name for i, e in enumerate(season.paddock.exclusions) if i != row]
    after = Exclusion(
        before.name if name is None else _own_name(others, name, "an exclusion"),
        before.kind if kind is None else kind,
        before.shape,
        before.setback_m if setback_m is None else setback_m,
    )
    if (after.name, after.kind, after.setback_m) == (before.name, before.kind, before.setback_m):
        return season
    _require_some_ground(season.paddock, after)
    known = season.paddock.exclusions
    return _with_exclusions(season, (*known[:row], after, *known[row + 1 :]))


def remove_exclusion(season: Season, row: int) -> Season:
    """Take an exclusion away, so that its ground is spread again."""
    known = season.paddock.exclusions
    return _with_exclusions(season, (*known[:row], *known[row + 1 :]))


def add_points(season: Season, points: Sequence[GroundPoint]) -> Season:
    """Mark more places; one whose name is taken gets a number.

    Raises
    ------
    GroundError
        If one lies farther than 50 km from the paddock.
    """
    known = list(season.ground_points)
    for point in points:
        _require_near(season.paddock, point)
        name = free_name([p.name for p in known], point.name, usual=point.kind.capitalize())
        known.append(replace(point, name=name))
    return season if not points else replace(season, ground_points=tuple(known))


def change_point(season: Season, row: int, point: GroundPoint) -> Season:
    """Put another point in the place of one: moved, renamed, of another kind.

    Raises
    ------
    GroundError
        If it lies farther than 50 km from the paddock.
    UnknownChoiceError
        If another point has the name.
    """
    known = season.ground_points
    if point == known[row]:
        return season
    _require_near(season.paddock, point)
    others = [p.name for i, p in enumerate(known) if i != row]
    after = replace(point, name=_own_name(others, point.name, "a point"))
    return replace(season, ground_points=(*known[:row], after, *known[row + 1 :]))


def move_point(season: Season, row: int, easting_m: float, northing_m: float) -> Season:
    """Put a point elsewhere; see `change_point`."""
    moved = replace(season.ground_points[row], easting_m=easting_m, northing_m=northing_m)
    return change_point(season, row, moved)


def remove_point(season: Season, row: int) -> Season:
    """Take a point away."""
    known = season.ground_points
    return replace(season, ground_points=(*known[:row], *known[row + 1 :]))


def exclusion_row(season: Season, name: str) -> int:
    """The row of the exclusion with this name.

    Raises
    ------
    UnknownChoiceError
        If there is none, or several; the mend lists what there is.
    """
    return row_named([e.name for e in season.paddock.exclusions], name, "exclusion")


def point_row(season: Season, name: str) -> int:
    """The row of the ground point with this name; see `exclusion_row`."""
    return row_named([p.name for p in season.ground_points], name, "ground point")


def row_named(names: Sequence[str], name: str, what: str) -> int:
    """The row of a name, without regard to case and spaces.

    Raises
    ------
    UnknownChoiceError
        If there is none, or several; the mend lists what there is.
    """
    rows = [row for row, known in enumerate(names) if comparable(known) == comparable(name)]
    if len(rows) == 1:
        return rows[0]
    if rows:
        raise UnknownChoiceError(
            f"{len(rows)} are called {name!r}", mend="Rename them on the map, so that one is meant"
        )
    raise UnknownChoiceError(
        f"no {what} is called {name!r}", mend=f"Choose one of: {', '.join(names) or 'none yet'}"
    )


def _with_exclusions(season: Season, exclusions: tuple[Exclusion, ...]) -> Season:
    """The season with other exclusions; the same one where they are the same."""
    if exclusions == season.paddock.exclusions:
        return season
    paddock = replace(season.paddock, exclusions=exclusions)
    left = shapely.difference(paddock.boundary, excluded_ground(paddock))
    if left.area < _LEAST_LEFT_M2:
        raise GroundError(
            f"the exclusions of {paddock.name!r} would leave no ground to spread",
            mend="Give smaller setbacks, or leave one out",
        )
    return replace(season, paddock=paddock)


def _require_some_ground(paddock: Paddock, exclusion: Exclusion) -> None:
    """Refuse a shape that crosses itself, and one that takes nothing of the paddock."""
    if not exclusion.shape.is_valid:
        raise GroundError(
            f"the outline of {exclusion.name or 'the exclusion'!r} crosses itself",
            mend="Draw it again, corner by corner round it",
        )
    if not _takes_ground(paddock, excluded_shape(exclusion)):
        raise GroundError(
            f"{exclusion.name or 'the exclusion'!r} takes no ground of {paddock.name!r}: it lies "
            "outside, farther away than its setback",
            mend="Draw it inside the paddock, or give a larger setback",
        )


def _takes_ground(paddock: Paddock, shape: BaseGeometry) -> bool:
    return bool(shapely.intersection(shape, paddock.boundary).area > 0.0)


def _require_near(paddock: Paddock, point: GroundPoint) -> None:
    away_m = float(
        shapely.distance(shapely.Point(point.easting_m, point.northing_m), paddock.boundary)
    )
    if away_m > FARTHEST_POINT_M:
        raise GroundError(
            f"{point.name!r} lies {away_m / 1e3:,.0f} km from {paddock.name!r}",
            mend="Check its coordinates; longitude comes first",
        )


def _own_name(taken: Sequence[str], wanted: str, what: str) -> str:
    """The wanted name, if nothing else has it."""
    name = " ".join(wanted.split())
    if not name:
        raise MissingInputError(f"{what} needs a name", mend="Give it one")
    if comparable(name) in {comparable(known) for known in taken}:
        raise UnknownChoiceError(f"{name!r} is taken already", mend="Give it another name")
    return name
