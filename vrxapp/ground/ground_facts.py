"""A paddock in figures: its hectares, what the exclusions take, and where it lies."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from vrxapp.ground.exclusions import excluded_shape
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.projected_crs import crs_in_words


@dataclass(frozen=True, slots=True)
class GroundFacts:
    """What there is to know of a paddock's ground.

    Parameters
    ----------
    paddock : str
        Its name.
    paddock_ha, excluded_ha, spreadable_ha : float
        Inside the boundary, what exclusions and setbacks take of that together, and the
        rest. [ha]
    hole_ha : float
        Holes of the boundary: no part of the paddock, and in files for spreaders excluded. [ha]
    exclusion_ha : tuple of float
        What each exclusion takes with its setback, inside the boundary; two that overlap
        both count the ground that they share. [ha]
    crs : str
        The coordinate system in plain words.
    """

    paddock: str
    paddock_ha: float
    excluded_ha: float
    spreadable_ha: float
    hole_ha: float
    exclusion_ha: tuple[float, ...]
    crs: str


@lru_cache(maxsize=64)
def ground_facts(paddock: Paddock) -> GroundFacts:
    """The figures of a paddock, all areas geodesic."""
    shapes = [excluded_shape(e) for e in paddock.exclusions]
    parts = np.array([*shapes, excluded_ground(paddock), paddock.boundary], dtype=object)
    inside = shapely.intersection(parts, paddock.boundary)
    *each, excluded, whole = geodesic_area_ha(inside, paddock.crs).tolist()
    rings = shapely.get_rings(paddock.boundary)
    filled = shapely.union_all(shapely.polygons(rings))
    holes = shapely.difference(filled, paddock.boundary)
    (hole,) = geodesic_area_ha([holes], paddock.crs).tolist()
    crs = crs_in_words(paddock.crs)
    return GroundFacts(paddock.name, whole, excluded, whole - excluded, hole, tuple(each), crs)
