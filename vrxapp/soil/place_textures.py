"""The texture of each place, out of what the laboratory tells of its samples."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.soil.results_table import ResultsTable
from vrxapp.soil.textures import grades_called


def place_textures(
    table: ResultsTable,
    *,
    rows: NDArray[np.intp],
    place_of_row: NDArray[np.intp],
    place_count: int,
) -> NDArray[np.str_]:
    """The texture that most samples of a place are told to have.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    rows : ndarray of int
        Rows that count; each sample has one voice, however many replicates it has.
    place_of_row : ndarray of int
        Place of each row of the table; -1 for none.
    place_count : int
        Number of places.

    Returns
    -------
    ndarray of str
        The grade, in our spelling where it is known. Empty where no sample of a place
        tells a texture, or two are told equally often. No entry at all where the sheet
        tells none anywhere.
    """
    if not table.textures:
        return np.array([], dtype=str)
    place, told = place_of_row[rows], np.array(table.textures, dtype=str)[rows]
    speaks = (told != "") & (place >= 0)
    grades, grade = np.unique(grades_called(told[speaks]), return_inverse=True)
    samples = np.unique(np.array(table.sample_ids, dtype=str)[rows], return_inverse=True)[1]
    voices = np.unique(np.column_stack([place[speaks], samples[speaks], grade]), axis=0)
    count = np.zeros((place_count, len(grades)), dtype=np.intp)
    np.add.at(count, (voices[:, 0], voices[:, 2]), 1)
    most = np.max(count, axis=1, initial=0)
    is_clear = (most > 0) & (np.sum(count == most[:, np.newaxis], axis=1) == 1)
    first = np.argmax(count, axis=1) if len(grades) else np.zeros(place_count, dtype=np.intp)
    return np.where(is_clear, np.append(grades, "")[first], "")
