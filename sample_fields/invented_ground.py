"""The ground of the invented farm, in metres east and north of a point on the map.

Every corner and bend is made up. The point only gives the shapes coordinates on
cropping land; no property that lies there is meant.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from ground_drawing import cut_zones, patch, placer, rounded
from shapely import LineString, Point, Polygon

from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import projected_crs
from vrxapp.ground.zones import Zones
from vrxapp.trials.strips import CheckStrip

FARM = "Plain Ridge"
PADDOCK = "Long Bend"
PLACE_LON_DEGREE, PLACE_LAT_DEGREE = 147.2, -35.1

# the fence, from the south-west corner anticlockwise: a road in the south, a neighbour's
# block let into the south-east corner, a bend round a rise in the north and west
_FENCE = (
    *((-505, -402), (-330, -398), (-120, -392), (110, -386), (300, -381), (414, -378)),
    *((417, -290), (421, -192), (470, -189), (531, -185), (535, -60), (539, 70)),
    *((543, 190), (546, 287), (548, 384), (440, 392), (330, 400), (205, 409)),
    *((90, 416), (10, 425), (-75, 438), (-160, 446), (-240, 444), (-315, 428)),
    *((-385, 398), (-446, 352), (-492, 296), (-524, 230), (-541, 158), (-546, 80)),
    *((-540, 0), (-529, -80), (-519, -165), (-512, -250), (-508, -330)),
)
_HOMESTEAD = (
    *((-262, -348), (-205, -350), (-150, -346), (-142, -300)),
    *((-146, -256), (-182, -246), (-228, -249), (-254, -268)),
)
_CREEK = (
    *((130, 470), (150, 425), (205, 385), (232, 335), (300, 318), (338, 262)),
    *((405, 240), (425, 180), (490, 165), (520, 118), (580, 95)),
)
# each line starts and ends outside the fence, and none meets another
_ZONE_LINES = (
    (
        *((-60, 480), (-30, 400), (45, 345), (70, 262), (165, 225), (205, 150)),
        *((300, 120), (345, 40), (430, 20), (470, -40), (590, -70)),
    ),
    (
        *((-600, 205), (-500, 190), (-420, 225), (-320, 160), (-225, 165), (-150, 85)),
        *((-50, 75), (20, -10), (45, -110), (130, -165), (150, -270), (225, -330), (240, -440)),
    ),
    (
        *((-600, 20), (-490, 5), (-410, 45), (-330, -15), (-250, -60)),
        *((-140, -120), (-85, -215), (-100, -310), (-60, -460)),
    ),
)
_ZONE_SPOTS = (
    ("Creek flat", (Point(400, 330),)),
    ("Grey box slope", (Point(150, 60),)),
    ("Red rise", (Point(-150, -100),)),
    ("Sandy top", (Point(-430, -250),)),
)
_STRIP = ((-236, 30), (325, 48))
_STRIP_WIDTH_M = 48.0  # two swaths of 24 m
_BARE_SPOT = (-258, 118)


@dataclass(frozen=True, slots=True, eq=False)
class InventedGround:
    """The paddock, its zones and its check strip in projected metres.

    `bare_spot` is the middle of a crown that has lost its topsoil; only the soil knows it.
    """

    paddock: Paddock
    zones: Zones
    strip: CheckStrip
    bare_spot: Point


def invented_ground() -> InventedGround:
    """Everything that lies on the ground, in the metric system of the place."""
    crs = projected_crs(PLACE_LON_DEGREE, PLACE_LAT_DEGREE)
    placed = placer(PLACE_LON_DEGREE, PLACE_LAT_DEGREE, crs=crs)
    boundary = Polygon(_FENCE, [_HOMESTEAD])
    cut = cut_zones(boundary, _ZONE_LINES, [spots for _, spots in _ZONE_SPOTS])
    zones = np.array([placed(zone) for zone in cut], dtype=object)
    exclusions = tuple(
        Exclusion(name, kind, placed(shape), setback_m)
        for name, kind, shape, setback_m in _left_out()
    )
    names = tuple(name for name, _ in _ZONE_SPOTS)
    ids = tuple(f"zone-{row + 1}" for row in range(len(names)))
    return InventedGround(
        Paddock(PADDOCK, crs, placed(boundary), exclusions),
        Zones(ids, names, zones),
        CheckStrip("Check strip 1", placed(LineString(_STRIP)), _STRIP_WIDTH_M),
        placed(Point(_BARE_SPOT)),
    )


def _left_out() -> tuple[tuple[str, ExclusionKind, shapely.Geometry, float], ...]:
    """Name, kind, shape and setback in metres of what gets nothing."""
    dam = patch((300, -75), radii_m=(36, 27), turn=0.5)
    trees = patch((-330, 300), radii_m=(44, 25), turn=-0.4)
    creek = LineString(rounded(_CREEK))
    return (
        ("Slope dam", ExclusionKind.DAM, dam, 20.0),
        ("Bend creek", ExclusionKind.WATERCOURSE, creek, 15.0),
        ("Shade clump", ExclusionKind.TREES, trees, 5.0),
    )
