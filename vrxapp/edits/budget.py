"""Edits of the season's budget: how much money there is, and who gets it first."""

from dataclasses import replace

from vrxapp.season import Season, SeasonBudget


def set_budget(season: Season, budget: SeasonBudget | None) -> Season:
    """Keep the passes to this money, or to no limit."""
    return season if budget == season.budget else replace(season, budget=budget)


def set_priority(season: Season, order: tuple[str, ...]) -> Season:
    """Give the money to operations in this order of ids; without a budget nothing changes."""
    if season.budget is None:
        return season
    return set_budget(season, replace(season.budget, order=order))
