"""Edits of the Tests stage: the lab sheet, and samples joined to zones by hand."""

from dataclasses import replace

from vrxapp.errors import UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.season import Season
from vrxapp.soil.by_place import RowMatch
from vrxapp.soil.results_table import ResultsTable


def set_tests(season: Season, tests: ResultsTable) -> Season:
    """Use another lab sheet; hand-made matches to samples that it lacks are dropped."""
    if tests is season.tests:
        return season
    kept = tuple(m for m in season.row_matches if m.sample_id in tests.sample_ids)
    return replace(season, tests=tests, row_matches=kept)


def match_sample(season: Season, sample_id: str, zone_name: str) -> Season:
    """Join a sample to a zone by hand; it stays joined when the zone is renamed.

    Raises
    ------
    UnknownChoiceError
        If the sheet has no such sample or the paddock no such zone.
    """
    ids = {comparable(n): i for n, i in zip(season.zones.names, season.zones.ids, strict=True)}
    if comparable(zone_name) not in ids:
        raise UnknownChoiceError(
            f"no zone is called {zone_name!r}",
            mend=f"Choose one of: {', '.join(season.zones.names)}",
        )
    samples = season.tests.sample_ids if season.tests else ()
    if sample_id not in samples:
        raise UnknownChoiceError(
            f"the lab sheet has no sample {sample_id!r}",
            mend=f"Choose one of: {', '.join(dict.fromkeys(samples)) or 'none, open a lab sheet'}",
        )
    match = RowMatch(sample_id, ids[comparable(zone_name)])
    if match in season.row_matches:
        return season
    others = tuple(m for m in season.row_matches if m.sample_id != sample_id)
    return replace(season, row_matches=(*others, match))
