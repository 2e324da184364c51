"""The invented farm: remade alike, a paddock that could be, and sheets that fit its zones."""

import csv
import json
import zipfile
from collections import defaultdict
from pathlib import Path

import numpy as np
import openpyxl
import pyogrio.raw
import pyproj
import pytest
import rasterio
import shapefile
import shapely
from shapely.geometry import shape

from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.files.product_list import read_product_list
from vrxapp.inputs.compatibility import refusal
from vrxapp.inputs.products import product_called, typical_products
from vrxapp.soil.analytes import analyte_called

GEOJSON = ("boundary", "exclusions", "zones", "check_strips")
SHEETS = ("lab_composites.csv", "lab_georeferenced.csv", "products.csv")
ANALYTES = ("Colwell P", "PBI", "pH (CaCl2)")
TO_METRES = pyproj.Transformer.from_crs("EPSG:4326", "EPSG:7855", always_xy=True)


def made_files(folder):
    """Names of all files that the script makes, in the order of their names."""
    code = (".py", ".pyc", ".md")
    found = [path for path in folder.rglob("*") if path.is_file() and path.suffix not in code]
    return sorted(path.relative_to(folder).as_posix() for path in found)


def decoded(folder):
    """What every file holds; the parts of a Shapefile are read with it."""
    names = [name for name in made_files(folder) if Path(name).suffix not in (".dbf", ".shx")]
    return {name: DECODERS.get(Path(name).suffix, text_of)(folder / name) for name in names}


def text_of(path):
    return path.read_text("utf-8")


def json_of(path):
    return json.loads(path.read_text("utf-8"))


def rows_of(path):
    return list(csv.reader(path.read_text("utf-8").splitlines()))


def cells_of(path):
    book = openpyxl.load_workbook(path)
    return [list(row) for row in book.active.iter_rows(values_only=True)]


def members_of(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def shapefile_of(path):
    with shapefile.Reader(str(path)) as reader:
        return [(r.shape.__geo_interface__, r.record.as_dict()) for r in reader.iterShapeRecords()]


def system_of(path):
    return pyproj.CRS.from_wkt(path.read_text("ascii")).name


def layer_of(path):
    meta, _, shapes, columns = pyogrio.raw.read(path)
    values = [column.tolist() for column in columns]
    return meta["crs"], list(shapes), list(meta["fields"]), values


def raster_of(path):
    with rasterio.open(path) as dataset:
        return dataset.profile, dataset.tags(), dataset.units, dataset.read().tolist()


DECODERS = {
    ".geojson": json_of,
    ".csv": rows_of,
    ".xlsx": cells_of,
    ".zip": shapefile_of,
    ".shp": shapefile_of,
    ".prj": system_of,
    ".kmz": members_of,
    ".gpkg": layer_of,
    ".tif": raster_of,
}


def features(folder, name):
    return json.loads((folder / f"{name}.geojson").read_text("utf-8"))["features"]


def lon_lat_shapes(folder, name):
    return [shape(feature["geometry"]) for feature in features(folder, name)]


def in_metres(geometry):
    return shapely.transform(
        geometry, lambda xy: np.column_stack(TO_METRES.transform(xy[:, 0], xy[:, 1]))
    )


def metric_shapes(folder, name):
    return [in_metres(geometry) for geometry in lon_lat_shapes(folder, name)]


def excluded(folder):
    setbacks = [f["properties"]["setback_m"] for f in features(folder, "exclusions")]
    shapes = metric_shapes(folder, "exclusions")
    return shapely.union_all([s.buffer(m) for s, m in zip(shapes, setbacks, strict=True)])


def composites(folder):
    lines = (folder / "lab_composites.csv").read_text("utf-8").splitlines()
    return {row["Zone"]: row for row in csv.DictReader([lines[1], *lines[3:]])}


def georeferenced(folder):
    lines = (folder / "lab_georeferenced.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(lines[1:]))


def position(row):
    return in_metres(shapely.Point(float(row["Longitude"]), float(row["Latitude"])))


def zone_names(folder):
    return [feature["properties"]["zone"] for feature in features(folder, "zones")]


def test_making_it_again_gives_the_same_content(make, remade, tmp_path):
    assert make(tmp_path).returncode == 0
    assert decoded(tmp_path) == decoded(remade)


def test_the_files_that_travel_with_the_program_are_those_the_script_makes(shipped, remade):
    assert decoded(shipped) == decoded(remade)


def test_older_files_are_replaced_and_others_stay(make, remade, tmp_path):
    (tmp_path / "zones.geojson").write_text("older")
    (tmp_path / "mine.txt").write_text("mine")
    assert make(tmp_path).returncode == 0
    assert json_of(tmp_path / "zones.geojson") == json_of(remade / "zones.geojson")
    made = {path.name for path in remade.iterdir()}
    assert {path.name for path in tmp_path.iterdir()} == {*made, "mine.txt"}


def test_where_one_file_cannot_be_written_the_older_ones_stand(make, tmp_path):
    (tmp_path / "boundary.geojson").write_text("older")
    (tmp_path / "products.csv").mkdir()
    done = make(tmp_path)
    assert done.returncode == 1
    assert done.stderr.startswith("products.csv: ")
    assert done.stderr.count("\n") == 1
    assert (tmp_path / "boundary.geojson").read_text() == "older"
    assert {path.name for path in tmp_path.iterdir()} == {"boundary.geojson", "products.csv"}


def test_a_file_in_place_of_the_folder_is_left_alone(make, tmp_path):
    target = tmp_path / "taken"
    target.write_text("mine")
    done = make(target)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert "taken" in done.stderr
    assert target.read_text() == "mine"


def test_a_folder_in_place_of_a_file_further_in_is_left_alone_too(make, tmp_path):
    (tmp_path / "layers" / "conductivity.tif").mkdir(parents=True)
    done = make(tmp_path)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert done.stderr.startswith("conductivity.tif: ")
    assert [path.name for path in tmp_path.iterdir()] == ["layers"]


def test_all_files_together_stay_small(remade):
    sizes = [(remade / name).stat().st_size for name in made_files(remade)]
    assert sum(sizes) < 3_000_000
    assert len(sizes) == 47


def test_every_shape_and_every_lab_sheet_says_that_it_is_invented(remade):
    notes = [f["properties"]["note"] for name in GEOJSON for f in features(remade, name)]
    titles = [(remade / name).read_text("utf-8") for name in SHEETS[:2]]
    assert all(text.startswith("Invented") for text in (*notes, *titles))


def test_the_prices_are_said_to_be_invented_beside_the_product_list(shipped):
    paragraphs = (shipped / "README.md").read_text("utf-8").split("\n\n")
    own = [" ".join(p.split()) for p in paragraphs if p.startswith("`products.csv`")]
    assert len(own) == 1
    assert own[0].endswith("are invented.")


def test_coordinates_are_longitude_first_with_eight_decimals(remade):
    for name in GEOJSON:
        xy = shapely.get_coordinates(lon_lat_shapes(remade, name))
        assert np.all(np.abs(xy - (147.2, -35.1)) < 0.02)
        assert np.array_equal(xy, np.round(xy, 8))
        assert not np.any(np.all(xy == np.round(xy, 6), axis=0))


def test_outer_rings_run_anticlockwise_and_holes_clockwise(remade):
    shapes = [s for name in GEOJSON for s in lon_lat_shapes(remade, name)]
    polygons = [s for s in shapes if s.geom_type == "Polygon"]
    assert len(polygons) == 1 + 4 + 2
    assert all(polygon.exterior.is_ccw for polygon in polygons)
    assert not any(hole.is_ccw for polygon in polygons for hole in polygon.interiors)


def test_the_paddock_has_a_likely_size_and_a_homestead_cut_out(remade, geodesic_ha):
    (boundary,) = lon_lat_shapes(remade, "boundary")
    assert boundary.is_valid
    assert 60.0 < geodesic_ha(boundary) < 100.0
    assert 20 <= len(boundary.exterior.coords) - 1 <= 60
    (hole,) = boundary.interiors
    assert geodesic_ha(shapely.Polygon(hole)) == pytest.approx(1.0, abs=0.2)


def test_the_paddock_is_no_rectangle(remade):
    (boundary,) = metric_shapes(remade, "boundary")
    filled = shapely.Polygon(boundary.exterior)
    assert filled.area < 0.95 * filled.minimum_rotated_rectangle.area


def test_the_zones_tile_the_paddock(remade):
    (boundary,) = metric_shapes(remade, "boundary")
    zones = metric_shapes(remade, "zones")
    assert shapely.coverage_is_valid(zones)
    covered = shapely.union_all(zones)
    overlap_m2 = sum(zone.area for zone in zones) - covered.area
    assert covered.symmetric_difference(boundary).area + abs(overlap_m2) < 1.0
    assert len(set(zone_names(remade))) == len(zones) == 4


def test_zones_share_their_corners_with_the_boundary_digit_by_digit(remade):
    (boundary,) = lon_lat_shapes(remade, "boundary")
    corners = shapely.get_coordinates(lon_lat_shapes(remade, "zones"))
    on_edge = shapely.distance(boundary.boundary, shapely.points(corners)) < 1e-7
    shared = {tuple(corner) for corner in corners[on_edge]}
    assert shared == {tuple(corner) for corner in shapely.get_coordinates(boundary)}


def test_the_exclusions_are_a_dam_a_creek_and_trees(remade):
    (boundary,) = metric_shapes(remade, "boundary")
    fields = [feature["properties"] for feature in features(remade, "exclusions")]
    setbacks_m = {field["kind"]: field["setback_m"] for field in fields}
    assert setbacks_m == {"dam": 20.0, "watercourse": 15.0, "trees": 5.0}
    found = dict(zip(setbacks_m, metric_shapes(remade, "exclusions"), strict=True))
    assert found["dam"].area == pytest.approx(3000.0, rel=0.1)
    assert found["dam"].buffer(20.0).within(boundary)
    assert found["trees"].buffer(5.0).within(boundary)
    assert found["watercourse"].crosses(boundary)


def test_the_strip_lies_in_the_paddock_and_clear_of_the_exclusions(remade):
    (boundary,) = metric_shapes(remade, "boundary")
    (line,) = metric_shapes(remade, "check_strips")
    (feature,) = features(remade, "check_strips")
    assert feature["properties"]["width_m"] == 48.0
    strip = line.buffer(24.0, cap_style="flat")
    assert strip.within(boundary)
    assert strip.disjoint(excluded(remade))
    assert 400.0 < line.length < 700.0
    shares = [line.intersection(zone).length for zone in metric_shapes(remade, "zones")]
    assert sum(metres > 100.0 for metres in shares) >= 2


def test_each_zone_has_one_composite_and_one_olsen_result_is_a_limit(remade):
    rows = composites(remade)
    assert set(rows) == set(zone_names(remade))
    assert {row["Depth (cm)"] for row in rows.values()} == {"0-10"}
    assert [row["Olsen P"] for row in rows.values()].count("<5") == 1
    assert all(float(row["Olsen P"].lstrip("<")) < float(row["Colwell P"]) for row in rows.values())


def test_three_zones_are_short_of_phosphorus_and_the_sand_is_not(remade):
    colwell = {zone: float(row["Colwell P"]) for zone, row in composites(remade).items()}
    assert np.diff(sorted(colwell.values())).min() >= 8.0
    assert {zone for zone, mg_kg in colwell.items() if mg_kg >= 35.0} == {"Sandy top"}
    pbi = {zone: float(row["PBI"]) for zone, row in composites(remade).items()}
    assert {zone for zone in pbi if colwell[zone] > 2.0 * pbi[zone]} == {"Sandy top"}


def test_all_samples_lie_on_ground_that_is_spread(remade):
    (boundary,) = metric_shapes(remade, "boundary")
    spread = boundary.difference(excluded(remade))
    places = {row["Sample"]: position(row) for row in georeferenced(remade)}
    assert len(places) == 36
    assert all(spread.contains(place) for place in places.values())


def test_some_samples_have_a_second_replicate_and_some_a_second_layer(remade):
    rows = georeferenced(remade)
    again = {row["Sample"] for row in rows if row["Replicate"] == "2"}
    topsoil, deeper = (
        {row["Sample"] for row in rows if row["Depth (cm)"] == layer} for layer in ("0-10", "10-20")
    )
    assert (len(topsoil), len(again), len(deeper)) == (36, 6, 4)


def test_one_result_with_a_position_is_a_limit(remade):
    limits = [row for row in georeferenced(remade) if row["Value"].startswith("<")]
    assert [(row["Analyte"], row["Value"]) for row in limits] == [("Colwell P", "<5")]


@pytest.mark.parametrize("analyte", ANALYTES)
def test_samples_with_a_position_agree_with_the_composites(remade, analyte):
    zones = dict(zip(zone_names(remade), metric_shapes(remade, "zones"), strict=True))
    by_sample = defaultdict(list)
    for row in georeferenced(remade):
        if row["Analyte"] == analyte and row["Depth (cm)"] == "0-10":
            (zone,) = [name for name, ground in zones.items() if ground.contains(position(row))]
            half = 0.5 if row["Value"].startswith("<") else 1.0
            by_sample[zone, row["Sample"]].append(half * float(row["Value"].lstrip("<")))
    assert len(by_sample) == 36
    for zone, composite in composites(remade).items():
        means = [np.mean(values) for (of, _), values in by_sample.items() if of == zone]
        assert len(means) >= 8
        assert np.mean(means) == pytest.approx(float(composite[analyte]), rel=0.15)


@pytest.mark.parametrize(
    ("name", "rows", "analytes"),
    [
        ("lab_composites.csv", 4, (*ANALYTES, "Organic carbon", "Olsen P")),
        ("lab_georeferenced.csv", 46, ANALYTES),
    ],
)
def test_the_program_reads_the_lab_sheets_without_a_doubt(remade, name, rows, analytes):
    table = read_lab_sheet(remade / name)
    assert table.notes == ()
    assert len(table.sample_ids) == rows
    read = {column.analyte.key for column in table.columns}
    assert read == {analyte_called(analyte).key for analyte in analytes}


def test_the_program_reads_the_product_list(remade):
    products = read_product_list(remade / "products.csv")
    assert [(p.name, p.n_percent, p.p_percent, p.k_percent, p.s_percent) for p in products] == [
        ("MAP", 11.0, 22.0, 0.0, 1.5),
        ("Triple superphosphate", 0.0, 20.0, 0.0, 1.2),
        ("Single superphosphate", 0.0, 8.8, 0.0, 11.0),
        ("Pit lime", 0.0, 0.0, 0.0, 0.0),
    ]
    assert products[3].effective_nv_percent == 85.0
    assert {p.currency for p in products} == {"AUD"}
    assert all(p.price_per_tonne > 0 for p in products)
    assert refusal((products[0], product_called("soluble_humate", typical_products()))) is None
