"""What the zones of a season, or others for it, explain of its soil tests and map layers."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note, UnknownChoiceError, VrxError, begun
from vrxapp.files.linked_rasters import open_linked
from vrxapp.ground.grid_layers import raster_on_grid
from vrxapp.ground.zone_worth import (
    LIKELY_CHANCE,
    ZoneWorth,
    worth_by_raster,
    worth_by_samples,
    worth_in_words,
)
from vrxapp.ground.zoning_grid import zoning_grid
from vrxapp.progress import Progress, Unwatched
from vrxapp.season import Season
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.placed_samples import placed_samples

WORTH_CELL_M = 5.0
_SEVERAL = 5
"""From this many tests on, one may look explained by chance alone, and that is told."""


@dataclass(frozen=True, slots=True)
class WorthLine:
    """What zones explain of one soil test or map layer, or why that cannot be told.

    Parameters
    ----------
    name : str
        Key of the test, or name of the layer.
    is_layer : bool
        Whether it is a map layer.
    worth : ZoneWorth or None
        The figures; None where they cannot be worked out.
    words : str
        What they mean, or why there are none.
    """

    name: str
    is_layer: bool
    worth: ZoneWorth | None
    words: str


def worth_of_zones(
    season: Season,
    zones: NDArray[np.object_],
    *,
    tests: ResultsTable | None = None,
    wanted: tuple[str, ...] = (),
    progress: Progress | None = None,
) -> tuple[WorthLine, ...]:
    """What zones explain of each soil test that has positions, and of each linked raster.

    Parameters
    ----------
    season : Season
        Its tests and its map layers are asked.
    zones : ndarray of shapely geometry
        The season's zones, or others for its paddock. [m]
    tests : ResultsTable, optional
        A sheet to ask instead of the season's own.
    wanted : tuple of str, optional
        Keys of tests and names of layers; all without any.
    progress : Progress, optional
        Who is told how far it is, and may stop it.

    Returns
    -------
    tuple of WorthLine
        Tests first. A test with too few samples has a line that says so; a sheet without any
        position has one line for all its tests.

    Raises
    ------
    UnknownChoiceError
        If something is wanted that the season does not have.
    """
    sheet = tests if tests is not None else season.tests
    keys = [] if sheet is None else [column.analyte.key for column in sheet.columns]
    _require_known(wanted, (*keys, *(layer.name for layer in season.layers)))
    lines = []
    if sheet is not None and not np.any(np.isfinite(sheet.longitude_degree)):
        lines, keys = [_without_positions(sheet)], []
    asked = [(key, False) for key in keys] + [(layer.name, True) for layer in season.layers]
    asked = [(name, is_layer) for name, is_layer in asked if not wanted or name in wanted]
    watch = progress or Unwatched()
    for done, (name, is_layer) in enumerate(asked, start=1):
        watch.step(done, len(asked), f"Comparing zones with {name}")
        lines.append(_line(season, sheet, zones, name, is_layer=is_layer))
    return tuple(lines)


def sure_only_together(lines: tuple[WorthLine, ...]) -> str:
    """A warning where so many tests are asked that one looks explained by chance; else nothing."""
    chances = [line.worth.chance for line in lines if line.worth and not line.is_layer]
    if len(chances) < _SEVERAL or not any(chance <= LIKELY_CHANCE for chance in chances):
        return ""
    return (
        f"{len(chances)} tests were compared: of 20 that zones have nothing to do with, about "
        "one looks explained by chance alone"
    )


def told_worth(lines: tuple[WorthLine, ...]) -> tuple[str, ...]:
    """A sentence for each test and layer, and how far to trust them together."""
    said = [line.words for line in lines] or [
        "there is no soil test with positions and no map layer to judge the zones by"
    ]
    warning = sure_only_together(lines)
    names = [line.name for line in lines]
    return tuple(f"{begun(words, *names).rstrip('.')}." for words in [*said, warning] if words)


def _require_known(wanted: tuple[str, ...], known: tuple[str, ...]) -> None:
    """Refuse a name that is neither a test nor a layer."""
    for name in wanted:
        if name not in known:
            raise UnknownChoiceError(
                f"there is no soil test and no map layer {name!r}",
                mend=f"Choose one of: {', '.join(known) or 'none yet'}",
            )


def _without_positions(sheet: ResultsTable) -> WorthLine:
    """One line for all tests of a sheet that tells no positions."""
    where = f"in {sheet.file} " if sheet.file else ""
    return WorthLine(
        "soil tests",
        is_layer=False,
        worth=None,
        words=str(
            Note(
                f"{where}no sample has a position, so zones cannot be judged by its tests",
                mend="Use a sheet with a longitude and a latitude for each sample",
            )
        ),
    )


def _line(
    season: Season,
    sheet: ResultsTable | None,
    zones: NDArray[np.object_],
    name: str,
    *,
    is_layer: bool,
) -> WorthLine:
    """What zones explain of one thing."""
    try:
        if is_layer:
            grid = zoning_grid(season.paddock, WORTH_CELL_M)
            linked = next(layer for layer in season.layers if layer.name == name)
            layer = raster_on_grid(open_linked(linked), grid, name=linked.name)
            worth = worth_by_raster(layer, grid, zones)
        else:
            assert sheet is not None
            points = placed_samples(sheet, name, season.paddock.crs).points
            worth = worth_by_samples(replace(points, name=analyte(name).name), zones)
    except VrxError as error:
        return WorthLine(name, is_layer, None, str(error))
    return WorthLine(name, is_layer, worth, worth_in_words(worth))
