import io
import struct

import numpy as np
import pytest
import shapefile
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.files.shape_index import index_from_shapes, other_kinds

RING = [(149.0, -35.0), (149.0, -34.99), (149.01, -34.99), (149.01, -35.0), (149.0, -35.0)]
HOLE = [(149.002, -34.998), (149.004, -34.998), (149.004, -34.996)]
HOLE = [*HOLE, (149.002, -34.996), HOLE[0]]


def written(rings_of_shapes):
    """The ``.shp`` and ``.shx`` that another library writes."""
    shp, shx, dbf = io.BytesIO(), io.BytesIO(), io.BytesIO()
    with shapefile.Writer(shp=shp, shx=shx, dbf=dbf, shapeType=shapefile.POLYGON) as out:
        out.field("zone", "C", 20)
        for rings in rings_of_shapes:
            (out.poly(rings) if rings else out.null())
            out.record("A")
    return shp.getvalue(), shx.getvalue()


@given(st.lists(st.lists(st.sampled_from([RING, HOLE]), max_size=3), max_size=9))
def test_the_index_is_the_one_that_another_library_wrote(rings_of_shapes):
    shp, shx = written(rings_of_shapes)
    assert index_from_shapes(shp) == shx
    assert other_kinds(shp, shx).size == 0


def test_an_index_names_place_and_length_of_each_record():  # SHP-01, SHP-02, SHP-03
    shp, _ = written([[RING, HOLE], [RING], [RING, RING]])
    assert shp[:36].hex() == "0000270a" + 20 * "00" + "00000152" + "e8030000" + "05000000"
    index = index_from_shapes(shp)
    assert (len(shp), len(index)) == (676, 124)
    # ten corners in two rings take 44 + 8 + 160 bytes, which are 106 words; five take 64
    assert list(struct.iter_unpack(">ii", index[100:])) == [(50, 106), (160, 64), (228, 106)]


@pytest.mark.parametrize(
    ("at", "value"),
    [
        (24, struct.pack(">i", 99)),  # the length of the file
        (100, struct.pack(">i", 2)),  # the number of the first record
        (104, struct.pack(">i", 1)),  # its length
        (104, struct.pack(">i", 1000)),
        (104, struct.pack(">i", -64)),
        (108, struct.pack("<i", 3)),  # its kind
    ],
)
def test_no_index_is_made_of_shapes_out_of_step(at, value):
    shp, _ = written([[RING], [RING, HOLE]])
    spoilt = shp[:at] + value + shp[at + 4 :]
    assert index_from_shapes(shp) is not None
    assert index_from_shapes(spoilt) is None


@pytest.mark.parametrize(
    ("index_at", "value", "others"),
    [(108, 0, []), (108, 1_000_000, [1]), (100, 3, [0]), (100, -50, [0])],
)
def test_a_place_without_a_shape_is_found_and_a_deleted_shape_is_none(index_at, value, others):
    shp, shx = written([[RING], [RING, HOLE]])
    spoilt = shx[:index_at] + struct.pack(">i", value) + shx[index_at + 4 :]
    assert other_kinds(shp, spoilt).tolist() == others


@given(st.integers(1, 400))
def test_no_index_is_made_of_shapes_cut_short(lost):
    shp, _ = written([[RING], [RING, HOLE]])
    assert index_from_shapes(shp[:-lost]) is None


@given(st.binary(max_size=300))
def test_any_bytes_are_indexed_or_not_and_never_break_the_program(content):
    found = index_from_shapes(content)
    assert found is None or len(found) >= 100


@given(st.binary(min_size=100, max_size=300), st.binary(min_size=100, max_size=300))
def test_any_index_of_any_shapes_is_looked_through(content, index):
    assert np.all(other_kinds(content, index) >= 0)
