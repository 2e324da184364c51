"""From measured layers to zones of a paddock, with how sure they are and what they explain."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import MissingInputError, Note
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer, PointValues
from vrxapp.ground.label_tidying import (
    filled_labels,
    majority_labels,
    merged_small_parts,
    without_narrow_parts,
)
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.regular_zones import square_zones, zones_around_samples
from vrxapp.ground.value_classes import class_labels, natural_breaks, quantile_breaks
from vrxapp.ground.zone_clustering import (
    NO_ZONE,
    CellGroups,
    GroupAdvice,
    advised_groups,
    fuzzy_groups,
    k_means_groups,
)
from vrxapp.ground.zone_shapes import narrow_shares, shapes_of_labels
from vrxapp.ground.zones import Zones
from vrxapp.progress import Progress, Unwatched
from vrxapp.units import PERCENT, SQUARE_METRES_PER_HECTARE

_NARROW = 0.1
"""Share of a zone narrower than the machine above which the user is told."""


class ZoneMethod(StrEnum):
    """How zones are made."""

    K_MEANS = "k-means"
    FUZZY = "fuzzy"
    QUANTILES = "quantiles"
    NATURAL = "natural"
    BREAKS = "breaks"
    SQUARES = "squares"
    SAMPLES = "samples"


@dataclass(frozen=True, slots=True)
class TidyRules:
    """How groups of cells are tidied into zones.

    Parameters
    ----------
    majority_m : float
        Side of the square in which most cells decide; 0 for none. [m]
    least_ha : float
        Smallest part that stays on its own. [ha]
    least_width_m : float
        Narrowest part that stays: the swath, or 0 for none. [m]
    smooth_m : float
        How far an edge may move to lose its steps. [m]
    """

    majority_m: float = 25.0
    least_ha: float = 0.5
    least_width_m: float = 24.0
    smooth_m: float = 5.0

    def __post_init__(self) -> None:
        """Refuse what is no length and no area."""
        figures = (self.majority_m, self.least_ha, self.least_width_m, self.smooth_m)
        if not all(0.0 <= figure < math.inf for figure in figures):
            raise MissingInputError(
                "lengths and areas for tidying must be zero or more", mend="Check the options"
            )


@dataclass(frozen=True, slots=True)
class ZoneRecipe:
    """How to make zones from layers.

    Parameters
    ----------
    method : ZoneMethod
        One that is made from layers.
    zones : int or None
        How many; None takes the number that is crispest.
    breaks : tuple of float
        For `ZoneMethod.BREAKS`: where the first layer is cut. [its unit]
    seed : int
        For random starts.
    tidy : TidyRules
        How groups become zones.
    """

    method: ZoneMethod = ZoneMethod.K_MEANS
    zones: int | None = None
    breaks: tuple[float, ...] = ()
    seed: int = 0
    tidy: TidyRules = field(default_factory=TidyRules)


@dataclass(frozen=True, slots=True, eq=False)
class MadeZones:
    """Zones, and what is known about them; columns have a row a zone.

    Parameters
    ----------
    zones : Zones
        They fill the paddock and share their edges.
    area_ha : ndarray of float
        Geodesic. [ha]
    sureness : ndarray of float
        Mean of the cells' sureness, NaN where cells were not grouped. [0 to 1]
    moved_share : float
        Share of the cells that tidying gave to another group; NaN without cells. [0 to 1]
    crispness : float
        Of the groups, NaN where there are none. [0 to 1]
    advice : GroupAdvice or None
        Where the number was looked for.
    seed : int
        Of the random starts.
    notes : tuple of Note
        What was doubtful.
    """

    zones: Zones
    area_ha: NDArray[np.float64]
    sureness: NDArray[np.float64]
    moved_share: float
    crispness: float
    advice: GroupAdvice | None
    seed: int
    notes: tuple[Note, ...]


def zones_from_layers(
    layers: Sequence[GridLayer],
    paddock: Paddock,
    grid: Grid,
    *,
    recipe: ZoneRecipe,
    progress: Progress | None = None,
) -> MadeZones:
    """Zones of a paddock from layers on its grid, tidied.

    Zones are numbered from the lowest to the highest of the first layer.

    Raises
    ------
    VrxError
        If layers cannot tell zones apart, or a figure of the recipe cannot be.
    """
    watch = progress or Unwatched()
    advice = None
    count = recipe.zones
    if count is None and recipe.method is not ZoneMethod.BREAKS:
        advice = advised_groups(layers, grid, seed=recipe.seed, progress=watch)
        count = advice.advised
    watch.step(1, 3, "Grouping cells")
    labels, groups = _labels(layers, grid, recipe, count or 0)
    watch.step(2, 3, "Tidying zones")
    tidied = _tidied(labels, grid, recipe.tidy)
    watch.step(3, 3, "Drawing zones")
    drawn = shapes_of_labels(tidied, grid, paddock.boundary, smooth_m=recipe.tidy.smooth_m)
    known = labels != NO_ZONE
    notes = [note for layer in layers for note in layer.notes]
    notes += _vanished(labels[known], drawn.labels)
    notes += _too_narrow(drawn.shapes, recipe.tidy.least_width_m)
    return MadeZones(
        zones=_numbered(drawn.shapes),
        area_ha=geodesic_area_ha(drawn.shapes, paddock.crs),
        sureness=_mean_sureness(groups, tidied, drawn.labels),
        moved_share=float(np.mean(tidied[known] != labels[known])),
        crispness=groups.crispness if groups else math.nan,
        advice=advice,
        seed=recipe.seed,
        notes=tuple(dict.fromkeys(notes)),  # two layers of the same harvests say the same
    )


def zones_of_squares(paddock: Paddock, *, hectares: float, bearing_degree: float) -> MadeZones:
    """A paddock in squares of so many hectares, their sides along the passes.

    Raises
    ------
    GroundError
        If the squares are no size, or too many.
    """
    shapes = square_zones(paddock.boundary, hectares=hectares, bearing_degree=bearing_degree)
    return _without_cells(shapes, paddock)


def zones_of_samples(paddock: Paddock, samples: PointValues) -> MadeZones:
    """A zone around each sample: the ground that is nearer to it than to any other.

    Raises
    ------
    GroundError
        If fewer than two samples lie apart in the paddock.
    """
    return _without_cells(zones_around_samples(paddock.boundary, samples), paddock)


def _labels(
    layers: Sequence[GridLayer], grid: Grid, recipe: ZoneRecipe, count: int
) -> tuple[NDArray[np.int16], CellGroups | None]:
    """The group of each cell, and what grouping them told."""
    if recipe.method in (ZoneMethod.K_MEANS, ZoneMethod.FUZZY):
        grouped = k_means_groups if recipe.method is ZoneMethod.K_MEANS else fuzzy_groups
        groups = grouped(layers, grid, groups=count, seed=recipe.seed)
        return groups.labels, groups
    first = layers[0]
    if len(layers) > 1:
        raise MissingInputError(
            f"classes are made from one layer, and {len(layers)} are given",
            mend="Give one layer, or choose k-means or fuzzy",
        )
    if recipe.method is ZoneMethod.BREAKS:
        return class_labels(first, grid, recipe.breaks), None
    cut = quantile_breaks if recipe.method is ZoneMethod.QUANTILES else natural_breaks
    breaks = cut(first.values[grid.inside], count)
    return class_labels(first, grid, breaks.tolist()), None


def _tidied(labels: NDArray[np.int16], grid: Grid, rules: TidyRules) -> NDArray[np.int16]:
    """Labels without specks, small and narrow parts; each cell of the paddock has one."""
    tidy = np.where(grid.inside, filled_labels(labels), NO_ZONE).astype(np.int16)
    side = 2 * round((rules.majority_m / grid.cell_m - 1.0) / 2.0) + 1
    if side > 1:
        tidy = majority_labels(tidy, grid.inside, width_cells=side)
    least = math.ceil(rules.least_ha * SQUARE_METRES_PER_HECTARE / grid.cell_m**2)
    tidy = merged_small_parts(tidy, grid.inside, least_cells=least)
    tidy = without_narrow_parts(tidy, grid.inside, width_cells=rules.least_width_m / grid.cell_m)
    # taking narrow parts away may have cut a zone into small ones
    return merged_small_parts(tidy, grid.inside, least_cells=least)


def _mean_sureness(
    groups: CellGroups | None, tidied: NDArray[np.int16], labels: NDArray[np.int16]
) -> NDArray[np.float64]:
    """Mean sureness of the cells of each zone; a cell that was moved is not sure at all."""
    if groups is None:
        return np.full(len(labels), np.nan)
    kept = np.where(tidied == groups.labels, groups.sureness, 0.0)
    known = groups.labels != NO_ZONE
    return np.array([float(np.mean(kept[known & (tidied == label)])) for label in labels])


def _vanished(before: NDArray[np.int16], after: NDArray[np.int16]) -> list[Note]:
    gone = np.setdiff1d(np.unique(before), after)
    if not gone.size:
        return []
    share = PERCENT * float(np.mean(np.isin(before, gone)))
    return [
        Note(
            f"{gone.size} of {len(np.unique(before))} groups ({share:.1f} % of the cells) were "
            "too small or too narrow everywhere, and went to their neighbours",
            mend="Lower the least area or width to keep them",
        )
    ]


def _too_narrow(shapes: NDArray[np.object_], width_m: float) -> list[Note]:
    """Notes on zones that are still narrower than the machine in more than a tenth of them."""
    if width_m <= 0.0:
        return []
    shares = narrow_shares(shapes, width_m)
    return [
        Note(
            f"{PERCENT * share:.0f} % of zone {row} is narrower than {width_m:g} m",
            mend="Fewer zones, or a larger least area, makes them wider",
        )
        for row, share in enumerate(shares.tolist(), start=1)
        if share > _NARROW
    ]


def _without_cells(shapes: NDArray[np.object_], paddock: Paddock) -> MadeZones:
    """Zones that were not made from cells."""
    nothing = np.full(len(shapes), np.nan)
    area_ha = geodesic_area_ha(shapes, paddock.crs)
    return MadeZones(_numbered(shapes), area_ha, nothing, math.nan, math.nan, None, 0, ())


def _numbered(shapes: NDArray[np.object_]) -> Zones:
    """Zones called by their number."""
    numbers = range(1, len(shapes) + 1)
    return Zones(
        tuple(f"zone-{number}" for number in numbers),
        tuple(f"Zone {number}" for number in numbers),
        shapes,
    )
