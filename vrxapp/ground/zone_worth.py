"""Whether zones are worth having: how much of what varies they explain, and their means."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer, PointValues
from vrxapp.ground.points_in_zones import OUTSIDE, cells_with_edges, zone_of_points
from vrxapp.ground.zoning_grid import cell_middles
from vrxapp.units import PERCENT

SHUFFLES = 999
LIKELY_CHANCE = 0.05
FEW_SAMPLES = 10
WEAK_SHARE = 0.2
"""Below this share zones hardly differ in what was measured. Engine choice, no source."""


@dataclass(frozen=True, slots=True)
class ZoneWorth:
    """What zones explain of one measurement.

    Parameters
    ----------
    name : str
        What was measured.
    samples, zones : int
        How many samples in how many zones were used.
    share : float
        Share of the variance that lies between zones. [0 to 1]
    adjusted_share : float
        The same after taking off what as many zones drawn at random would explain; at or
        below zero they are no better than that. NaN where no zone has two samples.
    chance : float
        How often zones explained as much after the samples were shuffled; NaN for a raster,
        whose cells are no independent samples. [0 to 1]
    seed : int
        Of the shuffling.
    """

    name: str
    samples: int
    zones: int
    share: float
    adjusted_share: float
    chance: float
    seed: int


def worth_by_samples(
    samples: PointValues, zones: NDArray[np.object_], *, seed: int = 0
) -> ZoneWorth:
    """How much of the variance of samples zones explain, and whether chance does as well.

    Parameters
    ----------
    samples : PointValues
        A soil test at points; those without a value or outside all zones are left out.
    zones : ndarray of shapely geometry
        Polygons that do not overlap. [m]
    seed : int, default 0
        For the shuffling.

    Raises
    ------
    GroundError
        If there are fewer than three usable samples, all in one zone, or all alike.

    Notes
    -----
    Shuffling takes samples as independent. Neighbours are alike in most soils, so samples
    that lie near each other make the chance come out too small; take it as a hint.
    """
    zone = zone_of_points(samples.easting_m, samples.northing_m, zones)
    used = (zone != OUTSIDE) & np.isfinite(samples.values)
    values, group = samples.values[used], zone[used]
    _require_some(values, group, samples.name)
    worth = _shares(values, group)
    rng = np.random.default_rng(seed)
    shuffled = rng.permuted(np.tile(values, (SHUFFLES, 1)), axis=1)
    as_much = np.sum(_between_shares(shuffled, group) >= worth[0] - 1e-12)
    chance = float(as_much + 1) / (SHUFFLES + 1)
    return ZoneWorth(samples.name, len(values), len(np.unique(group)), *worth, chance, seed)


def worth_by_raster(layer: GridLayer, grid: Grid, zones: NDArray[np.object_]) -> ZoneWorth:
    """How much of the variance of a layer zones explain, cell by cell.

    A layer that the zones were made from is no proof: they explain it by construction.

    Raises
    ------
    GroundError
        If the layer is known in one zone only, or is the same everywhere.
    """
    easting, northing = cell_middles(grid)
    row, column = np.nonzero(grid.inside & np.isfinite(layer.values))
    zone = zone_of_points(easting[column], northing[row], zones)
    used = zone != OUTSIDE
    values, group = layer.values[row[used], column[used]], zone[used]
    _require_some(values, group, layer.name)
    worth = _shares(values, group)
    return ZoneWorth(layer.name, len(values), len(np.unique(group)), *worth, math.nan, 0)


def worth_in_words(worth: ZoneWorth) -> str:
    """What the figures mean, in a sentence that promises no more than they hold."""
    explained = f"the zones explain {PERCENT * worth.share:.0f} % of the variance of {worth.name}"
    if math.isnan(worth.chance):
        return f"{explained} over {worth.samples:,} cells"
    said = f"{explained} in {worth.samples} samples"
    if math.isnan(worth.adjusted_share):
        return f"{said}, but no zone has two samples, so this says nothing"
    if worth.chance > LIKELY_CHANCE:
        return (
            f"{said}, and so they do in {PERCENT * worth.chance:.0f} of 100 shufflings of the "
            "samples: no evidence that they are worth having for it"
        )
    fairly = f"{said} ({PERCENT * max(worth.adjusted_share, 0.0):.0f} % beyond what chance gives)"
    if worth.adjusted_share < WEAK_SHARE:
        return f"{fairly}: real, but weak"
    if worth.samples < FEW_SAMPLES:
        return f"{fairly}: promising, on few samples"
    return f"{fairly}: worth having for it"


def zone_means(layer: GridLayer, grid: Grid, zones: NDArray[np.object_]) -> NDArray[np.float64]:
    """Mean of a layer in each zone, cells at the edge by the share of them that lies in it.

    Parameters
    ----------
    layer : GridLayer
        What is averaged; cells without a value are left out.
    grid : Grid
        Its grid.
    zones : ndarray of shapely geometry
        Polygons. [m]

    Returns
    -------
    ndarray of float
        NaN for a zone without any value. [unit of the layer]
    """
    known = np.isfinite(layer.values)
    at_edge = cells_with_edges(zones, grid)
    easting, northing = cell_middles(grid)
    row, column = np.nonzero(known & ~at_edge)
    zone = zone_of_points(easting[column], northing[row], zones)
    whole = zone != OUTSIDE
    sums = np.bincount(
        zone[whole], weights=layer.values[row[whole], column[whole]], minlength=len(zones)
    ).astype(float)  # where no cell is whole, the sums come as whole numbers
    weights = np.bincount(zone[whole], minlength=len(zones)).astype(float)
    row, column = np.nonzero(known & at_edge)
    half = grid.cell_m / 2.0
    x, y = easting[column], northing[row]
    cells = shapely.box(x - half, y - half, x + half, y + half)
    zone, cell = shapely.STRtree(cells).query(zones, predicate="intersects")
    share = shapely.area(shapely.intersection(zones[zone], cells[cell])) / grid.cell_m**2
    values = layer.values[row[cell], column[cell]]
    sums += np.bincount(zone, weights=share * values, minlength=len(zones))
    weights += np.bincount(zone, weights=share, minlength=len(zones))
    means = np.full(len(zones), np.nan)
    np.divide(sums, weights, out=means, where=weights > 0.0)
    return means


def _require_some(values: NDArray[np.float64], group: NDArray[np.int32], name: str) -> None:
    """Refuse what no variance can be worked out from."""
    if len(values) < 3 or len(np.unique(group)) < 2:
        raise GroundError(
            f"{name}: {len(values)} values in {len(np.unique(group))} zones cannot tell whether "
            "zones differ",
            mend="Use samples from at least two zones, three or more in all",
        )
    if float(np.ptp(values)) <= 1e-12 * max(1.0, float(np.max(np.abs(values)))):
        raise GroundError(
            f"{name} is the same everywhere, so there is nothing for zones to explain",
            mend="Choose something that varies",
        )


def _between_shares(values: NDArray[np.float64], group: NDArray[np.int32]) -> NDArray[np.float64]:
    """Share of the variance between groups, for each row of values."""
    _, member = np.unique(group, return_inverse=True)
    indicator = np.eye(member.max() + 1)[member]
    centred = values - values.mean(axis=1, keepdims=True)
    between = ((centred @ indicator) ** 2 / indicator.sum(axis=0)).sum(axis=1)
    return np.asarray(between / (centred**2).sum(axis=1))


def _shares(values: NDArray[np.float64], group: NDArray[np.int32]) -> tuple[float, float]:
    """The share between groups, plainly and adjusted for their number."""
    names, member = np.unique(group, return_inverse=True)
    count = np.bincount(member)
    centred = values - values.mean()
    between = float(np.sum(np.bincount(member, weights=centred) ** 2 / count))
    total = float(np.sum(centred**2))
    share, free = between / total, len(values) - len(names)
    adjusted = 1.0 - (1.0 - share) * (len(values) - 1) / free if free > 0 else math.nan
    return share, adjusted
