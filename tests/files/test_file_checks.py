import json
import math
import struct
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import ReadBackError
from vrxapp.files.file_checks import ReadBack, WrittenRates, check_written
from vrxapp.files.geojson import read_geojson_rates, write_geojson
from vrxapp.files.shapefile import read_shapefile_rates, write_shapefile
from vrxapp.files.spreader_parts import spreader_parts
from vrxapp.spreading.rate_map import GroundUse, RateMap, total_kg

FILE = "rates.geojson"


@pytest.fixture
def plan():
    """Two boxes side by side of 101.28 ha each, 120 and 80.5 kg/ha."""
    return RateMap(
        product="Starter 10-22",
        unit="kg/ha",
        shapes=np.array(
            [shapely.box(149.0, -35.0, 149.01, -34.99), shapely.box(149.01, -35.0, 149.02, -34.99)]
        ),
        labels=("North", "South"),
        uses=np.array([GroundUse.SPREAD, GroundUse.SPREAD]),
        rates=np.array([120.0, 80.5]),
    )


@pytest.fixture
def written(plan):
    """What a faultless reader finds."""
    return WrittenRates(
        reader="a reader",
        unit=plan.unit,
        shapes=plan.shapes,
        labels=plan.labels,
        rates=plan.rates,
        uses=("spread", "spread"),
        product=plan.product,
    )


def with_shape(written, shape):
    """The second shape replaced."""
    return replace(written, shapes=np.array([written.shapes[0], shape], dtype=object))


def test_a_faultless_file_gives_its_figures(plan, written):
    figures = check_written(plan, written, file=FILE)
    assert figures == ReadBack(FILE, "a reader", 2, total_kg(plan), total_kg(plan))
    # 101.2817 ha × (120 + 80.5) kg/ha
    assert figures.written_kg == pytest.approx(101.2817 * 200.5, abs=0.01)
    assert figures.difference_percent == 0.0


def test_the_difference_is_told_in_percent_of_the_plan():
    assert ReadBack(FILE, "r", 1, 200.0, 201.0).difference_percent == pytest.approx(0.5)
    assert ReadBack(FILE, "r", 1, 0.0, 0.0).difference_percent == 0.0
    assert ReadBack(FILE, "r", 1, 0.0, 1.0).difference_percent == math.inf


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"unit": "L/ha"}, "the unit is kg/ha in the plan and L/ha in the file"),
        ({"product": "Lime"}, "the product is 'Starter 10-22' in the plan and 'Lime'"),
        ({"labels": ("North", "East")}, "part 2: the zone is 'South' in the plan and 'East'"),
        ({"uses": ("spread", "excluded")}, "part 2: the use is 'spread' in the plan and 'excl"),
        ({"labels": ("North",)}, "2 shapes, 1 labels and 2 rates"),
        ({"rates": np.array([120.0, 80.5, 1.0])}, "2 shapes, 2 labels and 3 rates"),
    ],
)
def test_what_is_called_otherwise_is_told_with_both_names(plan, written, change, words):
    with pytest.raises(ReadBackError, match="Nothing was put in place") as caught:
        check_written(plan, replace(written, **change), file=FILE)
    assert words in caught.value.note.message
    assert caught.value.note.file == FILE


@pytest.mark.parametrize("rate", [80.0, 80.5 + 2e-9, 805.0, -80.5, math.nan, math.inf])
def test_another_rate_is_told_with_part_field_and_both_values(plan, written, rate):
    with pytest.raises(ReadBackError) as caught:
        check_written(plan, replace(written, rates=np.array([120.0, rate])), file=FILE)
    note = caught.value.note
    assert (note.row, note.column) == (2, "rate")
    assert f"the rate is 80.5 kg/ha in the plan and {rate:.10g} in the file" in note.message
    assert "'South'" in note.message


def test_a_negative_rate_is_refused_even_where_it_was_planned(plan, written):
    planned = replace(plan, rates=np.array([120.0, -1.0]))
    with pytest.raises(ReadBackError, match="the rate is -1"):
        check_written(planned, replace(written, rates=planned.rates), file=FILE)


def test_what_binary_numbers_do_to_decimals_is_no_difference(plan, written):
    planned = replace(plan, rates=np.array([120.0, 0.1 + 0.2]))
    figures = check_written(planned, replace(written, rates=np.array([120.0, 0.3])), file=FILE)
    assert figures.parts == 2


def test_short_labels_agree_with_the_long_ones_they_stand_for(plan, written):
    planned = replace(plan, labels=("The slope along the creek", "The slope along the road"))
    short = replace(written, labels=("The slope alon~1", "The slope alon~2"), label_width=16)
    assert check_written(planned, short, file=FILE).parts == 2
    swapped = replace(short, labels=short.labels[::-1])
    with pytest.raises(ReadBackError, match="the zone is"):
        check_written(planned, swapped, file=FILE)


SOUTH = shapely.box(149.01, -35.0, 149.02, -34.99)


def with_north(latitude):
    """The southern box with another latitude at its top."""
    return shapely.transform(SOUTH, lambda points: np.where(points == -34.99, latitude, points))


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (None, "no polygon"),
        (shapely.Point(149.015, -34.995), "no polygon"),
        (shapely.Polygon(), "empty"),
        (with_north(math.nan), "no number"),
        (with_north(math.inf), "no number"),
        (shapely.Polygon([(149.01, -35), (149.02, -34.99), (149.02, -35), (149.01, -34.99)]),
         "not plain"),
        (shapely.force_3d(SOUTH, z=612.0), "not plain"),
        (shapely.box(149.01, -35.0, 149.0206, -34.99), "50 m outside"),
        (shapely.box(149.01, -35.0005, 149.02, -34.99), "50 m outside"),
        (shapely.box(-35.0, 149.01, -34.99, 149.02), "50 m outside"),
    ],
)  # fmt: skip
def test_a_shape_that_cannot_be_right_is_told_by_part(plan, written, shape, words):
    with pytest.raises(ReadBackError, match=words) as caught:
        check_written(plan, with_shape(written, shape), file=FILE)
    assert (caught.value.note.row, caught.value.note.column) == (2, "shape")


def test_another_area_is_told_with_both_figures(plan, written):
    # 2 of 1000 parts of the height are missing, 0.2 % of 1012816.963 m²
    lower = shapely.box(149.01, -35.0, 149.02, -34.99002)
    with pytest.raises(ReadBackError, match=r"1012816\.96\d m² in the plan") as caught:
        check_written(plan, with_shape(written, lower), file=FILE)
    assert "part 2 ('South')" in caught.value.note.message


def test_two_parts_of_like_area_that_changed_places_are_found(plan, written):
    swapped = replace(written, shapes=written.shapes[::-1])
    same_rate = replace(plan, rates=np.array([80.0, 80.0]))
    with pytest.raises(ReadBackError, match="lie elsewhere"):
        check_written(same_rate, replace(swapped, rates=same_rate.rates), file=FILE)


def test_a_gap_along_an_edge_is_found_with_its_area(plan, written):  # GJ-07
    # 1e-6 degree wide along 0.01 degree at 35 S: 101.28 m² on the edge of 101.28 ha, which is
    # just 0.01 % of each part; a tenth of it is below every part's own tolerance
    narrower = shapely.box(149.01 + 1e-7, -35.0, 149.02, -34.99)
    with pytest.raises(ReadBackError, match=r"leaves out 10\.1\d+ m² of ground"):
        check_written(plan, with_shape(written, narrower), file=FILE)


def test_an_overlap_along_an_edge_is_found_with_both_parts(plan, written):
    wider = shapely.box(149.01 - 1e-8, -35.0, 149.02, -34.99)
    with pytest.raises(ReadBackError, match=r"overlap by 1\.01\d m².*part 1 and part 2"):
        check_written(plan, with_shape(written, wider), file=FILE)


def test_ground_that_the_file_adds_is_found(plan, written):
    wider = shapely.box(149.01, -35.0, 149.02 + 1e-7, -34.99)
    with pytest.raises(ReadBackError, match=r"adds 10\.1\d+ m² of ground"):
        check_written(plan, with_shape(written, wider), file=FILE)


def test_small_ground_with_many_corners_is_not_refused_for_the_noise_of_its_area(plan, written):
    turn = np.linspace(0, 2 * np.pi, 5_000, endpoint=False)
    corners = np.column_stack([149.02 + 1e-5 * np.cos(turn), -35 + 1e-5 * np.sin(turn)])
    plan = replace(plan, shapes=np.array([plan.shapes[0], shapely.Polygon(corners)]))
    roundings = np.random.default_rng(1).uniform(-5e-12, 5e-12, (20, *corners.shape))
    for rounding in roundings:  # half a micrometre
        rounded = with_shape(written, shapely.Polygon(corners + rounding))
        assert check_written(plan, rounded, file=FILE).parts == 2
    two_millimetres_east = np.array([2e-8, 0.0])
    moved = with_shape(written, shapely.Polygon(corners + two_millimetres_east))
    with pytest.raises(ReadBackError, match="lie elsewhere"):
        check_written(plan, moved, file=FILE)


def test_a_corner_added_on_a_long_parallel_changes_the_area_on_the_ellipsoid():
    # edges are shortest lines: one of 18 km bulges by 4.5 m from its parallel, two of half
    # the length by a quarter of that
    long_box = shapely.box(149.0, -35.0, 149.2, -34.999)
    halved = shapely.Polygon([*long_box.exterior.coords[:-1], (149.1, -35.0), (149.2, -35.0)])
    assert shapely.symmetric_difference(long_box, halved).area == 0.0
    plan = RateMap(
        "Lime", "kg/ha", np.array([long_box]), ("Z",), np.array(["spread"]), np.array([9.0])
    )
    found = WrittenRates("a reader", "kg/ha", np.array([halved]), ("Z",), plan.rates)
    with pytest.raises(ReadBackError, match=r"and 0\.000 m² lie elsewhere"):
        check_written(plan, found, file=FILE)


def test_a_total_that_differs_is_refused_even_where_each_rate_is_near_enough(plan, written):
    planned = replace(plan, rates=np.array([0.0, 1e-9]))
    with pytest.raises(ReadBackError, match="the plan asks for"):
        check_written(planned, replace(written, rates=np.zeros(2)), file=FILE)


def test_many_small_gaps_are_found_by_their_sum():
    # 40 parts of 1.1 m², each 0.0008 m² short: below every part's own tolerance, 0.07 % in all
    west = 149.0 + np.arange(40) * 4e-5
    shapes = shapely.box(west, -35.0, west + 1.1e-5, -34.99999)
    plan = RateMap(
        "Lime", "kg/ha", shapes, ("Zone",) * 40, np.full(40, "spread"), np.full(40, 1000.0)
    )
    shorter = shapely.box(west + 7.9e-9, -35.0, west + 1.1e-5, -34.99999)
    found = WrittenRates("a reader", "kg/ha", shorter, plan.labels, plan.rates)
    with pytest.raises(ReadBackError, match=r"leaves out 0\.03\d m² of ground, 0\.001 m²"):
        check_written(plan, found, file=FILE)


def test_one_part_a_hair_smaller_is_no_difference(plan, written):
    # 1e-10 degree, 0.01 mm, along 1.1 km: 0.01 m²
    narrower = shapely.box(149.01 + 1e-10, -35.0, 149.02, -34.99)
    figures = check_written(plan, with_shape(written, narrower), file=FILE)
    assert figures.written_kg < figures.planned_kg
    assert figures.difference_percent == pytest.approx(0.0, abs=1e-6)


@pytest.fixture
def shapefile(paddock_map, tmp_path):
    """A paddock's plain parts and the Shapefile of them."""
    parts = spreader_parts(paddock_map)
    path = write_shapefile(parts, tmp_path, name="RATES_R1", written_on=date(2025, 4, 30))
    return parts, path


@pytest.fixture
def geojson(paddock_map, tmp_path):
    """A paddock's plain parts and the GeoJSON of them."""
    parts = spreader_parts(paddock_map)
    write_geojson(parts, tmp_path / FILE)
    return parts, tmp_path / FILE


def test_both_formats_of_a_paddock_pass(shapefile, geojson):
    parts, path = shapefile
    assert check_written(parts, read_shapefile_rates(path), file=path.name).parts == len(
        parts.rates
    )
    parts, path = geojson
    figures = check_written(parts, read_geojson_rates(path), file=path.name)
    assert abs(figures.difference_percent) < 1e-6


def test_a_rate_changed_in_the_table_of_a_shapefile_is_found(shapefile):
    parts, path = shapefile
    table = path.with_suffix(".dbf")
    content = table.read_bytes()
    assert content.count(b"    120.00") >= 1
    table.write_bytes(content.replace(b"    120.00", b"    120.01", 1))
    with pytest.raises(ReadBackError, match=r"the rate is 120 kg/ha in the plan and 120\.01"):
        check_written(parts, read_shapefile_rates(path), file=path.name)


def test_a_corner_moved_in_a_shapefile_is_found(shapefile):
    parts, path = shapefile
    content = bytearray(path.read_bytes())
    # the second corner of the first ring: record at 100, one part, points from 156
    (longitude,) = struct.unpack("<d", content[172:180])
    content[172:180] = struct.pack("<d", longitude + 1e-6)
    path.write_bytes(content)
    with pytest.raises(ReadBackError, match=r"overlap|elsewhere|leaves out|adds"):
        check_written(parts, read_shapefile_rates(path), file=path.name)


def test_a_record_dropped_from_the_table_of_a_shapefile_is_found(shapefile):
    parts, path = shapefile
    table = path.with_suffix(".dbf")
    content = table.read_bytes()
    fewer = struct.pack("<I", len(parts.rates) - 1)
    table.write_bytes(content[:4] + fewer + content[8:-34] + b"\x1a")
    with pytest.raises(ReadBackError):
        check_written(parts, read_shapefile_rates(path), file=path.name)


def test_a_shapefile_cut_short_is_found(shapefile):
    parts, path = shapefile
    path.write_bytes(path.read_bytes()[:-40])
    with pytest.raises(ReadBackError):
        check_written(parts, read_shapefile_rates(path), file=path.name)


def change_feature(path, change):
    """Change the second feature of a file in place."""
    root = json.loads(path.read_text("utf-8"))
    change(root["features"])
    path.write_text(json.dumps(root), "utf-8")


def move_corner(features):
    features[1]["geometry"]["coordinates"][0][1][0] += 1e-6


@pytest.mark.parametrize(
    "change",
    [
        lambda features: features[1]["properties"].update(rate_kg_ha=1.0),
        lambda features: features[1]["properties"].update(rate_kg_ha=None),
        lambda features: features[1]["properties"].update(rate_kg_ha="many"),
        lambda features: features[1]["properties"].pop("rate_kg_ha"),
        lambda features: features[1]["properties"].update(zone="Elsewhere"),
        lambda features: features[1]["properties"].update(use="unknown"),
        lambda features: features[1]["properties"].update(unit="t/ha"),
        lambda features: features[1]["properties"].update(product="Lime"),
        lambda features: features.pop(),
        lambda features: features.reverse(),
        move_corner,
    ],
)
def test_a_change_to_a_geojson_is_found(geojson, change):
    parts, path = geojson
    change_feature(path, change)
    with pytest.raises(ReadBackError):
        check_written(parts, read_geojson_rates(path), file=path.name)


@settings(max_examples=50)
@given(data=st.data())
def test_any_single_wrong_rate_is_found(random_maps, data):
    plan = spreader_parts(data.draw(random_maps))
    row = data.draw(st.integers(0, len(plan.rates) - 1))
    by = data.draw(st.sampled_from([0.01, -0.01, 1.0, 100.0]))
    rates = plan.rates.copy()
    rates[row] += by
    found = WrittenRates("a reader", plan.unit, plan.shapes, plan.labels, rates)
    with pytest.raises(ReadBackError) as caught:
        check_written(plan, found, file=FILE)
    assert (caught.value.note.row, caught.value.note.column) == (row + 1, "rate")
