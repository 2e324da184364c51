"""What has risen or fallen since the last test, zone by zone or sample by sample."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.farm import Farm
from vrxapp.ground.zones import comparable
from vrxapp.prescription.zone_results import row_places
from vrxapp.season import Season
from vrxapp.soil.by_place import RowMatch, results_by_place
from vrxapp.soil.history import ChangeSince, change_since
from vrxapp.soil.results_table import ResultsTable, column_of


def earlier_season(farm: Farm, season: Season) -> Season | None:
    """The last season before this one, in the farm's order, of the same paddock and with tests.

    Parameters
    ----------
    farm : Farm
        The farm; its seasons stand in the order in which they were made.
    season : Season
        The season that is looked at.
    """
    wanted, found = comparable(season.paddock.name), None
    for other in farm.seasons:
        if other.id == season.id:
            return found
        if comparable(other.paddock.name) == wanted and other.tests is not None:
            found = other
    return found


@lru_cache(maxsize=64)
def zone_changes(
    season: Season,
    before: ResultsTable,
    *,
    depth_cm: str,
    matches: tuple[RowMatch, ...] = (),
) -> tuple[ChangeSince, ...]:
    """The change of each zone since an older sheet, for every test that both hold.

    Parameters
    ----------
    season : Season
        The season, with its tests.
    before : ResultsTable
        The older sheet; its rows are joined to the zones as they are now.
    depth_cm : str
        Layer that is compared; empty for rows that tell none. [cm]
    matches : tuple of RowMatch, optional
        Samples of the older sheet joined by hand, as `matches_before` gives them.

    Raises
    ------
    GroundError
        If not one sample of a sheet lies in the paddock.
    """
    if season.tests is None:
        return ()
    now = row_places(season.tests, season.zones, season.paddock, season.row_matches).rows
    then = row_places(before, season.zones, season.paddock, matches).rows
    count = len(season.zones.names)
    return _changes((before, then), (season.tests, now), place_count=count, depth_cm=depth_cm)


def matches_before(earlier: Season, season: Season) -> tuple[RowMatch, ...]:
    """The hand-made matches of an earlier season, by the zones of the same name now."""
    now = {comparable(n): i for n, i in zip(season.zones.names, season.zones.ids, strict=True)}
    names = dict(zip(earlier.zones.ids, map(comparable, earlier.zones.names), strict=True))
    return tuple(
        RowMatch(match.sample_id, now[names[match.place_id]])
        for match in earlier.row_matches
        if names.get(match.place_id) in now
    )


def sample_changes(
    tests: ResultsTable, before: ResultsTable, *, samples: tuple[str, ...], depth_cm: str
) -> tuple[ChangeSince, ...]:
    """The change of each sample since an older sheet in which it has the same id.

    Parameters
    ----------
    tests, before : ResultsTable
        The sheet and the older one.
    samples : tuple of str
        The samples, each once.
    depth_cm : str
        Layer that is compared; empty for rows that tell none. [cm]
    """
    index = {comparable(sample): place for place, sample in enumerate(samples)}

    def joined(table: ResultsTable) -> tuple[ResultsTable, NDArray[np.intp]]:
        found = [index.get(comparable(sample), -1) for sample in table.sample_ids]
        return table, np.array(found, dtype=np.intp)

    return _changes(joined(before), joined(tests), place_count=len(samples), depth_cm=depth_cm)


def _changes(
    then: tuple[ResultsTable, NDArray[np.intp]],
    now: tuple[ResultsTable, NDArray[np.intp]],
    *,
    place_count: int,
    depth_cm: str,
) -> tuple[ChangeSince, ...]:
    """Changes of every test that both sheets hold."""
    both = [c.analyte.key for c in now[0].columns if column_of(then[0], c.analyte.key) is not None]
    return tuple(
        change_since(
            *(
                results_by_place(
                    table, key, place_of_row=rows, place_count=place_count, depth_cm=depth_cm
                )
                for table, rows in (then, now)
            )
        )
        for key in both
    )
