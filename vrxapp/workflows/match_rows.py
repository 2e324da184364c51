"""Where the rows of a lab sheet are from: proposals for a person to look at."""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from vrxapp.edits.sheet_rows import RowPlace, use_rows
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import Farm, season_called
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.sample_plan import bags_of
from vrxapp.ground.zones import comparable
from vrxapp.prescription.zone_results import row_places
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.soil.sheet_matching import MatchProposal, depth_in, layer_cm, proposed_matches


@dataclass(frozen=True, slots=True)
class ProposedPlace:
    """Where one row seems to be from.

    Parameters
    ----------
    place : RowPlace
        The proposal; empty parts are not known.
    why : str
        What says so.
    question : str, optional
        What a person should settle; empty where nothing is open.
    can_wait : bool, optional
        Whether the row can be used as it is: a row without a layer counts for every one.
    """

    place: RowPlace
    why: str
    question: str = ""
    can_wait: bool = True


def proposed_places(farm: Farm, table: ResultsTable) -> tuple[ProposedPlace, ...]:
    """Where each row of a sheet seems to be from.

    What the sheet itself tells goes before the bags of the season's sample plan, these before
    what was confirmed for a sample of the same name last time, and that before what the
    sample's name says.

    Parameters
    ----------
    farm : Farm
        The farm whose paddocks and zones the rows may be from.
    table : ResultsTable
        The sheet.

    Returns
    -------
    tuple of ProposedPlace
        One for each row.
    """
    known = _Known(
        farm,
        table,
        _named(farm, table),
        _remembered(farm),
        _seasons_by_position(farm, table),
        {season.id: _planned_places(season) for season in farm.seasons},
    )
    return tuple(_proposal(known, row) for row in range(len(table.sample_ids)))


def use_as_proposed(farm: Farm, table: ResultsTable) -> Farm:
    """Give the rows of a sheet to the seasons that they seem to be from.

    Raises
    ------
    MissingInputError
        If not one row seems to be from the farm.
    """
    return use_rows(farm, table, [found.place for found in proposed_places(farm, table)])


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of the rows: from the sheet, its names and positions, and from before."""

    farm: Farm
    table: ResultsTable
    named: dict[str, tuple[MatchProposal, ...]]
    before: dict[str, list[RowPlace]]
    by_position: tuple[Season | None, ...]
    planned: dict[str, dict[str, RowPlace]]

    def planned_places(self, row: int) -> list[RowPlace]:
        """Where bags of this name were planned, in any season."""
        bag = comparable(self.table.sample_ids[row])
        return [places[bag] for places in self.planned.values() if bag in places]

    def paddock_told(self, row: int) -> str:
        """The paddock that the sheet names in a row; empty where none."""
        return self.table.paddock_names[row] if self.table.paddock_names else ""

    def places_before(self, row: int) -> list[RowPlace]:
        """Where samples of this name were from last time."""
        return self.before.get(comparable(self.table.sample_ids[row]), [])


def _named(farm: Farm, table: ResultsTable) -> dict[str, tuple[MatchProposal, ...]]:
    """What columns and names of samples say, by the season whose zones are meant."""
    paddocks = [season.paddock.name for season in farm.seasons]
    return {
        season.id: proposed_matches(table, paddock_names=paddocks, zone_names=season.zones.names)
        for season in farm.seasons
    }


def _seasons_by_position(farm: Farm, table: ResultsTable) -> tuple[Season | None, ...]:
    """The season in whose paddock each sample was taken; None outside, and where several are."""
    found: list[Season | None] = [None] * len(table.sample_ids)
    rows = np.flatnonzero(np.isfinite(table.longitude_degree) & np.isfinite(table.latitude_degree))
    if not rows.size:
        return tuple(found)
    lon_lat = shapely.points(table.longitude_degree[rows], table.latitude_degree[rows])
    count = np.zeros(rows.size, dtype=int)
    for season in farm.seasons:
        spots = transformed(lon_lat, from_crs=LON_LAT, to_crs=season.paddock.crs)
        inside = shapely.intersects(season.paddock.boundary, spots)
        count += inside
        for row in rows[inside]:
            found[row] = season
    for row in rows[count > 1]:
        found[row] = None
    return tuple(found)


def _remembered(farm: Farm) -> dict[str, list[RowPlace]]:
    """Where the samples are from that the farm holds now, by their name."""
    memory: dict[str, list[RowPlace]] = {}
    for season in farm.seasons:
        tests = season.tests
        if tests is None:
            continue
        zones = row_places(tests, season.zones, season.paddock, season.row_matches).rows
        for row, sample in enumerate(tests.sample_ids):
            zone = season.zones.ids[zones[row]] if zones[row] >= 0 else ""
            memory.setdefault(comparable(sample), []).append(
                RowPlace(season.id, zone, tests.depths_cm[row])
            )
    return memory


def _planned_places(season: Season) -> dict[str, RowPlace]:
    """The zone in which all stops of each planned bag lie now, and the layer, by the bag's name.

    Zones may have been renamed or redrawn since; a bag whose stops lie in several has none.
    """
    plan = season.sample_plan
    if plan is None:
        return {}
    lon_lat = shapely.points(plan.longitude_degree, plan.latitude_degree)
    spots = transformed(lon_lat, from_crs=LON_LAT, to_crs=season.paddock.crs)
    tree = shapely.STRtree(season.zones.shapes)
    zone_of: dict[int, str] = {}
    for number, zone in zip(*tree.query(spots, predicate="intersects").tolist(), strict=True):
        zone_of.setdefault(number + 1, season.zones.ids[zone])
    depth = depth_in(plan.depth_cm)[0]
    places = {}
    for bag in bags_of(plan):
        zones = {zone_of.get(stop, "") for stop in bag.stops}
        zone_id = zones.pop() if len(zones) == 1 else ""
        places[comparable(bag.sample_id)] = RowPlace(season.id, zone_id, depth)
    return places


def _season_of(known: _Known, row: int) -> Season | None:
    """The season whose paddock a row is from; None where it cannot be told."""
    seasons = known.farm.seasons
    named = known.named[seasons[0].id][row].paddock
    if named is not None:
        return next(s for s in seasons if s.paddock.name == named)
    if known.paddock_told(row):
        return None  # a paddock of somebody else
    if known.by_position[row] is not None:
        return known.by_position[row]
    planned = {place.season_id for place in known.planned_places(row)}
    if len(planned) == 1:
        return next(s for s in seasons if s.id in planned)
    before = {place.season_id for place in known.places_before(row)}
    if len(before) == 1:
        return next(s for s in seasons if s.id in before)
    zoned = [s for s in seasons if _names_zone(known.named[s.id][row])]
    if len(zoned) == 1:
        return zoned[0]
    # where other rows name the paddock, a row that does not may well be of another one
    names_paddocks = any(found.paddock for found in known.named[seasons[0].id])
    return seasons[0] if len(seasons) == 1 and not names_paddocks else None


def _names_zone(found: MatchProposal) -> bool:
    """Whether a row names a zone in full; a part of its name says nothing of the paddock."""
    return found.zone is not None and not found.is_by_part


def _proposal(known: _Known, row: int) -> ProposedPlace:
    """The proposal for one row."""
    season = _season_of(known, row)
    if season is None:
        told = known.paddock_told(row)
        found = known.named[known.farm.seasons[0].id][row]
        why = f"the paddock {told!r} is not of this farm" if told else found.why
        place = RowPlace(depth_cm=found.depth_cm)
        return ProposedPlace(place, why, "" if told else "which paddock?", can_wait=bool(told))
    found = known.named[season.id][row]
    before = [p for p in known.places_before(row) if p.season_id == season.id]
    zone, depth, reasons = _zone_id(season, found.zone), found.depth_cm, [found.why]
    zones = {p.zone_id for p in before if p.zone_id}
    depths = {p.depth_cm for p in before if p.depth_cm}
    planned = [p for p in known.planned_places(row) if p.season_id == season.id]
    if not known.table.zone_names[row] and planned and planned[0].zone_id:
        zone = planned[0].zone_id
        reasons = ["bag of the sample plan", *([f"layer {depth} cm"] if depth else [])]
    elif not known.table.zone_names[row] and len(zones) == 1:
        zone = zones.pop()
        reasons.append("zone as last time")
    if not depth and planned and planned[0].depth_cm:
        depth = planned[0].depth_cm
        reasons.append("layer as planned")
    if not depth and len(depths) == 1:
        depth = depths.pop()
        reasons.append("layer as last time")
    settled = _judged(known.table, row, RowPlace(season.id, zone, depth), "; ".join(reasons))
    if zone and found.is_by_part and not before and not planned:
        question = f"{settled.question} is it so?".strip()
        return replace(settled, question=question, can_wait=False)
    return settled


def as_said(table: ResultsTable, row: int, place: RowPlace) -> ProposedPlace:
    """A place that a person gave a row, with what is still open.

    Parameters
    ----------
    table : ResultsTable
        The sheet.
    row : int
        Row of the table, counted from 0.
    place : RowPlace
        Where it is from.
    """
    return _judged(table, row, place, "as you said")


def _judged(table: ResultsTable, row: int, place: RowPlace, why: str) -> ProposedPlace:
    """A place with the questions that it leaves open."""
    if not place.season_id:
        return ProposedPlace(place, why)
    needs_zone = not place.zone_id and not _has_position(table, row)
    questions = [
        *(["which zone?"] if needs_zone else []),
        *([] if place.depth_cm else ["which layer?"]),
    ]
    return ProposedPlace(place, why, " ".join(questions), can_wait=not needs_zone)


def _zone_id(season: Season, name: str | None) -> str:
    if name is None:
        # a paddock with one zone leaves nothing to ask
        return season.zones.ids[0] if len(season.zones.ids) == 1 else ""
    return season.zones.ids[season.zones.names.index(name)]


def _has_position(table: ResultsTable, row: int) -> bool:
    longitude, latitude = table.longitude_degree[row], table.latitude_degree[row]
    return bool(np.isfinite(longitude) and np.isfinite(latitude))


def told_place(farm: Farm, text: str, *, before: RowPlace) -> RowPlace:
    """A place that a person wrote as ``PADDOCK/ZONE@LAYER``.

    Parameters
    ----------
    farm : Farm
        The farm.
    text : str
        Any part may be left out: ``Creek flat``, ``Long Bend/Creek flat``, ``@0-10``; a
        lone ``-`` leaves the row out.
    before : RowPlace
        Where the row was proposed to be from; what the text leaves out stays.

    Raises
    ------
    UnknownChoiceError
        If the farm has no such paddock or zone, or the layer is none.
    MissingInputError
        If a zone is told, but not of which of several paddocks.
    """
    if text.strip() == "-":
        return RowPlace()
    ground, _, layer = text.partition("@")
    paddock, _slash, zone = ground.rpartition("/")
    season_id = season_called(farm, paddock.strip()).id if paddock.strip() else before.season_id
    zone_id = before.zone_id if season_id == before.season_id else ""
    if zone.strip():
        season = next((s for s in farm.seasons if s.id == season_id), None)
        if season is None:
            raise MissingInputError(
                f"the zone {zone.strip()!r} needs its paddock",
                mend=f"Write PADDOCK/{zone.strip()}",
            )
        zone_id = _zone_called(season, zone.strip())
    return RowPlace(season_id, zone_id, layer_cm(layer) or before.depth_cm)


def _zone_called(season: Season, name: str) -> str:
    ids = {comparable(n): i for n, i in zip(season.zones.names, season.zones.ids, strict=True)}
    if comparable(name) not in ids:
        raise UnknownChoiceError(
            f"the paddock {season.paddock.name!r} has no zone {name!r}",
            mend=f"Choose one of: {', '.join(season.zones.names)}",
        )
    return ids[comparable(name)]
