"""One test of the samples that have a position: what a map can be made from."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note, UnknownChoiceError
from vrxapp.ground.grid_layers import PointValues
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.detection_limits import substituted
from vrxapp.soil.results_table import Limit, ResultsTable, column_of

_NEAR_M = 5.0
"""Samples nearer to the boundary than this may lie outside by the receiver's error. [m]"""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PlacedSamples:
    """One test in one layer, a point for each sample with a position.

    Parameters
    ----------
    analyte : Analyte
        What was measured, and its unit.
    depth_cm : str
        The layer; empty where the sheet tells none. [cm]
    points : PointValues
        Where, in the paddock's coordinates, and what; replicates are averaged.
    notes : tuple of Note
        What was left out or stands in for something else.
    """

    analyte: Analyte
    depth_cm: str
    points: PointValues
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Mappable:
    """A test in a layer that a map can be made of, and how many samples there are."""

    analyte: Analyte
    depth_cm: str
    samples: int


def mappable_tests(tests: ResultsTable | None) -> tuple[Mappable, ...]:
    """Every test and layer of a sheet with results at positions, in the order of the sheet.

    The layers of a test begin with the one that most samples are of.
    """
    if tests is None:
        return ()
    placed, depths = _placed(tests), np.array(tests.depths_cm)
    found = []
    for column in tests.columns:
        used = placed & np.isfinite(column.values)
        counted = [
            Mappable(column.analyte, str(depth), len(_samples(tests, used & (depths == depth))[0]))
            for depth in np.unique(depths[used])
        ]
        found += sorted(counted, key=lambda one: (-one.samples, one.depth_cm))
    return tuple(found)


def placed_samples(
    tests: ResultsTable, analyte_key: str, crs: str, *, depth_cm: str = ""
) -> PlacedSamples:
    """One test of the samples of a sheet that have a position.

    Parameters
    ----------
    tests : ResultsTable
        The laboratory's sheet.
    analyte_key : str
        Which test.
    crs : str
        The paddock's coordinate system, in which the points are wanted.
    depth_cm : str, optional
        Which layer; the one that most rows are of if not given. [cm]

    Raises
    ------
    UnknownChoiceError
        If the sheet holds no such test or layer; the mend lists what it holds.
    GroundError
        If no sample with a position has a result.
    """
    column = column_of(tests, analyte_key)
    if column is None:
        known = ", ".join(c.analyte.key for c in tests.columns)
        raise UnknownChoiceError(
            f"the sheet holds no {analyte_key!r}",
            mend=f"Choose one of: {known or 'none'}",
            file=tests.file,
        )
    used = _placed(tests) & np.isfinite(column.values)
    if not np.any(used):
        raise GroundError(
            f"no sample with a position has a result of {column.analyte.key}",
            mend="Use a sheet with a longitude and a latitude for each sample",
            file=tests.file,
        )
    depths = np.array(tests.depths_cm)
    depth_cm, others = _layer(depths[used], depth_cm, tests.file)
    used &= depths == depth_cm
    rows, member = _samples(tests, used)
    values = substituted(column.values, column.limits)[used]
    count = np.bincount(member, minlength=len(rows))
    means = np.bincount(member, values, minlength=len(rows)) / count
    lon_lat = (tests.longitude_degree[rows], tests.latitude_degree[rows])
    x, y = transformed_xy(*lon_lat, from_crs=LON_LAT, to_crs=crs)
    analyte = column.analyte
    notes = (
        *_placeless_notes(tests, ~_placed(tests) & np.isfinite(column.values), depths, depth_cm),
        *_layer_notes(others, depth_cm),
        *_limit_notes(column.limits[used]),
    )
    return PlacedSamples(
        analyte, depth_cm, PointValues(analyte.key, analyte.unit, x, y, means), notes
    )


def outside_notes(points: PointValues, paddock: Paddock) -> tuple[Note, ...]:
    """How many samples lie outside a paddock, and how far; nothing where none does."""
    spots = shapely.points(points.easting_m, points.northing_m)
    away_m = shapely.distance(spots, paddock.boundary)
    outside = int(np.sum(away_m > _NEAR_M))
    if not outside:
        return ()
    what = "1 sample lies" if outside == 1 else f"{outside} samples lie"
    return (
        Note(
            f"{what} outside {paddock.name}, up to {away_m.max():,.0f} m away, and count all the "
            "same",
            mend="Check that sheet and paddock belong together",
        ),
    )


def _placed(tests: ResultsTable) -> NDArray[np.bool_]:
    return np.isfinite(tests.longitude_degree) & np.isfinite(tests.latitude_degree)


def _samples(
    tests: ResultsTable, used: NDArray[np.bool_]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """A row of the sheet for each sample, and the sample of each row used.

    Replicates share number and position; two samples that only share a number stay two.
    """
    rows = np.flatnonzero(used)
    places = [
        (tests.sample_ids[row], tests.longitude_degree[row], tests.latitude_degree[row])
        for row in rows.tolist()
    ]
    number = {place: at for at, place in enumerate(dict.fromkeys(places))}
    member = np.array([number[place] for place in places], dtype=np.intp)
    _, first = np.unique(member, return_index=True)
    return rows[first], member


def _layer(depths: NDArray[np.str_], wanted: str, file: str) -> tuple[str, tuple[str, ...]]:
    """The layer that is meant, and the others that have results too."""
    layers, counts = np.unique(depths, return_counts=True)
    known = [str(layer) for layer in layers]
    if wanted and wanted not in known:
        raise UnknownChoiceError(
            f"no sample with a position has a result of the layer {wanted} cm",
            mend=f"Choose one of: {', '.join(layer or 'no layer told' for layer in known)}",
            file=file,
            value=wanted,
        )
    chosen = wanted or known[int(np.argmax(counts))]
    told = () if wanted else tuple(layer for layer in known if layer != chosen)
    return chosen, told


def _layer_notes(others: tuple[str, ...], chosen: str) -> list[Note]:
    if not others:
        return []
    named = " and ".join(f"{layer} cm" if layer else "no layer told" for layer in others)
    return [
        Note(
            f"the layer {chosen or 'that is not told'}{' cm' * bool(chosen)} is mapped, of which "
            f"most results are; there are results of {named} too",
            mend="Choose the layer to map another one",
        )
    ]


def _placeless_notes(
    tests: ResultsTable, lacking: NDArray[np.bool_], depths: NDArray[np.str_], depth_cm: str
) -> list[Note]:
    """How many samples of the layer have a result and no position."""
    names = {tests.sample_ids[row] for row in np.flatnonzero(lacking & (depths == depth_cm))}
    if not names:
        return []
    what = "1 sample has" if len(names) == 1 else f"{len(names)} samples have"
    return [
        Note(
            f"{what} a result but no position and cannot count on the map",
            mend="Give longitude and latitude in the sheet",
            file=tests.file,
        )
    ]


def _limit_notes(limits: NDArray[np.str_]) -> list[Note]:
    """How many results are only known to lie beyond a limit, and what stands in for them."""
    notes = []
    for limit, what, stands in (
        (Limit.BELOW, "below detection", "half the limit stands"),
        (Limit.ABOVE, "above what was measured", "the limit stands"),
    ):
        count = int(np.sum(limits == limit))
        if count:
            notes.append(
                Note(
                    f"{count} of {limits.size} results {'is' if count == 1 else 'are'} {what}; "
                    f"{stands} for {'it' if count == 1 else 'each'}, and the map is less sure there"
                )
            )
    return notes
