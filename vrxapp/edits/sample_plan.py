"""Edits of a season's sample plan."""

from dataclasses import replace

from vrxapp.ground.sample_plan import SamplePlan
from vrxapp.season import Season


def set_sample_plan(season: Season, plan: SamplePlan | None) -> Season:
    """Keep a sample plan with the season, in the place of an older one, or keep none."""
    return season if plan is season.sample_plan else replace(season, sample_plan=plan)
