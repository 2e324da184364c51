"""Edits of a season's guidance lines."""

from collections.abc import Sequence
from dataclasses import replace

import shapely

from vrxapp.edits.ground import row_named
from vrxapp.errors import GroundError
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.zone_names import free_name
from vrxapp.season import Season

FARTHEST_LINE_M = 2_000.0
"""A line farther from its paddock than this is another paddock's. [m]"""


def add_guidance(season: Season, lines: Sequence[GuidanceLine]) -> Season:
    """Keep more guidance lines; one whose name is taken gets a number.

    Raises
    ------
    GroundError
        If a line lies farther than 2 km from the paddock.
    """
    known = list(season.guidance)
    for line in lines:
        if not is_near(season, line):
            raise GroundError(
                f"the guidance line {line.name!r} lies more than {FARTHEST_LINE_M / 1e3:g} km from "
                f"{season.paddock.name!r}",
                mend="Check that the file belongs to this paddock",
            )
        name = free_name([k.name for k in known], line.name, usual="Line")
        known.append(replace(line, name=name))
    return season if not lines else replace(season, guidance=tuple(known))


def remove_guidance(season: Season, row: int) -> Season:
    """Take a guidance line away."""
    known = season.guidance
    return replace(season, guidance=(*known[:row], *known[row + 1 :]))


def is_near(season: Season, line: GuidanceLine) -> bool:
    """Whether a line lies in the paddock or not far from it."""
    return bool(shapely.distance(line.line, season.paddock.boundary) <= FARTHEST_LINE_M)


def guidance_row(season: Season, name: str) -> int:
    """The row of the guidance line with this name.

    Raises
    ------
    UnknownChoiceError
        If there is none, or several; the mend lists what there is.
    """
    return row_named([g.name for g in season.guidance], name, "guidance line")
