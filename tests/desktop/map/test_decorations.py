"""Scale bar, north arrow and legend."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtGui import QPainter, QPixmap

from vrxapp.desktop.ground_layers import point_step
from vrxapp.desktop.map.decorations import (
    Decorations,
    length_text,
    north_arrow_picture,
    round_length_m,
    scale_bar_picture,
)
from vrxapp.desktop.map.legend_art import legend_picture
from vrxapp.desktop.map.marker_layer import MarkerLayer, marker_stamp
from vrxapp.desktop.map.view_transform import ViewTransform
from vrxapp.ground.ground_points import GroundPointKind
from vrxapp.legend import CHECK_STRIP, DARK, LIGHT, Legend, Step, amount_classes

FAMILY = "DejaVu Sans"


def pixels_of(picture):
    image = picture.toImage()
    return np.array(
        [
            [image.pixelColor(x, y).name() for x in range(image.width())]
            for y in range(image.height())
        ]
    )


@pytest.mark.parametrize(
    ("longest_m", "length_m"), [(150.0, 100.0), (499.0, 200.0), (500.0, 500.0), (0.07, 0.05)]
)
def test_the_bar_has_the_longest_round_length_that_fits(longest_m, length_m):
    assert round_length_m(longest_m) == pytest.approx(length_m)


@pytest.mark.parametrize(
    ("length_m", "text"), [(5_000.0, "5 km"), (1_000.0, "1 km"), (500.0, "500 m"), (0.5, "50 cm")]
)
def test_the_bar_tells_its_length_in_a_handy_unit(length_m, text):
    assert length_text(length_m) == text


@pytest.mark.parametrize("metres_per_pixel", [0.02, 0.37, 1.0, 1.9, 44.0])
@pytest.mark.parametrize("pixel_ratio", [1.0, 2.0])
def test_the_bar_is_as_long_as_it_says(metres_per_pixel, pixel_ratio):
    picture = scale_bar_picture(metres_per_pixel, LIGHT, pixel_ratio, FAMILY)
    seen = pixels_of(picture)[int(30 * pixel_ratio)] == LIGHT.text
    length_px = (np.flatnonzero(seen)[-1] - np.flatnonzero(seen)[0]) / pixel_ratio
    length_m = round_length_m(150 * metres_per_pixel)
    assert length_px == pytest.approx(length_m / metres_per_pixel, abs=3.0)


@pytest.mark.parametrize("scheme", [LIGHT, DARK])
def test_the_arrow_points_up(scheme):
    seen = pixels_of(north_arrow_picture(scheme, 1.0, FAMILY)) == scheme.text
    needle = seen[:36].any(axis=1).argmax(), seen[:36].sum(axis=1)
    assert needle[1][needle[0] : needle[0] + 6].max() < needle[1][24:34].max()


@pytest.mark.parametrize("scheme", [LIGHT, DARK])
def test_the_legend_shows_every_step_with_its_hatch(scheme):
    classed = amount_classes([60.0, 80.0, 120.0], title="Urea rate", unit="kg/ha")
    steps = (*classed.legend.steps, CHECK_STRIP)
    legend = Legend("Urea rate", "kg/ha", steps)
    pixels = pixels_of(legend_picture(legend, scheme, 1.0, FAMILY))
    tops = []
    for step in steps:
        rows, columns = np.nonzero(pixels == step.fill)
        assert len(rows) > 300
        assert columns.max() < 70
        tops.append(rows.min())
    assert tops == sorted(tops)
    strip = pixels[tops[-1] : tops[-1] + 17, 15:53]
    assert 0.05 < (strip == CHECK_STRIP.hatch_ink).mean() < 0.5


def test_a_long_label_widens_the_legend():
    short, long = (
        legend_picture(Legend("Rate", "", (Step(label, "#55ba87"),)), LIGHT, 1.0, FAMILY)
        for label in ("60 kg/ha", "60 kg/ha of sulfate of ammonia, capped")
    )
    assert long.width() > short.width() + 100
    assert long.height() == short.height()
    ink = pixels_of(long) == LIGHT.text
    assert not ink[6:-6, -8:-2].any()


def test_each_kind_of_ground_point_has_a_sign_of_its_own_in_the_legend():
    seen = set()
    for kind in GroundPointKind:
        step = replace(point_step(kind), label="", fill="#ffffff")
        picture = legend_picture(Legend("Map", "", (step,)), LIGHT, 1.0, FAMILY)
        seen.add(pixels_of(picture).tobytes())
    assert len(seen) == len(GroundPointKind)


def test_a_marker_with_a_sign_is_larger_and_labels_keep_clear_of_it():
    plain, signed = Step("sample", "#ffffff", is_marker=True), point_step(GroundPointKind.GATE)
    assert marker_stamp(signed, 1.0).width() > marker_stamp(plain, 1.0).width()
    one = np.array([0.0])
    layers = [MarkerLayer("m", one, one, (step,)) for step in (plain, signed)]
    assert layers[1].radius_px > layers[0].radius_px
    assert layers[1].margin_px > layers[1].radius_px


@pytest.mark.parametrize(("steps", "is_left"), [(2, False), (14, True)])
def test_the_arrow_gives_way_to_a_tall_legend(steps, is_left):
    decorations = Decorations()
    rows = tuple(Step(f"{row} kg/ha", "#55ba87") for row in range(steps))
    decorations.set_legend(Legend("Rate", "kg/ha", rows))
    picture = QPixmap(800, 440)
    picture.fill(LIGHT.background)
    with QPainter(picture) as painter:
        view = ViewTransform(width_px=800, height_px=440)
        decorations.draw(painter, view, LIGHT, FAMILY)
    pixels = pixels_of(picture)
    arrow = pixels[14:72, 14:54] == LIGHT.text
    assert bool(arrow.any()) is is_left
