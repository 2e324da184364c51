"""The map's speed, as ratios to a named peer in the same run.

Absolute figures are printed (run with ``-s``) and never asserted. The peer of a
frame is the plain way: a widget that draws all zones, one path each, whenever it
is asked to paint.
"""

import os
import time
from dataclasses import replace

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPixmap, QPolygonF, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.path_store import PathStore, polygon_of
from vrxapp.desktop.map.picking import Picker
from vrxapp.desktop.map.pixels import image_of, packed_steps
from vrxapp.desktop.map.point_layer import PointLayer
from vrxapp.desktop.map.raster_layer import RasterLayer
from vrxapp.desktop.map.view_transform import TILE_PX, ViewTransform
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import LIGHT, amount_classes

pytestmark = pytest.mark.benchmark

WIDTH, HEIGHT = 1200, 800
ZONES_ACROSS, ZONES_ALONG = 50, 40
ZONE_M = (24.0, 20.0)
CORNERS = 60
ORIGIN = (552_000.0, 6_241_000.0)
EXTENT = (ZONES_ACROSS * ZONE_M[0], ZONES_ALONG * ZONE_M[1])


def tell(figures):
    """Show figures to whoever runs the benchmark."""
    print(f"\n{figures}")


def median_ms(act, repeats=7):
    """Median time of an act. [ms]"""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        act()
        times.append((time.perf_counter() - start) * 1e3)
    return float(np.median(times))


def zone_shapes():
    angle = np.linspace(0.0, 2.0 * np.pi, CORNERS, endpoint=False)
    shapes = []
    for i in range(ZONES_ACROSS * ZONES_ALONG):
        x = ORIGIN[0] + (i % ZONES_ACROSS + 0.5) * ZONE_M[0]
        y = ORIGIN[1] + (i // ZONES_ACROSS + 0.5) * ZONE_M[1]
        radius = 0.45 * (1.0 + 0.08 * np.sin(5.0 * angle + i))
        across, along = radius * ZONE_M[0] * np.cos(angle), radius * ZONE_M[1] * np.sin(angle)
        ring = np.column_stack([x + across, y + along])
        shapes.append(shapely.Polygon(ring))
    return np.array(shapes)


@pytest.fixture(scope="module")
def zones():
    rates = np.random.default_rng(1).choice([60.0, 80.0, 95.0, 120.0, 150.0], 2_000)
    classed = amount_classes(rates, title="Rate", unit="kg/ha")
    return ZoneLayer("zones", zone_shapes(), classed.legend.steps, classed.step_of_row)


@pytest.fixture(scope="module")
def points():
    random = np.random.default_rng(2)
    easting, northing = (
        start + size * random.random(1_000_000) for start, size in zip(ORIGIN, EXTENT, strict=True)
    )
    classed = amount_classes(random.normal(3.0, 1.0, 1_000_000), title="Yield", unit="t/ha")
    colors = packed_steps(classed.legend.steps, classed.step_of_row)
    return PointLayer("points", easting, northing, colors)


@pytest.fixture(scope="module")
def raster():
    cells = np.random.default_rng(3).integers(0, 1 << 24, (4_000, 4_000), dtype=np.uint32)
    pixel = EXTENT[0] / 4_000
    affine = (pixel, 0.0, ORIGIN[0], 0.0, -pixel, ORIGIN[1] + EXTENT[1])
    return RasterLayer("raster", cells | np.uint32(0xFF000000), affine)


class PlainZones(QWidget):
    """The peer: all zones painted in each frame, antialiased, one ready path for each."""

    def __init__(self, layer):
        super().__init__()
        self.resize(WIDTH, HEIGHT)
        self.fills = [QColor(layer.styles[style].fill) for style in layer.style_of_row]
        self.paths = []
        for shape in layer.geometries:
            path = QPainterPath()
            path.addPolygon(polygon_of((shapely.get_coordinates(shape) - ORIGIN) * (1.0, -1.0)))
            self.paths.append(path)
        self.pen = QPen(QColor(LIGHT.edge), 1.0)
        self.pen.setCosmetic(True)

    def paintEvent(self, _event):  # noqa: N802
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), QColor(LIGHT.background))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.translate(0.0, EXTENT[1])
            painter.setPen(self.pen)
            for path, fill in zip(self.paths, self.fills, strict=True):
                painter.setBrush(fill)
                painter.drawPath(path)


class PlainMap(PlainZones):
    """The peer for the whole picture: raster, zones and points painted in each frame."""

    def __init__(self, raster, zones, points):
        super().__init__(zones)
        self.raster = image_of(raster.pixels)
        self.mean_binning = mean_binning_of(points)

    def paintEvent(self, event):  # noqa: N802
        with QPainter(self) as painter:
            painter.drawImage(QRectF(self.rect()), self.raster)
        super().paintEvent(event)
        pixels = self.mean_binning()
        with QPainter(self) as painter:
            painter.drawImage(0, 0, image_of(pixels))


@pytest.fixture
def repaint_ms(qtbot):
    def measure(plain):
        qtbot.addWidget(plain)
        with qtbot.waitExposed(plain):
            plain.show()
        return median_ms(plain.repaint)

    return measure


@pytest.fixture
def full_repaint_ms(repaint_ms, zones):
    return repaint_ms(PlainZones(zones))


@pytest.fixture
def full_map(qtbot, raster, zones, points):
    view = MapView()
    qtbot.addWidget(view)
    view.resize(WIDTH, HEIGHT)
    view.set_layers([raster, zones, points])
    with qtbot.waitExposed(view):
        view.show()
    qtbot.waitUntil(view.is_sharp, timeout=20_000)
    return view


def mean_binning_of(points):
    """The peer for points: the mean of each pixel by bincount, then a table of colours."""
    amounts = np.random.default_rng(6).random(len(points.easting_m))
    fills = amount_classes(np.linspace(0.0, 1.0, 5), title="", unit="").legend.steps
    table = packed_steps(fills, np.arange(len(fills)))

    def paint():
        column = (points.easting_m - ORIGIN[0]).astype(np.int64)
        row = (ORIGIN[1] + EXTENT[1] - points.northing_m).astype(np.int64)
        pixel = row * WIDTH + column
        count = np.bincount(pixel, minlength=WIDTH * HEIGHT)
        total = np.bincount(pixel, weights=amounts, minlength=WIDTH * HEIGHT)
        with np.errstate(invalid="ignore"):
            mean = total / count
        color = table[np.clip(np.nan_to_num(mean) * len(table), 0, len(table) - 1).astype(int)]
        return np.where(count > 0, color, np.uint32(0)).reshape(HEIGHT, WIDTH)

    return paint


def full_repaint_ms_of(layers):
    """Time to paint layers anew into one picture of the window's size. [ms]"""
    paths = PathStore()
    frame = frame_over_all(paths)
    picture = QPixmap(WIDTH, HEIGHT)

    def paint():
        picture.fill(QColor(LIGHT.background))
        for layer in layers:
            with QPainter(picture) as painter:
                for _ in layer.paint(painter, frame):
                    pass

    paint()
    return median_ms(paint)


def frame_over_all(paths, *, is_draft=False):
    view = ViewTransform(width_px=WIDTH, height_px=HEIGHT)
    view = view.centered_on(ORIGIN[0] + EXTENT[0] / 2, ORIGIN[1] + EXTENT[1] / 2)
    return Frame(
        view.rung, view.left_px, view.top_px, WIDTH, HEIGHT, 1.0, LIGHT, paths, is_draft=is_draft
    )


def drag_times(qapp, view, steps):
    """Times of each step of a drag: until painted, and with the work done in between. [ms]"""
    middle = QPoint(WIDTH // 2, HEIGHT // 2)
    frames, turns = [], []
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=middle)
    for i in range(1, steps):
        place = middle + QPoint(round(3.0 * i), round(40.0 * np.sin(i / 9.0)))
        start = time.perf_counter()
        QTest.mouseMove(view, place)
        view.repaint()
        frames.append((time.perf_counter() - start) * 1e3)
        qapp.processEvents()
        turns.append((time.perf_counter() - start) * 1e3)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=place)
    return frames, turns


def test_a_pan_frame_is_a_blit(qapp, full_map, full_repaint_ms, repaint_ms, request):
    layers = [request.getfixturevalue(name) for name in ("raster", "zones", "points")]
    plain_ms, own_ms = repaint_ms(PlainMap(*layers)), full_repaint_ms_of(layers)
    pixels = np.ones((HEIGHT, WIDTH), np.uint32)
    target = pixels.copy()
    copy_ms = median_ms(lambda: np.copyto(target, pixels), 50)
    frames, turns = drag_times(qapp, full_map, 150)
    pan_ms = float(np.median(frames))
    tell(
        f"pan frame {pan_ms:.2f} ms (99th percentile {np.percentile(frames, 99):.2f}, largest "
        f"{max(frames):.2f}); with the painting in between {np.median(turns):.2f} (99th "
        f"percentile {np.percentile(turns, 99):.2f}, largest {max(turns):.2f})"
        f"\nfull repaint of the same picture in the plain way {plain_ms:.1f} ms: "
        f"{plain_ms / pan_ms:.0f}x; by the map's own layers {own_ms:.1f} ms: "
        f"{own_ms / pan_ms:.0f}x; of the 2,000 zones alone {full_repaint_ms:.1f} ms: "
        f"{full_repaint_ms / pan_ms:.0f}x\nbare copy of the window's pixels {copy_ms:.2f} ms: "
        f"{pan_ms / copy_ms:.1f} copies a frame; {full_repaint_ms / copy_ms:.0f}x would be the most"
    )
    assert plain_ms / pan_ms >= 50.0
    # Every pixel of a frame is moved once, so memory sets the limit against a cheap layer.
    assert pan_ms / copy_ms <= 3.0
    assert full_repaint_ms / pan_ms >= 20.0


def test_a_new_tile_costs_a_fraction_of_a_full_repaint(zones, full_repaint_ms, qapp):
    paths = PathStore()
    whole = frame_over_all(paths)
    corners = [
        (left, top)
        for left in range(whole.left_px, whole.left_px + WIDTH - TILE_PX, TILE_PX)
        for top in range(whole.top_px, whole.top_px + HEIGHT - TILE_PX, TILE_PX)
    ]
    window = QPixmap(WIDTH, HEIGHT)
    sheets = [QPixmap(TILE_PX, TILE_PX) for _ in range(24)]
    for sheet in sheets:
        sheet.fill(QColor(LIGHT.background))

    def blit():
        with QPainter(window) as painter:
            for i, sheet in enumerate(sheets):
                painter.drawPixmap(i % 6 * TILE_PX - 100, i // 6 * TILE_PX - 100, sheet)

    def times():
        for left, top in corners:
            frame = replace(whole, left_px=left, top_px=top, width_px=TILE_PX, height_px=TILE_PX)
            start = time.perf_counter()
            tile = QPixmap(TILE_PX, TILE_PX)
            tile.fill(Qt.GlobalColor.transparent)
            with QPainter(tile) as painter:
                for _ in zones.paint(painter, frame):
                    pass
            blit()
            yield (time.perf_counter() - start) * 1e3

    first, again = list(times()), list(times())
    tell(
        f"pan frame with one new tile of 2,000 zones: {np.median(again):.2f} ms "
        f"(largest {max(again):.2f}), {np.median(first):.2f} (largest {max(first):.2f}) where its "
        f"outlines are built as well; full repaint {full_repaint_ms:.1f} ms: "
        f"{full_repaint_ms / np.median(again):.1f}x"
    )
    assert full_repaint_ms / np.median(again) >= 5.0


def test_zooming_shows_a_preview_and_is_soon_sharp(qtbot, qapp, full_map, full_repaint_ms):
    previews, sharps, slices = [], [], []
    for units in (120, 120, -120, 240, -360, -120):
        start = time.perf_counter()
        turn_wheel(full_map, units)
        full_map.repaint()
        previews.append((time.perf_counter() - start) * 1e3)
        while not full_map.is_sharp():
            began = time.perf_counter()
            qapp.processEvents()
            slices.append((time.perf_counter() - began) * 1e3)
        sharps.append((time.perf_counter() - start) * 1e3)
    tell(
        f"zoom preview {np.median(previews):.1f} ms (largest {max(previews):.1f}); sharp after "
        f"{np.median(sharps):.0f} ms (largest {max(sharps):.0f}); longest slice "
        f"{max(slices):.1f} ms"
    )
    assert np.median(previews) <= full_repaint_ms / 2.0
    assert np.median(sharps) <= 10.0 * full_repaint_ms


def turn_wheel(view, units):
    middle = QPointF(WIDTH / 2, HEIGHT / 2)
    event = QWheelEvent(
        middle,
        view.mapToGlobal(middle),
        QPoint(),
        QPoint(0, units),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(view, event)


def test_picking_asks_a_tree_instead_of_every_zone(zones, points):
    picker = Picker()
    picker.set_layers([zones, points])
    random = np.random.default_rng(4)
    places = np.column_stack(
        [start + size * random.random(200) for start, size in zip(ORIGIN, EXTENT, strict=True)]
    )
    picker.feature_at(*places[0], reach_m=9.0, fine_reach_m=0.0)
    times = []
    for place in places:
        start = time.perf_counter()
        picker.feature_at(*place, reach_m=9.0, fine_reach_m=5.0)
        times.append((time.perf_counter() - start) * 1e3)

    def among_all_zones(place):
        return np.flatnonzero([zone.intersects(shapely.Point(place)) for zone in zones.geometries])

    by_loop_ms = median_ms(lambda: among_all_zones(places[0]), 3)
    zone_picker = Picker()
    zone_picker.set_layers([zones])
    zone_picker.feature_at(*places[0], reach_m=9.0, fine_reach_m=0.0)
    by_tree_ms = median_ms(
        lambda: zone_picker.feature_at(*places[0], reach_m=9.0, fine_reach_m=0.0), 50
    )
    tell(
        f"picking among a million points and 2,000 zones {np.median(times):.3f} ms (largest "
        f"{max(times):.2f}); among the zones alone {by_tree_ms:.3f} ms, by a loop "
        f"{by_loop_ms:.1f} ms: {by_loop_ms / by_tree_ms:.0f}x"
    )
    assert by_loop_ms / by_tree_ms >= 20.0


def test_cells_of_a_grid_are_an_image(zones, qapp):
    columns, rows = 160, 125
    classed = amount_classes(
        np.random.default_rng(5).normal(100.0, 20.0, columns * rows), title="Rate", unit="kg/ha"
    )
    pixels = packed_steps(classed.legend.steps, classed.step_of_row).reshape(rows, columns)
    affine = (EXTENT[0] / columns, 0.0, ORIGIN[0], 0.0, -EXTENT[1] / rows, ORIGIN[1] + EXTENT[1])
    image_ms = full_repaint_ms_of([RasterLayer("cells", pixels, affine)])
    width, height = WIDTH / columns, HEIGHT / rows
    steps = classed.step_of_row
    by_step = [
        [
            QRectF(i % columns * width, i // columns * height, width, height)
            for i in np.flatnonzero(steps == step).tolist()
        ]
        for step in range(len(classed.legend.steps))
    ]
    picture = QPixmap(WIDTH, HEIGHT)

    def by_rectangles():
        picture.fill(QColor(LIGHT.background))
        with QPainter(picture) as painter:
            painter.setPen(Qt.PenStyle.NoPen)
            for step, cells in zip(classed.legend.steps, by_step, strict=True):
                painter.setBrush(QColor(step.fill))
                painter.drawRects(cells)

    rectangles_ms = median_ms(by_rectangles)
    tell(
        f"20,000 cells as an image {image_ms:.2f} ms, as rectangles for each class "
        f"{rectangles_ms:.1f} ms: {rectangles_ms / image_ms:.1f}x"
    )
    assert rectangles_ms / image_ms >= 4.0


def test_a_million_points_are_scattered(points, qapp):
    paths = PathStore()
    rest, draft = frame_over_all(paths), frame_over_all(paths, is_draft=True)
    rest_ms = median_ms(lambda: image_of(points.pixels(rest)))
    draft_ms = median_ms(lambda: image_of(points.pixels(draft)))
    mean_binning = mean_binning_of(points)
    binning_ms = median_ms(mean_binning, 5)
    tell(
        f"a million points: mean binning {binning_ms:.1f} ms; at rest {rest_ms:.2f} ms "
        f"({binning_ms / rest_ms:.1f}x); during a drag {draft_ms:.2f} ms "
        f"({binning_ms / draft_ms:.0f}x)"
    )
    assert binning_ms / rest_ms >= 5.0
    assert binning_ms / draft_ms >= 20.0


def test_arrays_become_polygons_through_shared_memory(zones):
    rings = [shapely.get_coordinates(zone) for zone in zones.geometries]
    shared_ms = median_ms(lambda: [polygon_of(ring) for ring in rings])
    listed_ms = median_ms(lambda: [QPolygonF([QPointF(x, y) for x, y in r]) for r in rings], 3)
    tell(
        f"2,000 rings of 61 points: shared memory {shared_ms:.1f} ms, lists of points "
        f"{listed_ms:.0f} ms: {listed_ms / shared_ms:.0f}x"
    )
    assert listed_ms / shared_ms >= 5.0


def test_new_rates_are_soon_on_the_map(qapp, full_map, raster, zones, points, full_repaint_ms):
    random = np.random.default_rng(7)
    times, stalls = [], []
    for _ in range(5):
        changed = np.array(zones.style_of_row)
        rows = random.choice(len(changed), 500, replace=False)
        changed[rows] = (changed[rows] + 1) % len(zones.styles)
        start = time.perf_counter()
        zones = zones.restyled(zones.styles, changed)
        full_map.set_layers([raster, zones, points])
        stalls.append((time.perf_counter() - start) * 1e3)
        while not full_map.is_sharp():
            began = time.perf_counter()
            qapp.processEvents()
            stalls.append((time.perf_counter() - began) * 1e3)
        full_map.repaint()
        times.append((time.perf_counter() - start) * 1e3)
    tell(
        f"500 of 2,000 zones in other colours: sharp after {np.median(times):.0f} ms (largest "
        f"{max(times):.0f}), longest stall {max(stalls):.1f} ms; full repaint of the zones in the "
        f"plain way {full_repaint_ms:.1f} ms"
    )
    assert max(stalls) <= 2.0 * full_repaint_ms
    assert np.median(times) <= 5.0 * full_repaint_ms
