"""Points sorted into buckets of ground, so that a tile reads only its own."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.desktop.map.view_transform import Bounds

POINTS_A_BUCKET = 250
MOST_BUCKETS_A_SIDE = 128
SHUFFLE_SEED = 5
POINTS_A_PIECE = 100_000


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PointIndex:
    """Some points of a column in the order of their buckets, as float32 from an origin.

    Within a bucket the order is random, so that no pass of the machine always lies
    on top.
    """

    row_of_point: NDArray[np.intp]
    east_m: NDArray[np.float32]
    north_m: NDArray[np.float32]
    origin_m: tuple[float, float]
    bounds: Bounds
    side: int
    start_of_bucket: NDArray[np.intp]

    def pieces(self, bounds: Bounds) -> Iterator[list[slice]]:
        """Runs of points that hold all those in some ground, and a few around it.

        They come in pieces of a size that is quickly worked through.
        """
        piece: list[slice] = []
        room = POINTS_A_PIECE
        for start, end in self._runs(bounds):
            while end - start > room:
                yield [*piece, slice(start, start + room)]
                start, piece, room = start + room, [], POINTS_A_PIECE
            piece.append(slice(start, end))
            room -= end - start
        if piece:
            yield piece

    def chosen(self, bounds: Bounds) -> NDArray[np.intp]:
        """Places in the index of all points in some ground, and of a few around it."""
        runs = [np.arange(start, end) for start, end in self._runs(bounds)]
        return np.concatenate(runs) if runs else np.empty(0, np.intp)

    def _runs(self, bounds: Bounds) -> list[tuple[int, int]]:
        """Start and end of the points in each row of the buckets that lie in some ground."""
        west, south, east, north = self.bounds
        first, last = _bucket(np.array([bounds[0], bounds[2]]), west, east, self.side).tolist()
        low, high = _bucket(np.array([bounds[1], bounds[3]]), south, north, self.side).tolist()
        starts = self.start_of_bucket
        if last - first == self.side - 1:
            # Whole rows of buckets follow each other without a gap.
            return [(int(starts[low * self.side]), int(starts[(high + 1) * self.side]))]
        row_starts = np.arange(low, high + 1) * self.side
        run_starts, run_ends = starts[row_starts + first], starts[row_starts + last + 1]
        runs = zip(run_starts.tolist(), run_ends.tolist(), strict=True)
        return [(start, end) for start, end in runs if end > start]


def joined(column: NDArray, piece: list[slice]) -> NDArray:
    """The part of a column that belongs to a piece; a view where it is one run."""
    runs = [column[run] for run in piece]
    return runs[0] if len(runs) == 1 else np.concatenate(runs)


def point_index(
    easting_m: NDArray[np.float64], northing_m: NDArray[np.float64], *, share: float = 1.0
) -> PointIndex:
    """Sort points, or a random share of them, into buckets.

    Points without a position are left out.
    """
    rows = np.flatnonzero(np.isfinite(easting_m) & np.isfinite(northing_m))
    rows = np.random.default_rng(SHUFFLE_SEED).permutation(rows)
    rows = rows[: int(np.ceil(share * len(rows)))]
    east, north = easting_m[rows], northing_m[rows]
    if len(rows):
        bounds = (float(east.min()), float(north.min()), float(east.max()), float(north.max()))
    else:
        bounds = (0.0, 0.0, 0.0, 0.0)
    origin_m = (round((bounds[0] + bounds[2]) / 2), round((bounds[1] + bounds[3]) / 2))
    side = int(np.clip(np.sqrt(len(rows) / POINTS_A_BUCKET), 1, MOST_BUCKETS_A_SIDE))
    across = _bucket(east, bounds[0], bounds[2], side)
    along = _bucket(north, bounds[1], bounds[3], side)
    # 16-bit keys are sorted by counting, several times faster than by comparing.
    bucket = (along * side + across).astype(np.uint16)
    order = np.argsort(bucket, kind="stable")
    starts = np.searchsorted(bucket[order], np.arange(side * side + 1))
    return PointIndex(
        rows[order],
        (east[order] - origin_m[0]).astype(np.float32),
        (north[order] - origin_m[1]).astype(np.float32),
        origin_m,
        bounds,
        side,
        starts,
    )


def _bucket(
    place_m: NDArray[np.float64], low_m: float, high_m: float, side: int
) -> NDArray[np.int32]:
    """Which of the `side` equal spans between two ends a place lies in, or is nearest to."""
    share = (place_m - low_m) * (side / max(high_m - low_m, 1e-9))
    return np.clip(share, 0, side - 1).astype(np.int32)
