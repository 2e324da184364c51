"""Edits of the Tests stage: samples joined to zones by hand, and the layers they are from."""

from dataclasses import replace

from vrxapp.errors import UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.season import Season
from vrxapp.soil.by_place import RowMatch
from vrxapp.soil.results_table import ResultsTable
from vrxapp.soil.sheet_matching import layer_cm


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
    _with_sample(season, sample_id)
    match = RowMatch(sample_id, ids[comparable(zone_name)])
    if match in season.row_matches:
        return season
    others = tuple(m for m in season.row_matches if m.sample_id != sample_id)
    return replace(season, row_matches=(*others, match))


def tell_layer(season: Season, sample_id: str, layer: str) -> Season:
    """Say from which layer a sample is, where the sheet does not or is wrong.

    Parameters
    ----------
    season : Season
        The season.
    sample_id : str
        The sample; all its rows are told.
    layer : str
        For instance ``"0-10"``. [cm]

    Raises
    ------
    UnknownChoiceError
        If the sheet has no such sample, or it is no layer.
    """
    tests = _with_sample(season, sample_id)
    depth_cm = layer_cm(layer)
    depths_cm = tuple(
        depth_cm if sample == sample_id else before
        for sample, before in zip(tests.sample_ids, tests.depths_cm, strict=True)
    )
    if depths_cm == tests.depths_cm:
        return season
    return replace(season, tests=replace(tests, depths_cm=depths_cm))


def _with_sample(season: Season, sample_id: str) -> ResultsTable:
    """The season's tests, which have this sample."""
    samples = season.tests.sample_ids if season.tests else ()
    if season.tests is None or sample_id not in samples:
        raise UnknownChoiceError(
            f"the lab sheet has no sample {sample_id!r}",
            mend=f"Choose one of: {', '.join(dict.fromkeys(samples)) or 'none, open a lab sheet'}",
        )
    return season.tests
