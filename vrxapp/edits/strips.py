"""Edits of the Strips stage: lay and take up check strips."""

from dataclasses import replace

from vrxapp.season import Season
from vrxapp.trials.strips import CheckStrip


def lay_strips(season: Season, strips: tuple[CheckStrip, ...]) -> Season:
    """Leave these strips untreated, beside those that are there."""
    return replace(season, strips=(*season.strips, *strips)) if strips else season


def take_up_strip(season: Season, name: str) -> Season:
    """Treat a strip again; the same season if none has this name."""
    kept = tuple(strip for strip in season.strips if strip.name != name)
    return season if len(kept) == len(season.strips) else replace(season, strips=kept)
