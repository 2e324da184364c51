"""A plan of soil samples: the stops in walking order, and how many cores at each."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.ground_points import GroundPoint
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.sample_positions import SamplePositions, SamplingDesign
from vrxapp.ground.walking_route import route_length_m, route_order
from vrxapp.ground.zones import Zones

DIGGING_CAUTION = (
    "Find out where cables and pipes are buried before the first core, and have underground "
    "services marked where there may be any."
)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SamplePlan:
    """Stops in the order in which to walk them.

    Parameters
    ----------
    paddock : str
        Its name.
    sample_ids : tuple of str
        Bag of each stop; stops that share one are bulked.
    zone_names : tuple of str
        Zone of each stop, empty for none.
    longitude_degree, latitude_degree : ndarray of float
        Where, WGS 84. [degrees]
    cores : ndarray of int
        Cores to take at each stop.
    depth_cm : str
        Layer, such as ``0-10``; empty where nobody said. [cm]
    design : SamplingDesign
        How positions were chosen.
    seed : int
        Of the random starts.
    walk_m : float
        From the first stop to the last, straight. [m]
    points : tuple of GroundPoint
        Gate and others, in the paddock's coordinates.
    advice : tuple of str
        How many cores hold which error, and how to take them, in sentences.
    """

    paddock: str
    sample_ids: tuple[str, ...]
    zone_names: tuple[str, ...]
    longitude_degree: NDArray[np.float64]
    latitude_degree: NDArray[np.float64]
    cores: NDArray[np.intp]
    depth_cm: str
    design: SamplingDesign
    seed: int
    walk_m: float
    points: tuple[GroundPoint, ...] = ()
    advice: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse columns of different length."""
        columns = (self.zone_names, self.longitude_degree, self.latitude_degree, self.cores)
        if any(len(column) != len(self.sample_ids) for column in columns):
            raise GroundError("the columns of a sample plan differ in length")


@dataclass(frozen=True, slots=True)
class Bag:
    """One bag of a plan: all stops whose cores go into it.

    Parameters
    ----------
    sample_id, zone_name : str
        What stands on the bag, and the zone, empty for none.
    stops : tuple of int
        Numbers of its stops in walking order, from 1.
    cores : int
        Cores in it, from all its stops together.
    """

    sample_id: str
    zone_name: str
    stops: tuple[int, ...]
    cores: int


def bags_of(plan: SamplePlan) -> tuple[Bag, ...]:
    """The bags of a plan, in the order in which the walk comes to them."""
    rows: dict[str, list[int]] = {}
    for row, name in enumerate(plan.sample_ids):
        rows.setdefault(name, []).append(row)
    return tuple(
        Bag(
            name,
            plan.zone_names[own[0]],
            tuple(row + 1 for row in own),
            int(plan.cores[own].sum()),
        )
        for name, own in rows.items()
    )


@dataclass(frozen=True, slots=True)
class BagRules:
    """How stops become samples.

    Parameters
    ----------
    cores_per_sample : int
        Cores that make up a sample, at least 1.
    is_bulked_by_zone : bool
        Whether all stops of a zone go into one bag; else each stop has its own.
    depth_cm : str
        Layer. [cm]
    """

    cores_per_sample: int
    is_bulked_by_zone: bool
    depth_cm: str = ""

    def __post_init__(self) -> None:
        """Refuse a sample without a core."""
        if not 1 <= self.cores_per_sample <= 1_000:
            raise GroundError(
                f"{self.cores_per_sample} cores make no sample", mend="Give 1 to 1,000"
            )


def sample_plan(
    positions: SamplePositions,
    zones: Zones,
    *,
    paddock: tuple[str, str],
    bags: BagRules,
    points: tuple[GroundPoint, ...] = (),
    start: tuple[float, float] | None = None,
) -> SamplePlan:
    """Stops put in walking order, named, and given their cores.

    Where stops are bulked, each takes the same number of cores, rounded up: together never
    fewer than a sample needs.

    Parameters
    ----------
    positions : SamplePositions
        Where to sample.
    zones : Zones
        For the names.
    paddock : tuple of two str
        Name of the paddock and its coordinate system.
    bags : BagRules
        How stops become samples.
    points : tuple of GroundPoint, optional
        Gate and others that go onto the phone too.
    start : tuple of two floats, optional
        Where the walk begins. [m]

    Raises
    ------
    GroundError
        If stops are to be bulked by zone, and one lies in no zone.
    """
    x, y = positions.easting_m, positions.northing_m
    order = route_order(x, y, start=start)
    rows = positions.zone_row[order]
    if bags.is_bulked_by_zone and np.any(rows < 0):
        raise GroundError(
            f"{int(np.sum(rows < 0))} stops lie in no zone, so they belong in no bag",
            mend="Sample by zone, or give each stop its own bag",
        )
    names = tuple(zones.names[row] if row >= 0 else "" for row in rows.tolist())
    if bags.is_bulked_by_zone:
        stops = np.bincount(rows, minlength=len(zones.names))[rows]
        ids, cores = names, -(-bags.cores_per_sample // stops)
    else:
        digits = len(str(len(order)))
        ids = tuple(f"S{number:0{digits}d}" for number in range(1, len(order) + 1))
        cores = np.full(len(order), bags.cores_per_sample)
    longitude, latitude = transformed_xy(x[order], y[order], from_crs=paddock[1], to_crs=LON_LAT)
    return SamplePlan(
        paddock=paddock[0],
        sample_ids=ids,
        zone_names=names,
        longitude_degree=longitude,
        latitude_degree=latitude,
        cores=np.asarray(cores, dtype=np.intp),
        depth_cm=bags.depth_cm,
        design=positions.design,
        seed=positions.seed,
        walk_m=route_length_m(x, y, order),
        points=points,
    )
