"""What the user should know of a humate's policy, of the season's cap, and of the product."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.humate_break_even import CUT_IS_NO_PROOF
from vrxapp.agronomy.humate_credits import NOT_ACCEPTED
from vrxapp.agronomy.humate_plan import HumatePlan
from vrxapp.agronomy.humate_policy import HumatePolicy, policy_limit, policy_notes
from vrxapp.errors import Note
from vrxapp.inputs.humate_acceptance import WATER_TEST, HumateTest, humate_acceptance
from vrxapp.prescription.mix import mix_share_percent
from vrxapp.prescription.rate_steps import MeteredRates
from vrxapp.prescription.season_humate import HumateLoad, policy_of
from vrxapp.season import HumateShare, Operation
from vrxapp.units import KILOGRAMS_PER_TONNE


def zones_told(names: tuple[str, ...], where: NDArray[np.bool_]) -> str:
    """The names of some zones in a sentence; "every zone" for all of several.

    Examples
    --------
    >>> zones_told(("West", "East", "Hill"), np.array([True, False, True]))
    'West and Hill'
    """
    chosen = [name for name, is_so in zip(names, where, strict=True) if is_so]
    if len(chosen) == len(names) > 1:
        return "every zone"
    return " and ".join(part for part in (", ".join(chosen[:-1]), *chosen[-1:]) if part)


def humate_notes(
    load: HumateLoad, rates: MeteredRates, operation: Operation, zone_names: tuple[str, ...]
) -> tuple[Note, ...]:
    """What the humate does in this plan: warnings, the season, and whether one mix can hold it."""
    humate = operation.humate
    if humate is None:
        return ()
    return (
        *_warnings(load.season, humate, zone_names),
        *_season_notes(load, humate, zone_names),
        *((Note(CUT_IS_NO_PROOF),) if np.any(load.cut_kg_ha > 0) else ()),
        *_mix_notes(rates, operation),
    )


def policy_told(operation: Operation) -> tuple[Note, ...]:
    """What is always told with the choice, whatever the rates: limits of the policy, the product.

    Raises
    ------
    MissingInputError
        If the policy asks for a price that is not known.
    """
    humate = operation.humate
    if humate is None:
        return ()
    return (*_limit_notes(policy_of(humate)), *_acceptance_notes(humate))


def _warnings(season: HumatePlan, humate: HumateShare, names: tuple[str, ...]) -> tuple[Note, ...]:
    """Where the policy does what it warns of."""
    told = (
        (
            season.is_overload,
            f"the humate reaches its {humate.cap_kg_ha:g} kg/ha on a fertiliser of which nothing "
            "is cut",
            "More humate on a full rate is money more likely lost: lay a check strip",
        ),
        (
            season.is_held_by_phosphorus,
            "less is cut than the policy asks, for the phosphorus that must stay or because no "
            "soil test tells it",
            "Below its critical value all that the harvest carries away is kept",
        ),
        (
            season.is_small_rate,
            f"a cut falls on {policy_limit('small_rate').value:g} kg/ha of fertiliser or less",
            "What comes off is nutrients that the crop does not get; common is no cut there",
        ),
    )
    return tuple(
        Note(f"{words} (in {zones_told(names, where)})", mend=mend)
        for where, words, mend in told
        if np.any(where)
    )


def _season_notes(
    load: HumateLoad, humate: HumateShare, names: tuple[str, ...]
) -> tuple[Note, ...]:
    """What the other passes of the season do to this one."""
    notes = [
        Note(
            f"the humate of {passed.operation.name!r} is not counted for the season's cap, since "
            f"its rate cannot be told yet: {passed.doubt}"
        )
        for passed in load.uncounted
    ]
    if load.is_one_of_several and np.any(load.season.is_capped):
        notes.append(
            Note(
                f"all operations of the season together ask for more humate than the cap of "
                f"{humate.cap_kg_ha:g} kg/ha (in {zones_told(names, load.season.is_capped)}); "
                "the first ones get theirs first",
                mend="Splitting a rate over operations lifts no cap",
            )
        )
    return tuple(notes)


def _mix_notes(rates: MeteredRates, operation: Operation) -> tuple[Note, ...]:
    """Whether one mix can hold what the zones get."""
    product, dose = rates.product_kg_ha, rates.humate_kg_ha
    if not np.isnan(mix_share_percent(product, dose)):
        return ()
    kg_t = KILOGRAMS_PER_TONNE * dose[product > 0] / product[product > 0]
    return (
        Note(
            f"one mix cannot do this: the humate is from {np.min(kg_t):.0f} to "
            f"{np.max(kg_t):.0f} kg to a tonne of {operation.product.name}",
            mend="Meter the two from two bins, or mix for each zone by the note for the "
            "contractor; the rates are of both together",
        ),
    )


def _limit_notes(policy: HumatePolicy) -> tuple[Note, ...]:
    """What is told with the policy, and where the choice goes past what is common."""
    return tuple(
        Note(f"{limit.told.rstrip('.')} [{limit.source}; {limit.grade}]")
        for limit in policy_notes(policy)
    )


def _acceptance_notes(humate: HumateShare) -> tuple[Note, ...]:
    """What the product may not be credited with, and what to ask its supplier."""
    found = humate_acceptance(humate.test)
    notes = [Note(doubt) for doubt in found.doubts]
    if not found.is_accepted:
        # where nothing at all was told, the list would only repeat that
        is_untold = repr(humate.test) == repr(HumateTest())
        missing = "" if is_untold else f" ({'; '.join(found.missing)})"
        notes.append(Note(f"{humate.product.name}: {NOT_ACCEPTED}{missing}", mend=WATER_TEST))
    return tuple(notes)
