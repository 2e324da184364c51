import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import GroundError, InputFileError
from vrxapp.files import geometry_repair
from vrxapp.files.geometry_repair import lon_lat_features, mended, rebuilt_polygon
from vrxapp.files.raw_layer import RawLayer

BOW_TIE = shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])
SQUARE = shapely.box(149.0, -35.0, 149.01, -34.99)
EAST, NORTH, OUT = 149.01, -34.99, 1e-5
LOOP = [(EAST, NORTH), (EAST - OUT, NORTH + OUT), (EAST, NORTH + OUT), (EAST - OUT, NORTH)]
CORNER_LOOP = shapely.Polygon([(149.0, -35.0), (EAST, -35.0), *LOOP, (149.0, NORTH)])


def raw(*shapes, crs="EPSG:4326"):
    column = np.empty(len(shapes), dtype=object)
    column[:] = shapes
    return RawLayer("a.gpkg", crs, column, tuple({"n": k} for k in range(len(shapes))))


def test_a_bow_tie_is_rebuilt_with_both_halves():  # GEO-01
    assert rebuilt_polygon(BOW_TIE).area == 2.0
    assert BOW_TIE.buffer(0).area == 1.0  # why that is no way to mend


def test_a_hole_partly_outside_takes_off_only_what_lies_inside():  # GEO-02
    shape = shapely.Polygon([(0, 0), (4, 0), (4, 3), (0, 3)], [[(2, 1), (6, 1), (6, 2), (2, 2)]])
    assert rebuilt_polygon(shape).area == 10.0
    assert shapely.make_valid(shape).area == 12.0  # the other method, which adds the outer part


def test_overlapping_parts_count_their_common_ground_once():  # GEO-03
    shape = shapely.MultiPolygon([shapely.box(0, 0, 2, 2), shapely.box(1, 1, 3, 3)])
    assert rebuilt_polygon(shape).area == 7.0
    assert shapely.make_valid(shape).area == 6.0


def test_a_spike_goes_and_one_polygon_stays():  # GEO-04
    shape = shapely.Polygon([(0, 0), (2, 0), (2, 2), (2, 5), (2, 2), (0, 2)])
    sound = rebuilt_polygon(shape)
    assert (sound.geom_type, sound.area) == ("Polygon", 4.0)


def test_a_small_loop_at_a_corner_is_mended_and_told_with_both_areas():
    (shape,), (note,) = mended_one(CORNER_LOOP)
    assert shape.is_valid
    assert str(note) == (
        "a.gpkg, row 7: feature 7: the outline crosses itself near longitude 149.009995, latitude "
        "-34.989995, and was mended (101.2817 ha as drawn, 101.2817 ha mended). Look at that place "
        "on the map."
    )


def mended_one(shape):
    return mended(np.array([shape], dtype=object), np.array([7]), file="a.gpkg")


@pytest.mark.parametrize(
    "shape",
    [
        BOW_TIE,
        shapely.MultiPolygon([shapely.box(0, 0, 2, 2), shapely.box(1, 1, 3, 3)]),
        shapely.Polygon([(0, 0), (1, 1), (2, 2), (1, 1)]),
    ],
)
def test_a_mend_that_would_move_ground_is_refused_with_both_areas(shape):
    with pytest.raises(GroundError, match=r"feature 7: .* ha as drawn, .* ha mended") as caught:
        mended_one(shape)
    assert (caught.value.note.file, caught.value.note.row) == ("a.gpkg", 7)


def test_a_line_that_is_no_line_is_refused():
    with pytest.raises(GroundError, match="feature 7: it has too few corners"):
        mended_one(shapely.LineString([(1, 1), (1, 1)]))


@given(
    st.lists(
        st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=3, max_size=9, unique=True
    )
)
def test_whatever_is_drawn_comes_out_valid_with_its_area_or_is_refused(corners):
    shape = shapely.Polygon([(149 + x / 1e4, -35 + y / 1e4) for x, y in corners])
    try:
        (sound,), notes = mended_one(shape)
    except GroundError:
        assert not shape.is_valid
        return
    assert sound.is_valid
    assert not sound.is_empty
    assert sound.geom_type in ("Polygon", "MultiPolygon")
    assert sound.area == pytest.approx(shape.area, rel=0.006)
    assert bool(notes) is not shape.is_valid


def test_heights_and_measures_are_left_out_and_told():
    with_height = shapely.force_3d(SQUARE, 612.0)
    with_measure = shapely.from_wkt("POINT M (149 -35 7)")
    found = lon_lat_features(raw(SQUARE, with_height, with_measure))
    assert not shapely.has_z(found.shapes).any()
    assert not shapely.has_m(found.shapes).any()
    assert [note.message for note in found.notes] == [
        "heights are left out, in 1 of its features",
        "measures along the line are left out, in 1 of its features",
    ]


def test_features_without_a_shape_or_a_number_are_left_out_and_told():
    broken = shapely.Point(np.nan, -35.0)
    bent = shapely.LineString([(149, -35), (np.inf, -35)])
    found = lon_lat_features(raw(None, SQUARE, shapely.Polygon(), bent, broken, SQUARE))
    assert found.fields == ({"n": 1}, {"n": 5})
    assert [(note.row, note.message) for note in found.notes] == [
        (1, "2 of its features had no shape and were left out: feature 1, 3"),
        (4, "2 of its features had a corner that is no number and were left out: feature 4, 5"),
    ]


def test_a_layer_with_nothing_to_use_is_refused():
    with pytest.raises(InputFileError, match="the layer is empty"):
        lon_lat_features(raw())
    with pytest.raises(InputFileError, match="none of its features has a shape"):
        lon_lat_features(raw(None, shapely.Point()))


def test_a_collection_is_refused_with_its_feature():
    with pytest.raises(GroundError, match="feature 2: a geometry of type 'GeometryCollection'"):
        lon_lat_features(raw(SQUARE, shapely.GeometryCollection([SQUARE])))


def test_numbers_of_features_are_those_of_the_file_after_one_was_left_out():
    with pytest.raises(GroundError, match="feature 2"):
        lon_lat_features(raw(None, BOW_TIE))


@pytest.mark.parametrize(
    ("limit", "told"),
    [("MOST_POLYGONS", "polygons"), ("MOST_POINTS", "points"), ("MOST_VERTICES", "corners")],
)
def test_more_than_can_be_worked_with_is_refused(monkeypatch, limit, told):
    monkeypatch.setattr(geometry_repair, limit, 1)
    with pytest.raises(InputFileError, match=told):
        lon_lat_features(raw(SQUARE, SQUARE))
