"""Rows of a lab sheet given to paddocks, zones and layers, as a person confirmed them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import Farm, with_season
from vrxapp.ground.zones import comparable
from vrxapp.season import Season
from vrxapp.soil.by_place import RowMatch
from vrxapp.soil.results_table import ResultsTable, chosen_rows
from vrxapp.soil.sheet_matching import layer_cm


@dataclass(frozen=True, slots=True)
class RowPlace:
    """Where one row of a sheet is from.

    Parameters
    ----------
    season_id : str, optional
        The season whose paddock it is from; empty leaves the row out.
    zone_id : str, optional
        Its zone; empty leaves that to its position.
    depth_cm : str, optional
        Its layer, for instance ``"0-10"``; empty where it is not told. [cm]
    """

    season_id: str = ""
    zone_id: str = ""
    depth_cm: str = ""


def use_rows(farm: Farm, table: ResultsTable, places: Sequence[RowPlace]) -> Farm:
    """Give the rows of a sheet to the seasons of a farm.

    Parameters
    ----------
    farm : Farm
        The farm.
    table : ResultsTable
        The whole sheet, of one or several paddocks.
    places : sequence of RowPlace
        Where each row is from.

    Returns
    -------
    Farm
        Each season that gets rows has these as its tests, and nothing of an older
        sheet; the other seasons stay as they were.

    Raises
    ------
    MissingInputError
        If every row is left out.
    UnknownChoiceError
        If a season, zone or layer is unknown, or the places do not fit the rows.
    """
    if len(places) != len(table.sample_ids):
        raise UnknownChoiceError(
            f"{len(places)} places do not fit the {len(table.sample_ids)} rows of the sheet",
            file=table.file,
        )
    known = {season.id: season for season in farm.seasons}
    rows_of: dict[str, list[int]] = {}
    for row, place in enumerate(places):
        if place.season_id:
            rows_of.setdefault(place.season_id, []).append(row)
    if not rows_of:
        raise MissingInputError(
            "no row of the sheet is from a paddock of this farm",
            mend="Give at least one row a paddock",
            file=table.file,
        )
    for season_id, rows in rows_of.items():
        if season_id not in known:
            raise UnknownChoiceError(f"the farm has no season {season_id!r}")
        told = [places[row] for row in rows]
        farm = with_season(farm, _with_rows(known[season_id], chosen_rows(table, rows), told))
    return farm


def _with_rows(season: Season, rows: ResultsTable, places: Sequence[RowPlace]) -> Season:
    """A season with rows as its tests, each with the zone and the layer it was given."""
    names = dict(zip(season.zones.ids, season.zones.names, strict=True))
    for place in places:
        if place.zone_id and place.zone_id not in names:
            raise UnknownChoiceError(
                f"the paddock {season.paddock.name!r} has no zone {place.zone_id!r}",
                mend=f"Choose one of: {', '.join(season.zones.names)}",
            )
    tests = replace(
        rows,
        zone_names=tuple(names.get(place.zone_id, "") for place in places),
        depths_cm=tuple(layer_cm(place.depth_cm) for place in places),
    )
    return replace(season, tests=tests, row_matches=_matches(rows, places))


def _matches(rows: ResultsTable, places: Sequence[RowPlace]) -> tuple[RowMatch, ...]:
    """Matches by sample, which outlive a new name of the zone, where a sample has one zone."""
    zones_of: dict[str, set[str]] = {}
    for sample, place in zip(rows.sample_ids, places, strict=True):
        zones_of.setdefault(comparable(sample), set()).add(place.zone_id)
    first = {comparable(sample): sample for sample in reversed(rows.sample_ids)}
    return tuple(
        RowMatch(first[sample], next(iter(zones)))
        for sample, zones in zones_of.items()
        if len(zones) == 1 and "" not in zones
    )
