"""What compost, manure and litter bring towards a need: the least that is published, once."""

import math
from dataclasses import dataclass

from vrxapp.agronomy.organic_dressing import (
    ELEMENTS,
    SEASONS_AFTER,
    OrganicDressing,
    SeasonRelease,
    carried_kg_ha,
    season_releases,
)
from vrxapp.agronomy.trail import TrailStep, filled, printed_value
from vrxapp.errors import Note
from vrxapp.need_plans import SYMBOLS, Purpose
from vrxapp.season import Season


@dataclass(frozen=True, slots=True, eq=False)
class DressingCredit:
    """What all dressings bring towards a need.

    Parameters
    ----------
    kg_ha : float
        Sum of what is counted. [kg/ha of the element]
    steps : tuple of TrailStep
        One step for each dressing that is counted.
    notes : tuple of Note
        Why another one is not.
    """

    kg_ha: float
    steps: tuple[TrailStep, ...]
    notes: tuple[Note, ...]


def dressing_credit(season: Season, purpose: Purpose) -> DressingCredit:
    """What a season's dressings bring towards a need.

    The least of the published range is counted, and only where it was told for a season.
    A dressing that the soil test already holds is not counted again.
    """
    symbol = SYMBOLS.get(purpose, "")
    if symbol not in ELEMENTS:
        return DressingCredit(0.0, (), ())
    total, steps, notes = 0.0, [], list(_double_notes(season, purpose))
    for number, dressing in enumerate(season.dressings, start=1):
        release = _release(dressing, symbol)
        doubt = _doubt(dressing, symbol, release)
        if doubt is not None:
            notes.append(doubt)
        elif release is not None:
            total += release.least_kg_ha
            steps.append(_step(dressing, release, name=f"dressing_{number}", season=season))
    return DressingCredit(total, tuple(steps), tuple(notes))


def _release(dressing: OrganicDressing, symbol: str) -> SeasonRelease | None:
    """What becomes available in the planned season, if that is published."""
    releases = season_releases(dressing.analysis, symbol, dressing.wet_t_ha)
    return next((r for r in releases if r.season == SEASONS_AFTER[dressing.year]), None)


def _doubt(dressing: OrganicDressing, symbol: str, release: SeasonRelease | None) -> Note | None:
    """Why nothing of a dressing is counted; None where it is."""
    name = dressing.analysis.name
    carried = carried_kg_ha(dressing.analysis, symbol, dressing.wet_t_ha)
    if math.isnan(carried):
        return Note(
            f"the analysis of {name} tells no {symbol}, so none is counted",
            mend="Give it from the batch's own analysis",
        )
    all_of_it = f"of the {printed_value(carried)} kg {symbol}/ha in {name} nothing is counted"
    if dressing.is_in_test:
        return Note(f"{all_of_it}: the soil was tested after it was spread and holds part of it")
    if release is None:
        return Note(f"{all_of_it}: what becomes available of it in this season is not published")
    if not release.can_be_counted:
        return Note(
            f"{all_of_it}: {_range(release)} kg/ha was found in a laboratory, and a field may "
            "give much less",
            mend="Lower the need yourself if you know better",
        )
    return None


def _range(release: SeasonRelease) -> str:
    """Least to most, or the one figure there is."""
    least, most = printed_value(release.least_kg_ha), printed_value(release.most_kg_ha)
    return least if least == most else f"{least} to {most}"


def _step(
    dressing: OrganicDressing, release: SeasonRelease, *, name: str, season: Season
) -> TrailStep:
    """What is counted of a dressing, with the range and where it comes from."""
    symbol, published = release.element, release.published
    called = dressing.analysis.name.replace("{", "{{").replace("}", "}}")
    carried = printed_value(carried_kg_ha(dressing.analysis, symbol, dressing.wet_t_ha))
    return TrailStep(
        name,
        f"counted of {dressing.analysis.name}",
        f"kg {symbol}/ha",
        filled(release.least_kg_ha, len(season.zones.ids)),
        f"{called}, {dressing.wet_t_ha:g} t/ha as spread {dressing.year}, carries {carried} kg "
        f"{symbol}/ha, of which {_range(release)} kg/ha is published to become available in "
        f"season {release.season} after spreading ({published.setting}; {published.where}). "
        f"The least, {{{name}}} kg/ha, is counted.",
        source=published.source,
        grade=published.grade,
    )


def _double_notes(season: Season, purpose: Purpose) -> tuple[Note, ...]:
    """Nitrogen of manure that was also told by hand."""
    plan = season.nitrogen
    if purpose is not Purpose.NITROGEN or not season.dressings or plan is None:
        return ()
    if not plan.other_n_kg_ha > 0:
        return ()
    return (
        Note(
            f"the nitrogen plan counts {plan.other_n_kg_ha:g} kg N/ha from manure and water, and "
            "dressings are listed as well",
            mend="If it is the same manure, set that figure to zero or remove the dressing",
        ),
    )
