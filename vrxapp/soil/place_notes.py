"""Notes on rows of a laboratory sheet that belong to no place, or to two."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.ground.zones import comparable
from vrxapp.soil.results_table import ResultsTable

_NAMED_AT_MOST = 12


def unknown_zone_notes(
    table: ResultsTable, lost: NDArray[np.intp], *, rows: NDArray[np.intp], names: tuple[str, ...]
) -> tuple[Note, ...]:
    """One note for each zone name that no place has, and for each way its rows went."""
    by_zone: dict[tuple[str, bool], list[int]] = {}
    for row in lost:
        key = (comparable(table.zone_names[row]), bool(rows[row] >= 0))
        by_zone.setdefault(key, []).append(int(row))
    notes = []
    for (_, rescued), members in by_zone.items():
        fate = "placed by its position instead" if rescued else "not used"
        notes.append(
            Note(
                f"no zone is called {table.zone_names[members[0]]!r} "
                f"({_samples(table, members)}): {fate}",
                mend=f"Rename it to one of: {listed(names)}; or match the sample by hand",
                file=table.file,
                row=int(table.file_rows[members[0]]),
                column="zone",
                value=table.zone_names[members[0]],
            )
        )
    return tuple(notes)


def nowhere_notes(
    table: ResultsTable, lost: NDArray[np.intp], *, names: tuple[str, ...]
) -> tuple[Note, ...]:
    """Rows without a zone name: one note for all without a position, one for each with one."""
    told = np.isfinite(table.longitude_degree[lost]) & np.isfinite(table.latitude_degree[lost])
    mend = f"Write a zone beside it or match it by hand; the zones are: {listed(names)}"
    notes = [
        Note(
            f"no zone holds the position of sample {table.sample_ids[row]!r}, so it is not used",
            mend=mend,
            file=table.file,
            row=int(table.file_rows[row]),
            column="longitude, latitude",
            value=f"{table.longitude_degree[row]:.6f}, {table.latitude_degree[row]:.6f}",
        )
        for row in lost[told]
    ]
    if not np.all(told):
        members = lost[~told].tolist()
        notes.append(
            Note(
                f"neither a zone nor a position is told for {_samples(table, members)}: not used",
                mend=mend,
                file=table.file,
                row=int(table.file_rows[members[0]]),
                column="zone",
                value=table.zone_names[members[0]],
            )
        )
    return tuple(notes)


def astray_notes(
    table: ResultsTable,
    rows: NDArray[np.intp],
    *,
    positioned: NDArray[np.intp],
    names: tuple[str, ...],
) -> tuple[Note, ...]:
    """Rows whose position lies in another zone than the one they name."""
    return tuple(
        Note(
            f"sample {table.sample_ids[row]!r} names the zone {table.zone_names[row]!r} but "
            f"lies in {names[positioned[row]]!r}; the name is used",
            mend="Correct the zone or the position, or match the sample by hand",
            file=table.file,
            row=int(table.file_rows[row]),
            column="zone",
            value=table.zone_names[row],
        )
        for row in rows
    )


def _samples(table: ResultsTable, rows: list[int]) -> str:
    """The samples of some rows, by name."""
    names = list(dict.fromkeys(table.sample_ids[row] for row in rows))
    return f"sample{'s' if len(names) > 1 else ''} {listed(names)}"


def listed(names: Iterable[str]) -> str:
    """Names in a row; a long list says how many more there are."""
    known = list(dict.fromkeys(names))
    more = len(known) - _NAMED_AT_MOST
    return ", ".join(known[:_NAMED_AT_MOST]) + (f" and {more} more" if more > 0 else "")
