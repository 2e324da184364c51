import numpy as np
import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.ground.ground_points import (
    POWERLINE_CAUTION,
    GroundPoint,
    GroundPointKind,
    cautions_for,
)
from vrxapp.ground.projected_crs import transformed_xy
from vrxapp.ground.sample_plan import BagRules, sample_plan
from vrxapp.ground.sample_positions import SamplePositions, SamplingDesign
from vrxapp.ground.zones import Zones

EAST, NORTH = 682_000.0, 6_124_000.0
ZONES = Zones(
    ("w", "e"),
    ("West", "East"),
    np.array([shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1)], dtype=object),
)


def positions(rows):
    x = EAST + 30.0 * np.arange(len(rows))[::-1]
    return SamplePositions(
        x, np.full(len(rows), NORTH), np.array(rows), SamplingDesign.BY_ZONE, seed=5
    )


def plan(rows, bags, **more):
    return sample_plan(positions(rows), ZONES, paddock=("P", "EPSG:7855"), bags=bags, **more)


def test_bulked_stops_share_a_bag_and_together_take_enough_cores():
    made = plan([0, 0, 0, 1, 1], BagRules(25, is_bulked_by_zone=True, depth_cm="0-10"))
    assert made.sample_ids == ("East", "East", "West", "West", "West")
    # 25 cores over 2 stops are 13 each, over 3 stops 9 each
    assert made.cores.tolist() == [13, 13, 9, 9, 9]
    assert (made.depth_cm, made.seed) == ("0-10", 5)
    assert made.walk_m == pytest.approx(120.0)


def test_stops_with_their_own_bag_are_numbered_in_walking_order():
    made = plan([-1, 1] * 6, BagRules(8, is_bulked_by_zone=False), start=(EAST + 999, NORTH))
    assert made.sample_ids[0] == "S01"
    assert made.sample_ids[-1] == "S12"
    assert made.zone_names[:2] == ("", "East")
    assert np.all(made.cores == 8)
    assert np.all(np.diff(made.longitude_degree) < 0)  # from the gate in the east


def test_places_come_out_as_longitude_and_latitude():
    made = plan([0], BagRules(1, is_bulked_by_zone=True))
    x, y = transformed_xy(
        made.longitude_degree, made.latitude_degree, from_crs="EPSG:4326", to_crs="EPSG:7855"
    )
    assert (x[0], y[0]) == pytest.approx((EAST, NORTH), abs=0.001)


def test_a_stop_in_no_zone_belongs_in_no_bag():
    with pytest.raises(GroundError, match="1 stops lie in no zone"):
        plan([0, -1], BagRules(10, is_bulked_by_zone=True))


@pytest.mark.parametrize("cores", [0, 1001])
def test_a_sample_of_no_or_too_many_cores_is_refused(cores):
    with pytest.raises(GroundError, match="make no sample"):
        BagRules(cores, is_bulked_by_zone=True)


def test_a_powerline_is_told_to_whoever_tips_or_lifts():
    line = GroundPoint("Line", GroundPointKind.POWERLINE, EAST, NORTH)
    dump = GroundPoint("Heap", GroundPointKind.DUMP_SITE, EAST, NORTH)
    gate = GroundPoint("Gate", GroundPointKind.GATE, EAST, NORTH)
    assert cautions_for((line, dump, gate)) == (POWERLINE_CAUTION,)
    assert cautions_for((gate,)) == ()


@pytest.mark.parametrize(("name", "east"), [(" ", EAST), ("Gate", np.nan), ("Gate", np.inf)])
def test_a_point_that_nobody_could_name_or_find_is_refused(name, east):
    with pytest.raises(GroundError):
        GroundPoint(name, GroundPointKind.GATE, east, NORTH)
