"""A layer made of thinner ones: the mean of 0-10 and 10-30 cm stands for 0-30 cm."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.soil.by_place import PlaceResults, depth_notes, results_by_place
from vrxapp.soil.results_table import ResultsTable


def tiles_of(table: ResultsTable, depth_cm: str) -> tuple[str, ...]:
    """Layers of a sheet that make up another one without gap or overlap, from the top down.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    depth_cm : str
        The layer asked for, for instance ``"0-30"``. [cm]

    Returns
    -------
    tuple of str
        At least two; nothing where the sheet's layers do not fit.
    """
    top, bottom = _ends(depth_cm)
    known = {depth for depth in table.depths_cm if depth and _ends(depth)[1] <= bottom}
    chain = layers_down(known - {depth_cm}, top_cm=top)
    return chain if chain and _ends(chain[-1])[1] == bottom else ()


def layers_down(depths_cm: Iterable[str], *, top_cm: float = 0.0) -> tuple[str, ...]:
    """Layers that follow one another without gap or overlap, as deep as they go.

    Parameters
    ----------
    depths_cm : iterable of str
        Layers in any order. [cm]
    top_cm : float, default 0
        Where the first one begins. [cm]

    Returns
    -------
    tuple of str
        From the top down; where two ways go equally deep, the one of thinner layers.

    Examples
    --------
    >>> layers_down(["10-20", "0-10", "10-30", "30-60"])
    ('0-10', '10-30', '30-60')
    """
    known = [(*_ends(depth), depth) for depth in depths_cm]
    ways = [
        (depth, *layers_down(depths_cm, top_cm=bottom))
        for top, bottom, depth in known
        if top == top_cm
    ]
    return max(ways, key=lambda way: (_ends(way[-1])[1], len(way)), default=())


def results_in_layer(
    table: ResultsTable,
    analyte_key: str,
    *,
    place_of_row: NDArray[np.intp],
    place_count: int,
    depth_cm: str,
) -> PlaceResults:
    """Results of one analyte for each place, from the layer itself or from those that make it up.

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
        Layer asked for. [cm]

    Returns
    -------
    PlaceResults
        Where a place has no result of the layer, the mean of its parts by their
        thickness, if all are there; NaN where not.

    Raises
    ------
    SoilInputError
        If `place_of_row` does not have one place, or -1, for each row.
    """

    def of(depth: str) -> PlaceResults:
        return results_by_place(
            table, analyte_key, place_of_row=place_of_row, place_count=place_count, depth_cm=depth
        )

    whole, tiles = of(depth_cm), tiles_of(table, depth_cm)
    lacking = np.isnan(whole.mean)
    if not tiles or not np.any(lacking):
        return whole
    parts = [of(tile) for tile in tiles]
    thickness = np.array([bottom - top for top, bottom in map(_ends, tiles)])
    weight = (thickness / thickness.sum())[:, np.newaxis]
    mean = np.sum(weight * [part.mean for part in parts], axis=0)
    error = np.sqrt(np.sum((weight * [part.standard_error for part in parts]) ** 2, axis=0))
    count = np.min([part.count for part in parts], axis=0)
    beyond = np.sum([part.beyond_limit for part in parts], axis=0)
    return replace(
        whole,
        mean=np.where(lacking, mean, whole.mean),
        standard_error=np.where(lacking, error, whole.standard_error),
        count=np.where(lacking, count, whole.count),
        beyond_limit=np.where(lacking, beyond, whole.beyond_limit),
    )


def layer_notes(table: ResultsTable, analyte_key: str, *, depth_cm: str) -> tuple[Note, ...]:
    """What is to be known of the layers of an analyte where one layer is asked for.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    analyte_key : str
        Key of the analyte.
    depth_cm : str
        Layer asked for. [cm]
    """
    tiles = tiles_of(table, depth_cm)
    if not tiles or depth_cm in table.depths_cm:
        return depth_notes(table, analyte_key, depth_cm=depth_cm)
    return (
        Note(
            f"the layer {depth_cm} cm is worked out from {' and '.join(tiles)} cm, each by its "
            "thickness",
            mend="Nothing needs doing",
            file=table.file,
        ),
    )


def _ends(depth_cm: str) -> tuple[float, float]:
    """Upper and lower end of a layer. [cm]"""
    top, _, bottom = depth_cm.partition("-")
    return float(top), float(bottom)
