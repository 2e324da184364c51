"""Two more invented paddocks: an acid sand in two parts, and a calcareous loam with a hole.

Every corner and bend is made up, in metres east and north of a point on the map that only
gives the shapes coordinates; no property that lies there is meant.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from ground_drawing import Bends, cut_zones, patch, placer, rounded
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import projected_crs
from vrxapp.ground.zones import Zones

# two parts with a lane of about 24 m between them
_SANDS_WEST = (
    *((-800, -430), (-520, -446), (-215, -461), (-52, -468), (-38, -240), (-24, 10)),
    *((-12, 205), (0, 402), (9, 548), (-130, 566), (-290, 571), (-420, 540)),
    *((-505, 470), (-560, 372), (-640, 300), (-742, 262), (-812, 180), (-836, 40)),
    *((-830, -120), (-818, -280)),
)
_SANDS_EAST = (
    *((-28, -470), (180, -479), (395, -486), (560, -492), (571, -300), (640, -262)),
    *((720, -208), (771, -120), (783, 20), (744, 140), (660, 215), (590, 290)),
    *((560, 400), (548, 520), (350, 533), (160, 541), (33, 546), (24, 400)),
    *((12, 203), (0, 8), (-14, -242)),
)
_SANDS_LINES = (
    (
        *((-900, 90), (-760, 60), (-640, -40), (-500, -10), (-360, -120), (-250, -90)),
        *(
            (-120, -190),
            (20, -170),
            (150, -260),
            (300, -220),
            (420, -330),
            (600, -350),
            (720, -420),
        ),
    ),
    (
        *((-700, 420), (-560, 290), (-430, 260), (-330, 330), (-210, 250), (-100, 300)),
        *((-30, 240), (60, 300), (170, 230), (290, 290), (400, 190), (520, 230), (700, 320)),
    ),
)
_SANDS_SPOTS = (
    ("Scrub hill", (Point(-300, 480), Point(250, 450))),
    ("Long sand", (Point(-400, 100), Point(400, 50))),
    ("Bottom flat", (Point(-400, -350), Point(150, -400))),
)

_LOAM_FENCE = (
    *((-985, -760), (-600, -755), (-240, -748), (120, -742), (510, -737), (905, -731)),
    *((911, -520), (916, -260), (921, 0), (924, 190), (860, 236), (800, 300)),
    *((772, 390), (764, 480), (748, 556), (560, 560), (330, 566), (60, 571)),
    *((-220, 577), (-480, 582), (-700, 588), (-772, 520), (-860, 470), (-962, 452)),
    *((-968, 200), (-974, -80), (-979, -400)),
)
_LOAM_SALT_PAN = (
    *((190, -20), (262, -62), (350, -58), (418, -12), (446, 60), (420, 132)),
    *((352, 168), (270, 164), (206, 120), (174, 52)),
)
_LOAM_LINES = (
    (
        *((-1050, 150), (-880, 210), (-700, 120), (-520, 190), (-330, 120), (-150, 250)),
        *((20, 330), (120, 430), (90, 540), (130, 650)),
    ),
    (
        *((-1050, -330), (-850, -300), (-660, -390), (-470, -330), (-260, -420), (-60, -340)),
        *((150, -400), (330, -310), (560, -370), (740, -290), (1000, -330)),
    ),
    (
        *((-70, -480), (-20, -180), (-60, -40), (20, 110), (40, 240), (140, 330), (300, 370)),
        *((470, 330), (600, 250), (660, 110), (620, -60), (690, -200), (650, -480)),
    ),
)
_LOAM_SPOTS = (
    ("North ridge", (Point(-500, 400),)),
    ("Middle loam", (Point(-500, -100),)),
    ("Pan edge", (Point(100, -150),)),
    ("South rise", (Point(0, -600),)),
)


@dataclass(frozen=True, slots=True, eq=False)
class InventedPaddock:
    """A paddock and its zones in projected metres, and whose it is said to be."""

    farm: str
    folder: str
    paddock: Paddock
    zones: Zones


def invented_paddocks() -> tuple[InventedPaddock, ...]:
    """The two paddocks beside Long Bend, each in the metric system of its place."""
    return (_two_mile_sands(), _pan_block())


def _two_mile_sands() -> InventedPaddock:
    return _placed_paddock(
        ("Plain Ridge", "Two Mile Sands"),
        (147.262, -35.142),
        shape=MultiPolygon([Polygon(_SANDS_WEST), Polygon(_SANDS_EAST)]),
        cuts=(_SANDS_LINES, _SANDS_SPOTS),
        left_out=(
            ("Pine clump", ExclusionKind.TREES, patch((-560, 150), radii_m=(60, 34), turn=0.6), 8),
            ("Sand dam", ExclusionKind.DAM, patch((330, -395), radii_m=(42, 30), turn=0.2), 20),
            ("Old pump house", ExclusionKind.OTHER, Point(-180, -300), 12),
        ),
    )


def _pan_block() -> InventedPaddock:
    drain = ((250, 120), (330, 210), (360, 300), (460, 380), (480, 460), (560, 520), (570, 620))
    return _placed_paddock(
        ("Dry Creek West", "Pan Block"),
        (142.618, -35.336),
        shape=Polygon(_LOAM_FENCE, [_LOAM_SALT_PAN]),
        cuts=(_LOAM_LINES, _LOAM_SPOTS),
        left_out=(
            ("Pan drain", ExclusionKind.WATERCOURSE, LineString(rounded(drain)), 15),
            ("Stone heap", ExclusionKind.OTHER, patch((-640, -560), radii_m=(22, 15), turn=1), 5),
            ("Box trees", ExclusionKind.TREES, patch((-760, 330), radii_m=(80, 38), turn=0.1), 8),
        ),
    )


def _placed_paddock(
    names: tuple[str, str],
    lon_lat_degree: tuple[float, float],
    *,
    shape: BaseGeometry,
    cuts: tuple[Sequence[Bends], Sequence[tuple[str, Sequence[Point]]]],
    left_out: tuple[tuple[str, ExclusionKind, BaseGeometry, int], ...],
) -> InventedPaddock:
    """A paddock drawn around (0, 0), with farm and name, moved to its place."""
    crs = projected_crs(*lon_lat_degree)
    placed = placer(*lon_lat_degree, crs=crs)
    lines, named_spots = cuts
    zone_names = tuple(name for name, _ in named_spots)
    zones = cut_zones(shape, lines, [spots for _, spots in named_spots])
    shapes = np.array([placed(zone) for zone in zones], dtype=object)
    exclusions = tuple(
        Exclusion(name, kind, placed(drawn), float(setback_m))
        for name, kind, drawn, setback_m in left_out
    )
    farm, name = names
    return InventedPaddock(
        farm,
        name.casefold().replace(" ", "_"),
        Paddock(name, crs, placed(shape), exclusions),
        Zones(tuple(f"zone-{row + 1}" for row in range(len(zones))), zone_names, shapes),
    )
