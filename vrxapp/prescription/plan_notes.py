"""What is to be minded of a plan as a whole: strips too narrow, the budget, and cautions."""

from vrxapp.errors import Note
from vrxapp.prescription.budget_steps import BudgetReach
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.season import Operation, Season


def strip_notes(season: Season, operation: Operation) -> tuple[Note, ...]:
    """Strips so narrow that the passes beside them will throw into them."""
    swath_m = operation.machine.swath_width_m
    return tuple(
        Note(
            f"the check strip {strip.name!r} is {strip.width_m:g} m wide, less than one swath of "
            f"{swath_m:g} m, so no pass can leave it untreated",
            mend="Make it a whole number of swaths wide, best two or more",
        )
        for strip in season.strips
        if strip.width_m < swath_m
    )


def budget_notes(operation: Operation, reach: BudgetReach, *, lack: str) -> tuple[Note, ...]:
    """That the budget cuts a pass, or that the pass takes no part in it.

    Parameters
    ----------
    operation : Operation
        The pass.
    reach : BudgetReach
        How far the budget reaches for it.
    lack : str
        Why it takes no part in the budget; empty where it does.
    """
    if lack:
        return (
            Note(
                f"{operation.name} takes no part in the budget: {lack}",
                mend="Its cost comes on top of the budget until that is mended",
            ),
        )
    if reach.share >= 1.0:
        return ()
    return (Note(reach.words, mend="What falls short stands in the budget (vrxapp budget)"),)


def caution_notes(need: ZoneNeed) -> tuple[Note, ...]:
    """What to mind when that which serves a need is spread."""
    return tuple(map(Note, need.cautions))
