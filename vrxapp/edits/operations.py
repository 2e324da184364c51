"""Edits of a season's passes: add and remove one, its humate and seed row, and the lime plan."""

from collections.abc import Callable
from dataclasses import replace

from vrxapp.errors import UnknownChoiceError
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.need_plans import LimePlan
from vrxapp.season import HumateShare, Operation, Season


def add_operation(season: Season, operation: Operation) -> Season:
    """Plan another pass after those that are there.

    Raises
    ------
    UnknownChoiceError
        If a pass of this name or id is there already.
    """
    taken = {name.casefold() for o in season.operations for name in (o.id, o.name)}
    if taken & {operation.id.casefold(), operation.name.casefold()}:
        raise UnknownChoiceError(
            f"an operation is called {operation.name!r} already", mend="Give it another name"
        )
    return replace(season, operations=(*season.operations, operation))


def remove_operation(season: Season, operation_id: str) -> Season:
    """Take a pass out of the plan; the last one stays.

    Raises
    ------
    UnknownChoiceError
        If it is the only one.
    """
    kept = tuple(o for o in season.operations if o.id != operation_id)
    if not kept:
        raise UnknownChoiceError(
            "this is the only operation of the season", mend="Add another one first"
        )
    return season if len(kept) == len(season.operations) else replace(season, operations=kept)


def set_humate(season: Season, operation_id: str, humate: HumateShare | None) -> Season:
    """Let humate travel with a pass's product, or none."""
    return _with(season, operation_id, lambda o: replace(o, humate=humate))


def set_seed_row(season: Season, operation_id: str, seed_row: SeedRow | None) -> Season:
    """Place a pass's product with the seed, or spread it over the ground."""
    return _with(season, operation_id, lambda o: replace(o, seed_row=seed_row))


def _with(season: Season, operation_id: str, change: Callable[[Operation], Operation]) -> Season:
    """The season with one pass changed; the same season where that changes nothing."""
    operations = tuple(
        changed if o.id == operation_id and repr(changed := change(o)) != repr(o) else o
        for o in season.operations
    )
    same = all(a is b for a, b in zip(operations, season.operations, strict=True))
    return season if same else replace(season, operations=operations)


def set_lime_plan(season: Season, plan: LimePlan | None) -> Season:
    """Work lime out in another way, or not at all."""
    return season if repr(plan) == repr(season.lime) else replace(season, lime=plan)


def free_operation_id(season: Season) -> str:
    """An id that no pass of the season has yet."""
    taken = {o.id for o in season.operations}
    number = len(taken) + 1
    while f"operation-{number}" in taken:
        number += 1
    return f"operation-{number}"
