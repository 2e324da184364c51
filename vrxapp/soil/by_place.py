"""Results of each place: which place a row belongs to, and the mean over its samples."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note, SoilInputError, UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import Analyte, analyte
from vrxapp.soil.detection_limits import substituted
from vrxapp.soil.place_notes import astray_notes, listed, nowhere_notes, unknown_zone_notes
from vrxapp.soil.place_textures import place_textures
from vrxapp.soil.results_table import AnalyteColumn, Limit, ResultsTable, column_of


@dataclass(frozen=True, slots=True)
class RowMatch:
    """A sample that the user joined to a place by hand."""

    sample_id: str
    place_id: str


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PlaceResults:
    """Results of one analyte, one row a place; all columns are read-only.

    Parameters
    ----------
    analyte : Analyte
        What was measured, and its unit.
    mean : ndarray of float
        Mean over the samples of a place; NaN where there is none. [analyte.unit]
    count : ndarray of int
        Number of samples; replicates of a sample count once.
    standard_error : ndarray of float
        Standard error of the mean; NaN for fewer than two samples. [analyte.unit]
    beyond_limit : ndarray of int
        Number of results that are only known to lie beyond a limit.
    basis : str, optional
        What they were worked out from where they are an estimate; empty where measured.
    textures : ndarray of str, optional
        Texture of the samples of a place, see `place_textures`; no entry where the sheet
        tells none.
    """

    analyte: Analyte
    mean: NDArray[np.float64]
    count: NDArray[np.intp]
    standard_error: NDArray[np.float64]
    beyond_limit: NDArray[np.intp]
    basis: str = ""
    textures: NDArray[np.str_] = field(default_factory=lambda: np.array([], dtype=str))

    def __post_init__(self) -> None:
        """Close the columns to writing."""
        numbers = (self.mean, self.count, self.standard_error, self.beyond_limit)
        for column in (*numbers, self.textures):
            column.setflags(write=False)


def place_of_rows(
    table: ResultsTable,
    *,
    place_names: tuple[str, ...],
    place_ids: tuple[str, ...],
    matches: tuple[RowMatch, ...],
    located: NDArray[np.intp],
) -> tuple[NDArray[np.intp], tuple[Note, ...]]:
    """The place of each row: by hand-made match, else by zone name, else by position.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    place_names, place_ids : tuple of str
        What people and the program call each place.
    matches : tuple of RowMatch
        Samples joined to places by hand.
    located : ndarray of int
        Place found from the position of each row; -1 for none.

    Returns
    -------
    tuple of ndarray of int and tuple of Note
        Index of the place of each row, -1 for none, and what was doubtful.

    Raises
    ------
    UnknownChoiceError
        If a match names an unknown sample or place, or a sample has two matches.
    """
    by_name = {comparable(name): place for place, name in enumerate(place_names)}
    zones = [comparable(name) for name in table.zone_names]
    named = np.array([by_name.get(zone, -1) for zone in zones], dtype=np.intp)
    by_sample = _hand_made(table, matches, place_ids=place_ids)
    matched = np.array(
        [by_sample.get(comparable(sample), -1) for sample in table.sample_ids], dtype=np.intp
    )
    positioned = np.asarray(located, dtype=np.intp)
    rows = np.where(matched >= 0, matched, np.where(named >= 0, named, positioned))
    nameless = np.array([zone == "" for zone in zones], dtype=bool)
    unknown = (matched < 0) & (named < 0) & ~nameless
    astray = (matched < 0) & (named >= 0) & (positioned >= 0) & (named != positioned)
    notes = (
        *unknown_zone_notes(table, np.flatnonzero(unknown), rows=rows, names=place_names),
        *nowhere_notes(table, np.flatnonzero((rows < 0) & nameless), names=place_names),
        *astray_notes(table, np.flatnonzero(astray), positioned=positioned, names=place_names),
    )
    return rows, notes


def _hand_made(
    table: ResultsTable, matches: tuple[RowMatch, ...], *, place_ids: tuple[str, ...]
) -> dict[str, int]:
    """The place of each sample that was matched by hand."""
    samples = {comparable(sample) for sample in table.sample_ids}
    places = {comparable(place): index for index, place in enumerate(place_ids)}
    found: dict[str, int] = {}
    for match in matches:
        sample, place = comparable(match.sample_id), comparable(match.place_id)
        if sample not in samples:
            raise _unknown_match(table, "sample", name=match.sample_id, known=table.sample_ids)
        if place not in places:
            raise _unknown_match(table, "place", name=match.place_id, known=place_ids)
        if found.setdefault(sample, places[place]) != places[place]:
            raise UnknownChoiceError(
                f"sample {match.sample_id!r} is matched to two places by hand",
                mend="Keep one of the two matches",
                file=table.file,
                value=match.sample_id,
            )
    return found


def _unknown_match(
    table: ResultsTable, what: str, *, name: str, known: Iterable[str]
) -> UnknownChoiceError:
    """The error for a hand-made match whose sample or place is not there."""
    return UnknownChoiceError(
        f"a match made by hand names the {what} {name!r}, which is not there",
        mend=f"Take the match out, or choose one of: {listed(known)}",
        file=table.file,
        column=what,
        value=name,
    )


def results_by_place(
    table: ResultsTable,
    analyte_key: str,
    *,
    place_of_row: NDArray[np.intp],
    place_count: int,
    depth_cm: str,
) -> PlaceResults:
    """Mean, number of samples and standard error of one analyte for each place.

    Replicates of a sample are averaged first, then samples. The order of rows and of
    places changes nothing.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    analyte_key : str
        Key of the analyte.
    place_of_row : ndarray of int
        Place of each row; -1 for none.
    place_count : int
        Number of places.
    depth_cm : str
        Layer asked for, for instance ``"0-10"``; rows of another one are left out and
        a row without a depth counts as this one. [cm]

    Returns
    -------
    PlaceResults
        NaN and count 0 where a place has no result.

    Raises
    ------
    SoilInputError
        If `place_of_row` does not have one place, or -1, for each row.

    References
    ----------
    .. [1] program-choice. What stands in for a result beyond a limit.
    """
    place = np.asarray(place_of_row, dtype=np.intp)
    if place.shape != (len(table.sample_ids),) or np.any((place < -1) | (place >= place_count)):
        raise SoilInputError(
            f"the places of the rows do not fit {len(table.sample_ids)} rows and "
            f"{place_count} places",
            mend="Join the rows to the places again",
            file=table.file,
        )
    column = column_of(table, analyte_key) or _empty_column(table, analyte_key)
    used = np.flatnonzero((place >= 0) & np.isfinite(column.values) & _at_depth(table, depth_cm))
    place_of_sample, means = _sample_means(table, column, used=used, place=place)
    count, mean, error = _mean_and_error(place_of_sample, means, place_count=place_count)
    limited = used[column.limits[used] != Limit.NONE]
    beyond = np.bincount(place[limited], minlength=place_count)
    textures = place_textures(table, rows=used, place_of_row=place, place_count=place_count)
    return PlaceResults(column.analyte, mean, count, error, beyond, column.basis, textures)


def depth_notes(table: ResultsTable, analyte_key: str, *, depth_cm: str) -> tuple[Note, ...]:
    """How many results of an analyte are left out for their depth, or do not tell it.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    analyte_key : str
        Key of the analyte.
    depth_cm : str
        Layer asked for, for instance ``"0-10"``. [cm]
    """
    column = column_of(table, analyte_key) or _empty_column(table, analyte_key)
    depths = np.array(table.depths_cm, dtype=str)
    told = np.isfinite(column.values)
    other, blank = told & ~_at_depth(table, depth_cm), told & (depths == "")
    notes = []
    if np.any(other):
        layers = ", ".join(sorted(set(depths[other].tolist())))
        notes.append(
            Note(
                f"{column.analyte.name} at {depth_cm} cm leaves out {int(np.sum(other))} of its "
                f"results, which are of {layers} cm",
                mend=f"Nothing needs doing unless these are {depth_cm} cm samples",
                file=table.file,
                row=int(table.file_rows[other][0]),
                column="depth",
                value=str(depths[other][0]),
            )
        )
    if np.any(blank):
        notes.append(
            Note(
                f"{column.analyte.name} at {depth_cm} cm counts {int(np.sum(blank))} of its "
                "results whose depth is not told",
                mend="Add a depth column if they are of another layer",
                file=table.file,
                row=int(table.file_rows[blank][0]),
                column="depth",
            )
        )
    return tuple(notes)


def rows_at_depth(table: ResultsTable, depth_cm: str) -> NDArray[np.intp]:
    """Rows of a layer, and those that tell none, which count as it. [cm]"""
    return np.flatnonzero(_at_depth(table, depth_cm))


def _empty_column(table: ResultsTable, analyte_key: str) -> AnalyteColumn:
    """A column without a single result, for an analyte that the sheet lacks."""
    rows = len(table.sample_ids)
    return AnalyteColumn(analyte(analyte_key), np.full(rows, np.nan), np.full(rows, "", "<U1"))


def _at_depth(table: ResultsTable, depth_cm: str) -> NDArray[np.bool_]:
    """Rows of the layer asked for, and those that tell none."""
    depths = np.array(table.depths_cm, dtype=str)
    return np.asarray((depths == depth_cm) | (depths == ""), dtype=bool)


def _sample_means(
    table: ResultsTable, column: AnalyteColumn, *, used: NDArray[np.intp], place: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Place and mean of each sample over its replicates."""
    ids = np.strings.lower(np.array(table.sample_ids, dtype=str))
    names, sample = np.unique(ids, return_inverse=True)
    values = substituted(column.values[used], column.limits[used])
    both = place[used] * len(names) + sample[used]
    # sums run in an order that does not depend on the order of the rows
    order = np.lexsort((values, both))
    keys, group = np.unique(both[order], return_inverse=True)
    count = np.bincount(group, minlength=len(keys))
    means = np.bincount(group, weights=values[order], minlength=len(keys)) / count
    return keys // max(len(names), 1), means


def _mean_and_error(
    place: NDArray[np.intp], values: NDArray[np.float64], *, place_count: int
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.float64]]:
    """Number of samples, mean and standard error of the mean for each place."""
    count = np.bincount(place, minlength=place_count)
    mean, error = np.full(place_count, np.nan), np.full(place_count, np.nan)
    total = np.bincount(place, weights=values, minlength=place_count)
    np.divide(total, count, out=mean, where=count > 0)
    squares = np.bincount(place, weights=(values - mean[place]) ** 2, minlength=place_count)
    np.divide(squares, count * (count - 1.0), out=error, where=count > 1)
    return count, mean, np.sqrt(error)
