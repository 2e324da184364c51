"""155 real topsoil samples from a flood plain, through every format and back.

The data set (Rijksdriehoek metres; cadmium, copper, lead, zinc in mg/kg) travels in the package
scikit-gstat under GPL-3; it is read where that is installed, and no copy of it is kept here.
Source: Pebesma and Bivand (2005), Classes and methods for spatial data in R, R News 5(2), 9-13.
"""

import csv
import json
import sqlite3
import struct
import subprocess
import sys
from contextlib import closing
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pyogrio.raw
import pytest
import shapefile
import shapely
from foreign_files import write_with_gdal, zipped

from vrxapp.errors import GroundError, InputFileError
from vrxapp.files.formats import read_features
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.ground.features import numbers, texts
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.prescription.zone_results import row_places
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.open_files import paddock_from, zones_from

DUTCH_GRID = "EPSG:28992"
METALS = ("cadmium", "copper", "lead", "zinc")
COORDINATE_TOLERANCE_DEGREE = 1e-9  # a tenth of a millimetre
GRID_TOLERANCE_M = 1e-6
NORTH_FROM_M = 331_600.0
"""Where the ground is cut into a northern and a southern zone. [m]"""


@pytest.fixture(scope="module")
def shipped():
    """The file of the package that carries the samples."""
    package = find_spec("skgstat")
    if package is None or package.origin is None:
        pytest.skip("scikit-gstat is not installed; .ci/test installs it without what it needs")
    return Path(package.origin).parent / "data" / "samples" / "meuse.txt"


@pytest.fixture(scope="module")
def rows(shipped):
    """The samples as a plain reader of tables sees them."""
    with shipped.open(newline="", encoding="utf-8") as opened:
        return list(csv.DictReader(opened))


@pytest.fixture(scope="module")
def metres(rows):
    """Where the samples are, one row each. [m]"""
    return np.array([[float(row["x"]), float(row["y"])] for row in rows])


@pytest.fixture(scope="module")
def samples(shipped):
    """The samples as this program reads them."""
    return read_features(shipped, crs=DUTCH_GRID)


def by_dutch_polynomials(x_m, y_m):
    """Longitude and latitude by the polynomials of Schreutelkamp and Strang van Hees (2001).

    From memory, unverified; said to hold to half a metre. They know nothing of the datum shift
    that the coordinate library works out, so they check it.
    """
    x, y = (x_m - 155_000.0) / 1e5, (y_m - 463_000.0) / 1e5
    latitude = (
        3235.65389 * y - 32.58297 * x**2 - 0.2475 * y**2 - 0.84978 * x**2 * y - 0.0655 * y**3
        - 0.01709 * x**2 * y**2 - 0.00738 * x + 0.0053 * x**4 - 0.00039 * x**2 * y**3
        + 0.00033 * x**4 * y - 0.00012 * x * y
    )  # fmt: skip
    longitude = (
        5260.52916 * x + 105.94684 * x * y + 2.45656 * x * y**2 - 0.81885 * x**3
        + 0.05594 * x * y**3 - 0.05607 * x**3 * y + 0.01199 * y - 0.00256 * x**3 * y**2
        + 0.00128 * x * y**4 + 0.00022 * y**2 - 0.00022 * x**2 + 0.00026 * x**5
    )  # fmt: skip
    return 5.38720621 + longitude / 3600, 52.15517440 + latitude / 3600


def test_every_sample_is_read_with_its_values(samples, rows):
    assert len(samples.shapes) == len(rows) == 155
    for metal in METALS:
        assert numbers(samples, metal).tolist() == [float(row[metal]) for row in rows]
    assert texts(samples, "landuse") == tuple(row["landuse"] for row in rows)
    assert "RD New (EPSG:28992) was taken, as you said" in str(samples.notes[0])


def test_the_samples_lie_where_a_second_way_of_reckoning_puts_them(samples, metres):
    longitude, latitude = by_dutch_polynomials(*metres.T)
    east_m = (shapely.get_x(samples.shapes) - longitude) * 111_320 * np.cos(np.radians(51))
    north_m = (shapely.get_y(samples.shapes) - latitude) * 111_320
    assert np.hypot(east_m, north_m).max() < 1.0


def test_without_the_grid_being_said_the_samples_are_refused(shipped):
    with pytest.raises(GroundError, match=r"no longitude and latitude .*say which it is"):
        read_features(shipped)


def test_the_samples_are_joined_to_the_zones_that_they_lie_in(tmp_path, samples, metres):
    path = tmp_path / "zones.shp"
    west, south, east, north = 178_000.0, 329_000.0, 182_000.0, 334_000.0
    halves = [
        shapely.box(west, NORTH_FROM_M, east, north),
        shapely.box(west, south, east, NORTH_FROM_M),
    ]
    write_with_gdal(path, halves, crs=DUTCH_GRID, kind="Polygon", names=("North", "South"))
    drawn = read_features(path)
    paddock = paddock_from(drawn, None)
    zones = zones_from(drawn, paddock)
    count = len(samples.shapes)
    table = ResultsTable(
        file=samples.file,
        file_rows=np.arange(2, count + 2),
        sample_ids=tuple(map(str, range(1, count + 1))),
        zone_names=("",) * count,
        longitude_degree=shapely.get_x(samples.shapes),
        latitude_degree=shapely.get_y(samples.shapes),
        depths_cm=("0-20",) * count,
        columns=(),
    )
    found = row_places(table, zones, paddock, ()).rows
    assert [zones.names[place] for place in found] == [
        "North" if y > NORTH_FROM_M else "South" for y in metres[:, 1]
    ]
    assert 0 < np.count_nonzero(found) < count


def write_points(path, points, rows, *, crs, driver):
    """The samples by the library that most programs stand on."""
    columns = [np.array([float(row[metal]) for row in rows]) for metal in METALS]
    landuse = np.array([row["landuse"] for row in rows], dtype=object)
    pyogrio.raw.write(
        path, shapely.to_wkb(points), [*columns, landuse], [*METALS, "landuse"],
        geometry_type="Point", crs=crs, driver=driver,
    )  # fmt: skip
    return path


def kml_of(points, rows):
    """The samples as KML, written by hand."""
    marks = "".join(
        "<Placemark><ExtendedData>"
        + "".join(f'<Data name="{k}"><value>{row[k]}</value></Data>' for k in (*METALS, "landuse"))
        + f"</ExtendedData><Point><coordinates>{point.x!r},{point.y!r}</coordinates></Point>"
        "</Placemark>"
        for point, row in zip(points, rows, strict=True)
    )
    return f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{marks}</Document></kml>'


def pyshp_sees(path):
    with shapefile.Reader(str(path)) as reader:
        return [(*shape.points[0], record["zinc"]) for shape, record in
                zip(reader.iterShapes(), reader.iterRecords(), strict=True)]  # fmt: skip


def json_sees(path):
    features = json.loads(path.read_text("utf-8"))["features"]
    return [(*f["geometry"]["coordinates"], f["properties"]["zinc"]) for f in features]


def sql_sees(path):
    with closing(sqlite3.connect(path)) as database:
        found = database.execute("SELECT geom, zinc FROM meuse ORDER BY fid").fetchall()
    # a head of eight bytes, then byte order, kind and the two numbers
    return [(*struct.unpack_from("<dd", blob, 8 + 5), zinc) for blob, zinc in found]


def xml_sees(path):
    space = "{http://www.opengis.net/kml/2.2}"
    marks = ElementTree.parse(path).getroot().iter(f"{space}Placemark")  # noqa: S314 - our own
    return [
        (
            *map(float, mark.find(f".//{space}coordinates").text.split(",")),
            float(mark.find(f".//{space}Data[@name='zinc']/{space}value").text),
        )
        for mark in marks
    ]


@pytest.mark.parametrize(
    ("name", "driver", "crs", "second_reader"),
    [
        ("meuse.shp", "ESRI Shapefile", DUTCH_GRID, pyshp_sees),
        ("meuse.shp", "ESRI Shapefile", LON_LAT, pyshp_sees),
        ("meuse.gpkg", "GPKG", DUTCH_GRID, sql_sees),
        ("meuse.gpkg", "GPKG", LON_LAT, sql_sees),
        ("meuse.geojson", "GeoJSON", LON_LAT, json_sees),
        ("meuse.kml", "", LON_LAT, xml_sees),
    ],
)
def test_the_samples_come_back_from_each_format(
    tmp_path, samples, rows, metres, name, driver, crs, second_reader
):
    path = tmp_path / name
    in_file = shapely.points(metres) if crs == DUTCH_GRID else samples.shapes
    if driver:
        write_points(path, in_file, rows, crs=crs, driver=driver)
    else:
        path.write_text(kml_of(in_file, rows), "utf-8")
    zinc = np.array([float(row["zinc"]) for row in rows])
    seen = np.array(second_reader(path))
    tolerance = GRID_TOLERANCE_M if crs == DUTCH_GRID else COORDINATE_TOLERANCE_DEGREE
    assert np.abs(seen[:, :2] - shapely.get_coordinates(in_file)).max() <= tolerance
    assert np.array_equal(seen[:, 2], zinc)
    back = [read_features(path)]
    if path.suffix == ".shp":
        back.append(read_features(zipped(path, keep=(".shp", ".shx", ".dbf", ".prj"))))
    for found in back:
        off = shapely.get_coordinates(found.shapes) - shapely.get_coordinates(samples.shapes)
        assert np.abs(off).max() <= COORDINATE_TOLERANCE_DEGREE
        for metal in METALS:
            assert numbers(found, metal).tolist() == [float(row[metal]) for row in rows]
        assert texts(found, "landuse") == tuple(row["landuse"] for row in rows)


def test_back_in_its_grid_each_sample_is_where_it_was(samples, metres):
    back = transformed(samples.shapes, from_crs=LON_LAT, to_crs=DUTCH_GRID)
    assert np.abs(shapely.get_coordinates(back) - metres).max() < 1e-3


def test_no_rate_comes_of_heavy_metals(tmp_path, shipped):
    boundary = tmp_path / "boundary.geojson"
    ring = [[5.72, 50.95], [5.77, 50.95], [5.77, 51.0], [5.72, 51.0], [5.72, 50.95]]
    shape = {"type": "Polygon", "coordinates": [ring]}
    boundary.write_text(json.dumps({"type": "Feature", "properties": {}, "geometry": shape}))
    with pytest.raises(InputFileError, match="no column names the samples"):
        read_lab_sheet(shipped)
    header, *rows = shipped.read_text("utf-8").splitlines()
    named = tmp_path / "meuse.csv"
    lines = [f"Sample,{header}", *(f"{at},{row}" for at, row in enumerate(rows))]
    named.write_text("\n".join(lines), "utf-8")
    ended = subprocess.run(
        [sys.executable, "-m", "vrxapp", "prescribe", "--boundary", boundary, "--lab", named,
         "--yield", "4", "--out", tmp_path / "job"],
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    (line,) = ended.stderr.splitlines()
    assert (ended.returncode, ended.stdout) == (1, "")
    assert "no Colwell P result at 0-10 cm" in line
    assert sorted(tmp_path.iterdir()) == [boundary, named]
