"""Outlines as Qt paths."""

import numpy as np
import pytest
import shapely

from vrxapp.desktop.map.path_store import PathStore, paths_of, polygon_of


def points_of(path):
    return [(path.elementAt(i).x, path.elementAt(i).y) for i in range(path.elementCount())]


@pytest.fixture
def circle():
    return shapely.Point(552_000.0, 6_241_000.0).buffer(100.0, quad_segs=64)


def test_an_array_becomes_a_polygon_of_the_same_points():
    points = np.array([[0.0, 1.5], [2.0, -3.0], [1e6, 7.25]])
    polygon = polygon_of(points)
    assert [(point.x(), point.y()) for point in polygon] == [tuple(row) for row in points]
    assert polygon_of(np.empty((0, 2))).isEmpty()


def test_a_polygon_does_not_look_into_the_array_afterwards():
    points = np.array([[1.0, 2.0], [3.0, 4.0]])
    polygon = polygon_of(points)
    points[:] = 0.0
    assert polygon[1].x() == 3.0


def test_paths_count_from_their_origin(block):
    path = paths_of(np.array([shapely.box(110, 205, 130, 225)]), (100.0, 200.0))[0]
    assert set(points_of(path)) == {(10, 5), (10, 25), (30, 25), (30, 5)}


def test_holes_and_parts_belong_to_one_path():
    outer = shapely.box(0, 0, 10, 10).difference(shapely.box(4, 4, 6, 6))
    shapes = np.array(
        [shapely.MultiPolygon([outer, shapely.box(20, 0, 22, 2)]), shapely.box(50, 50, 60, 60)]
    )
    first, second = paths_of(shapes, (0.0, 0.0))
    inside = [
        first.contains(point)
        for point in polygon_of(np.array([[1.0, 1.0], [5.0, 5.0], [21.0, 1.0], [55.0, 55.0]]))
    ]
    assert inside == [True, False, True, False]
    assert second.boundingRect().getRect() == (50.0, 50.0, 10.0, 10.0)


def test_a_line_stays_open():
    path = paths_of(np.array([shapely.LineString([(0, 0), (5, 0), (5, 5)])]), (0.0, 0.0))[0]
    assert points_of(path) == [(0, 0), (5, 0), (5, 5)]


def test_a_geometry_is_built_once_for_each_doubling(circle):
    store, shapes, rows = PathStore(), np.array([circle]), np.array([0])
    coarse, fine = (store.paths(shapes, rows, doubling)[0] for doubling in (-1, 4))
    assert store.paths(shapes, rows, -1)[0] is coarse
    assert store.paths(np.array([circle]), rows, -1)[0] is coarse
    assert coarse.elementCount() < fine.elementCount() / 2


def test_simplified_copies_stray_less_than_a_third_of_a_pixel():
    random = np.random.default_rng(9)
    angle = np.linspace(0.0, 2.0 * np.pi, 3_000, endpoint=False)
    radius = 400.0 + np.cumsum(random.normal(0.0, 0.5, 3_000))
    shore = shapely.Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))
    store = PathStore()
    path = store.paths(np.array([shore]), np.array([0]), -1)[0]
    corners = np.array(points_of(path)) + store.origin_m
    strays_px = 0.5 * shapely.hausdorff_distance(shore.exterior, shapely.LineString(corners))
    assert path.elementCount() < 1_500
    assert 0.1 < strays_px <= 1 / 3


def test_what_is_too_small_to_simplify_is_still_drawn():
    crumb = shapely.Point(0.0, 0.0).buffer(0.01)
    path = PathStore().paths(np.array([crumb]), np.array([0]), -3)[0]
    assert path.elementCount() > 3


def test_forgotten_geometries_are_built_anew(circle):
    store, shapes, rows = PathStore(), np.array([circle]), np.array([0])
    kept = store.paths(shapes, rows, 0)[0]
    store.keep_only([shapes])
    assert store.paths(shapes, rows, 0)[0] is kept
    store.keep_only([])
    assert store.paths(shapes, rows, 0)[0] is not kept


def test_an_empty_geometry_has_an_empty_path():
    paths = PathStore().paths(np.array([shapely.Polygon()]), np.array([0]), 0)
    assert paths[0].isEmpty()
