"""Lines of a lab sheet put together: one row for each sample, layer and replicate."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.header import is_wide
from vrxapp.files.lab_sheets.lines import Lines
from vrxapp.files.lab_sheets.paddocks import paddock_names
from vrxapp.files.lab_sheets.sample_textures import sample_textures
from vrxapp.files.lab_sheets.values import Measured
from vrxapp.soil.place_notes import listed
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable

_GIVE_REPLICATES = (
    "Give replicates a 'replicate' column, give each sample an id of its own, or correct one row"
)


@dataclass(frozen=True, slots=True, eq=False)
class _Groups:
    """The group of each line, and the first line of each group."""

    of_line: NDArray[np.intp]
    first_line: NDArray[np.intp]

    @property
    def are_single(self) -> bool:
        """Whether each line is a group of its own, as in most sheets."""
        return len(self.first_line) == np.count_nonzero(self.of_line >= 0)


def results_table(
    lines: Lines, found: Sequence[Measured], *, notes: Sequence[Note]
) -> ResultsTable:
    """One row for each sample, layer and replicate.

    Lines of the same sample, layer and replicate are put together. A result that
    stands there twice counts once.

    Parameters
    ----------
    lines : Lines
        The lines of the sheet.
    found : sequence of Measured
        Results; an analyte may come in several parts, as its units do.
    notes : sequence of Note
        What was doubtful so far.

    Raises
    ------
    InputFileError
        If two lines of one sample, layer and replicate disagree.
    """
    results = _by_analyte(found)
    used = np.zeros(len(lines.samples), dtype=np.bool_)
    for part in results:
        used[part.lines] = True
    kept = np.flatnonzero(used)
    groups = _grouped(lines, kept)
    columns = tuple(_merged(lines, part, groups=groups) for part in results)
    zone_line = _telling_line(lines, groups, keys=_zone_keys(lines), what="zone")
    place_line = _telling_line(
        lines, groups, keys=_position_keys(lines), what="longitude, latitude"
    )
    first = groups.first_line.tolist()
    paddocks, paddock_notes = paddock_names(lines, first)
    textures, texture_notes = sample_textures(lines, first)
    return ResultsTable(
        file=lines.sheet.file,
        file_rows=lines.rows[first],
        sample_ids=tuple(map(lines.samples.__getitem__, first)),
        zone_names=tuple(lines.zones[line] if line >= 0 else "" for line in zone_line.tolist()),
        longitude_degree=np.where(place_line < 0, np.nan, lines.longitude_degree[place_line]),
        latitude_degree=np.where(place_line < 0, np.nan, lines.latitude_degree[place_line]),
        depths_cm=tuple(map(lines.depths_cm.__getitem__, first)),
        columns=columns,
        notes=(
            *notes,
            *lines.notes,
            *paddock_notes,
            *texture_notes,
            *_shared_notes(lines, results, groups=groups),
            *_empty_notes(lines, columns, first=groups.first_line),
        ),
        paddock_names=paddocks,
        textures=textures,
    )


def _by_analyte(found: Sequence[Measured]) -> tuple[Measured, ...]:
    """The parts of each analyte joined, its lines in the order of the sheet."""
    joined = []
    for analyte in dict.fromkeys(part.analyte for part in found):
        parts = [part for part in found if part.analyte == analyte]
        if len(parts) == 1:
            joined += parts
            continue
        lines = np.concatenate([part.lines for part in parts])
        values = np.concatenate([part.values for part in parts])
        limits = np.concatenate([part.limits for part in parts])
        order = np.argsort(lines, kind="stable")
        joined.append(
            Measured(
                analyte,
                parts[0].column,
                lines[order],
                values[order],
                limits[order],
                "; ".join(dict.fromkeys(part.basis for part in parts if part.basis)),
            )
        )
    return tuple(joined)


def _grouped(lines: Lines, kept: NDArray[np.intp]) -> _Groups:
    """Lines of the same sample, layer and replicate; -1 for a line that is not kept."""
    of_line = np.full(len(lines.samples), -1, dtype=np.intp)
    # one sheet may hold sample 1 of several paddocks and growers
    told = (lines.samples, lines.depths_cm, lines.replicates, lines.paddocks, lines.growers)
    columns = [_compared(texts) for texts in told if any(texts)]
    # mostly the samples alone tell the lines apart
    if _differ(columns[0]) or _differ(keys := list(zip(*columns, strict=True))):
        of_line[kept] = np.arange(len(kept))
        return _Groups(of_line, kept)
    first: dict[tuple[str, ...], int] = {}
    numbers: dict[int, int] = {}
    for line in kept.tolist():
        at = first.setdefault(keys[line], line)
        of_line[line] = numbers.setdefault(at, len(numbers))
    return _Groups(of_line, np.array(list(numbers), dtype=np.intp))


def _differ(keys: Sequence[Hashable]) -> bool:
    """Whether no two are the same."""
    return len(set(keys)) == len(keys)


def _compared(texts: tuple[str, ...]) -> list[str]:
    """Texts of the lines as they are compared."""
    # spare blanks are gone from the lines already, so only the case is left to even out
    return list(map(str.casefold, texts))


def _first_of_each(groups: NDArray[np.intp], count: int) -> NDArray[np.intp]:
    """Where each group occurs first in a column of groups; -1 where it does not."""
    present, at = np.unique(groups, return_index=True)
    first = np.full(count, -1, dtype=np.intp)
    first[present] = at
    return first


def _merged(lines: Lines, part: Measured, *, groups: _Groups) -> AnalyteColumn:
    """One analyte's results, one row a group."""
    count = len(groups.first_line)
    values, limits = np.full(count, np.nan), np.full(count, "", dtype="<U1")
    told = np.flatnonzero(~np.isnan(part.values))
    group = groups.of_line[part.lines[told]]
    values[group], limits[group] = part.values[told], part.limits[told]
    if not groups.are_single:
        _refuse_disagreement(lines, part, told=told, groups=groups)
    return AnalyteColumn(part.analyte, values, limits, part.basis)


def _refuse_disagreement(
    lines: Lines, part: Measured, *, told: NDArray[np.intp], groups: _Groups
) -> None:
    """Refuse two results of one group that differ."""
    group = groups.of_line[part.lines[told]]
    first = _first_of_each(group, len(groups.first_line))
    of_first = told[first[group]]
    # two units may leave a difference in the last digit
    differs = ~np.isclose(part.values[told], part.values[of_first], rtol=1e-9, atol=0.0) | (
        part.limits[told] != part.limits[of_first]
    )
    if np.any(differs):
        index = int(np.flatnonzero(differs)[0])
        raise _disagreement(lines, part, earlier=int(of_first[index]), later=int(told[index]))


def _disagreement(lines: Lines, part: Measured, *, earlier: int, later: int) -> InputFileError:
    """The error for two results of one sample that differ."""
    one, other = (f"{part.limits[i]}{part.values[i]:g}" for i in (earlier, later))
    line, before = part.lines[later], lines.rows[part.lines[earlier]]
    return InputFileError(
        f"{_named(lines, int(line))} has two results of {part.analyte.name}: {one} in row "
        f"{before} and {other} in row {lines.rows[line]}",
        mend=_GIVE_REPLICATES,
        file=lines.sheet.file,
        row=int(lines.rows[line]),
        column=part.column,
        value=other,
    )


def _named(lines: Lines, line: int) -> str:
    """A line's sample with its layer and replicate, as people say it."""
    depth, replicate = lines.depths_cm[line], lines.replicates[line]
    layer = f" at {depth} cm" if depth else ""
    paddock = f" of {lines.paddocks[line]}" if lines.paddocks[line] else ""
    return f"sample {lines.samples[line]!r}{paddock}{layer}" + (
        f", replicate {replicate!r}," if replicate else ""
    )


def _zone_keys(lines: Lines) -> tuple[str, ...]:
    """The zone of each line as it is compared; empty where not told."""
    return tuple(_compared(lines.zones))


def _position_keys(lines: Lines) -> tuple[str, ...]:
    """The position of each line as it is compared; empty where not told."""
    if np.all(np.isnan(lines.longitude_degree)):
        return ("",) * len(lines.samples)
    pairs = zip(lines.longitude_degree.tolist(), lines.latitude_degree.tolist(), strict=True)
    return tuple("" if east != east else f"{east!r}, {north!r}" for east, north in pairs)


def _telling_line(
    lines: Lines, groups: _Groups, *, keys: tuple[str, ...], what: str
) -> NDArray[np.intp]:
    """The first line of each group that tells where it lies; -1 where none does."""
    if groups.are_single:
        is_told = list(map(bool, keys))
        return np.where(np.array(is_told)[groups.first_line], groups.first_line, -1)
    column = np.array(keys, dtype=str)
    told = np.flatnonzero((column != "") & (groups.of_line >= 0))
    group = groups.of_line[told]
    first = _first_of_each(group, len(groups.first_line))
    differs = np.flatnonzero(column[told] != column[told[first[group]]])
    if len(differs):
        later = int(told[differs[0]])
        earlier = int(told[first[group[differs[0]]]])
        raise InputFileError(
            f"{_named(lines, later)} lies in two places: {keys[earlier]!r} in row "
            f"{lines.rows[earlier]} and {keys[later]!r} in row {lines.rows[later]}",
            mend=_GIVE_REPLICATES,
            file=lines.sheet.file,
            row=int(lines.rows[later]),
            column=what,
            value=keys[later],
        )
    return np.where(first < 0, -1, told[first] if len(told) else -1)


def _shared_notes(
    lines: Lines, results: Sequence[Measured], *, groups: _Groups
) -> tuple[Note, ...]:
    """Notes on lines that repeat or, in a wide sheet, add to an earlier line of their sample."""
    if groups.are_single:
        return ()
    count = len(lines.samples)
    told, repeated = np.zeros(count, dtype=np.intp), np.zeros(count, dtype=np.intp)
    for part in results:
        with_result = part.lines[~np.isnan(part.values)]
        told[with_result] += 1
        group = groups.of_line[with_result]
        first = with_result[_first_of_each(group, len(groups.first_line))[group]]
        repeated[with_result[first != with_result]] += 1
    again = (told > 0) & (told == repeated)
    adding = ~again & (groups.of_line >= 0) & is_wide(lines.header)
    adding[groups.first_line] = False
    return (
        *_line_note(lines, again, verb="repeats", fate="and is left out"),
        *_line_note(lines, adding, verb="adds to", fate="and is put together with it"),
    )


def _line_note(
    lines: Lines, chosen: NDArray[np.bool_], *, verb: str, fate: str
) -> tuple[Note, ...]:
    """One note for all lines that share a fate, naming the rows."""
    found = np.flatnonzero(chosen)
    if not len(found):
        return ()
    line = int(found[0])
    others = listed(str(lines.rows[i]) for i in found[1:])
    return (
        Note(
            f"the row {verb} an earlier one of {_named(lines, line)} {fate}"
            + (f"; rows alike: {others}" if others else ""),
            mend=_GIVE_REPLICATES,
            file=lines.sheet.file,
            row=int(lines.rows[line]),
            column="sample",
            value=lines.samples[line],
        ),
    )


def _empty_notes(
    lines: Lines, columns: tuple[AnalyteColumn, ...], *, first: NDArray[np.intp]
) -> tuple[Note, ...]:
    """A note on samples without a single result."""
    empty = np.flatnonzero(np.all([np.isnan(column.values) for column in columns], axis=0))
    if not len(empty):
        return ()
    samples = listed(lines.samples[first[row]] for row in empty)
    return (
        Note(
            f"no result that is used stands beside {len(empty)} of the samples: {samples}",
            mend="Check whether results are missing there",
            file=lines.sheet.file,
            row=int(lines.rows[first[empty[0]]]),
            column="sample",
            value=lines.samples[first[empty[0]]],
        ),
    )
