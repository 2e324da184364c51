"""What the tests of the file formats share: readers, refusals and rate maps."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import strategies as st

from vrxapp.errors import InputFileError
from vrxapp.files.formats import read_features
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.ground.partition import partition
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.spreading.rate_map import GroundUse, RateMap

MGA55 = "EPSG:7855"
EAST_M, NORTH_M = 680_000.0, 6_125_000.0
WIDTH_M, HEIGHT_M = 600.0, 400.0


def _at(x_m, y_m, width_m, height_m):
    """A rectangle, placed from the south-west corner of the paddock."""
    west, south = EAST_M + x_m, NORTH_M + y_m
    return shapely.box(west, south, west + width_m, south + height_m)


def _cut_map(zones, exclusions, strips, rates):
    """A map cut by partition(): zones of one rate each, exclusions and strips with zero."""
    paddock = np.array([_at(0, 0, WIDTH_M, HEIGHT_M)], dtype=object)
    layers = [np.array(layer, dtype=object) for layer in (zones, exclusions, strips)]
    cut = partition(paddock, *layers)
    inside, zone, excluded, strip = cut.members
    kept = (inside >= 0) & (zone >= 0)
    uses = np.select(
        [excluded >= 0, strip >= 0],
        [GroundUse.EXCLUDED, GroundUse.CHECK_STRIP],
        default=GroundUse.SPREAD,
    )
    groups = sorted({(int(z), str(u)) for z, u in zip(zone[kept], uses[kept], strict=True)})
    shapes = np.empty(len(groups), dtype=object)
    shapes[:] = [
        shapely.coverage_union_all(cut.faces[kept & (zone == z) & (uses == u)]) for z, u in groups
    ]
    return RateMap(
        product="Starter 10-22",
        unit="kg/ha",
        shapes=transformed(shapes, from_crs=MGA55, to_crs=LON_LAT),
        labels=tuple(f"Zone {z + 1}" for z, _ in groups),
        uses=np.array([u for _, u in groups]),
        rates=np.array([rates[z] if u == GroundUse.SPREAD else 0.0 for z, u in groups]),
    )


@pytest.fixture(scope="session")
def cut_map() -> Callable[..., RateMap]:
    """Makes a map from rectangles in metres: zones, exclusions, strips and rates of zones."""
    return _cut_map


@pytest.fixture(scope="session")
def rectangle() -> Callable[..., shapely.Polygon]:
    """Makes a rectangle from x, y, width and height in metres."""
    return _at


@pytest.fixture(scope="session")
def paddock_map() -> RateMap:
    """Three zones, a dam inside one of them, and a check strip across two."""
    zones = [_at(0, 0, 200, 400), _at(200, 0, 250, 400), _at(450, 0, 150, 400)]
    dam = shapely.Point(EAST_M + 320, NORTH_M + 200).buffer(40, quad_segs=8)
    return _cut_map(zones, [dam], [_at(100, 90, 450, 24)], [80.5, 120.0, 41.25])


@pytest.fixture(scope="session")
def random_maps() -> st.SearchStrategy[RateMap]:
    """Maps of up to twelve zones with rectangles taken out and strips laid across."""
    metres = st.integers(1, 59999).map(lambda n: n / 100)

    @st.composite
    def maps(draw):
        xs = sorted({0.0, WIDTH_M, *draw(st.lists(st.integers(1, 599), max_size=3))})
        ys = sorted({0.0, HEIGHT_M, *draw(st.lists(st.integers(1, 399), max_size=2))})
        zones = [
            _at(x, y, right - x, top - y) for x, right in pairwise(xs) for y, top in pairwise(ys)
        ]
        boxes = st.tuples(metres, metres, st.integers(1, 90), st.integers(1, 90))
        exclusions = [_at(*box) for box in draw(st.lists(boxes, max_size=4))]
        laid = st.tuples(metres, st.integers(0, 3), st.sampled_from([6.0, 12.0, 24.0]))
        strips = [
            shapely.LineString(
                [(EAST_M + x, NORTH_M - 10), (EAST_M + x + 100 * lean, NORTH_M + 410)]
            ).buffer(width / 2, cap_style="flat")
            for x, lean, width in draw(st.lists(laid, max_size=2))
        ]
        rates = draw(
            st.lists(
                st.integers(0, 60_000).map(lambda n: n / 100),
                min_size=len(zones),
                max_size=len(zones),
            )
        )
        return _cut_map(zones, exclusions, strips, rates)

    return maps()


@pytest.fixture
def reader():
    """What `read` opens a file with; a lab sheet where a test file says no other."""
    return read_lab_sheet


@pytest.fixture
def file_name():
    """The name that `read` saves a file under."""
    return "lab.csv"


@pytest.fixture
def read(tmp_path, reader, file_name):
    """Saves a file and opens it."""

    def save_and_open(content, encoding="utf-8"):
        path = tmp_path / file_name
        path.write_bytes(content.encode(encoding) if isinstance(content, str) else content)
        return reader(path)

    return save_and_open


@pytest.fixture
def refusal(read, file_name):
    """Saves and opens a file that is refused, and gives the note that says why."""

    def note_of(content):
        with pytest.raises(InputFileError) as caught:
            read(content)
        assert caught.value.note.file == file_name
        assert caught.value.note.mend
        return caught.value.note

    return note_of


@pytest.fixture(scope="session")
def feature_refusal():
    """Opens a file of features that is refused, and gives the note that says why."""

    def note_of(path):
        before = {p: p.read_bytes() for p in path.parent.iterdir()}
        with pytest.raises(InputFileError) as caught:
            read_features(path)
        assert {p: p.read_bytes() for p in path.parent.iterdir()} == before  # nothing was written
        assert caught.value.note.file == path.name
        return caught.value.note

    return note_of
