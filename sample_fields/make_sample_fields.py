"""Makes the files of the invented farm: shapes as GeoJSON, soil results and products as CSV.

Run ``python sample_fields/make_sample_fields.py [FOLDER]``; without a folder the files are
made again beside this script. The same seed gives the same files. Each is written aside,
and none takes its place before all are written.
"""

import argparse
import csv
import io
import json
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import shapely
from invented_ground import FARM, PADDOCK, InventedGround, invented_ground
from invented_soil import COMPOSITES, TOPSOIL_CM, sampled_results
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import VrxError
from vrxapp.files.write_aside import new_file, write_error
from vrxapp.ground.projected_crs import LON_LAT, transformed

NOTE = (
    f"Invented: {PADDOCK} of {FARM} is no real paddock of a real farm. "
    "The place only gives it coordinates."
)
TITLE = f"Invented results of {PADDOCK} on {FARM}: no real paddock and no real laboratory"
_DECIMALS = 8

# elements by mass, and prices that are made up [AUD/t]
_PRODUCTS = (
    ("MAP", 11, 22, 0, 1.5, 980, "AUD"),
    ("Triple superphosphate", 0, 20, 0, 1.2, 890, "AUD"),
    ("Single superphosphate", 0, 8.8, 0, 11, 450, "AUD"),
)

Feature = tuple[BaseGeometry, dict[str, object]]


def main(arguments: Sequence[str]) -> int:
    """Make the files, and say which; 1 with one sentence where they cannot be written."""
    parser = argparse.ArgumentParser(description="Make the files of the invented farm.")
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        type=Path,
        default=Path(__file__).resolve().parent,
        help="where to put them; none: beside this script",
    )
    folder: Path = parser.parse_args(arguments).folder
    try:
        write_sample_fields(folder)
    except VrxError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def write_sample_fields(folder: Path) -> None:
    """Write every file of the farm into a folder, which is made if it is missing.

    Parameters
    ----------
    folder : Path
        Where the files go; older ones of the same names are replaced, others stay.

    Raises
    ------
    TargetExistsError
        If a folder stands where a file goes; the older files stand.
    WriteError
        If a file cannot be written; the older ones stand until all are written.
    """
    files = sample_files()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise write_error(error, folder) from error
    with ExitStack() as asides:
        for name, text in files.items():
            aside = asides.enter_context(new_file(folder / name))
            aside.write_text(text, encoding="utf-8", newline="\n")
    for name, text in files.items():
        print(f"{folder / name}: {len(text.encode())} bytes")


def sample_files() -> dict[str, str]:
    """The text of every file of the farm, by name."""
    ground = invented_ground()
    boundary, zones = _boundary_and_zones(ground)
    return {
        "boundary.geojson": _geojson(boundary),
        "zones.geojson": _geojson(zones),
        "exclusions.geojson": _geojson(_exclusions(ground)),
        "check_strips.geojson": _geojson(_check_strips(ground)),
        "lab_composites.csv": _csv(_composite_rows()),
        "lab_georeferenced.csv": _csv(_georeferenced_rows(ground)),
        "products.csv": _csv(_product_rows()),
    }


def _boundary_and_zones(ground: InventedGround) -> tuple[list[Feature], list[Feature]]:
    """The boundary and the zones; it is joined from them, so that they share every corner."""
    shapes = _lon_lat(ground.zones.shapes, ground.paddock.crs)
    boundary = shapely.coverage_union_all(shapes)
    zones = zip(shapes, ground.zones.names, strict=True)
    return (
        [(boundary, {"name": ground.paddock.name, "note": NOTE})],
        [(shape, {"zone": name, "note": NOTE}) for shape, name in zones],
    )


def _exclusions(ground: InventedGround) -> list[Feature]:
    """What gets nothing, with the setback around it. [m]"""
    exclusions = ground.paddock.exclusions
    shapes = np.array([exclusion.shape for exclusion in exclusions], dtype=object)
    return [
        (
            shape,
            {
                "name": exclusion.name,
                "kind": str(exclusion.kind),
                "setback_m": exclusion.setback_m,
                "note": NOTE,
            },
        )
        for shape, exclusion in zip(_lon_lat(shapes, ground.paddock.crs), exclusions, strict=True)
    ]


def _check_strips(ground: InventedGround) -> list[Feature]:
    """The one check strip, as its middle line and its width. [m]"""
    strip = ground.strip
    line = _lon_lat(np.array([strip.line], dtype=object), ground.paddock.crs)[0]
    return [(line, {"name": strip.name, "width_m": strip.width_m, "note": NOTE})]


def _lon_lat(shapes: NDArray[np.object_], crs: str) -> NDArray[np.object_]:
    """Shapes in longitude and latitude, rounded as they are written. [degrees]"""
    turned = transformed(shapes, from_crs=crs, to_crs=LON_LAT)
    return np.asarray(shapely.transform(turned, lambda xy: np.round(xy, _DECIMALS)))


def _geojson(features: list[Feature]) -> str:
    """Features after RFC 7946, one a line, outer rings anticlockwise."""
    lines = [
        json.dumps(
            {
                "type": "Feature",
                "properties": fields,
                "geometry": shapely.geometry.mapping(
                    shapely.orient_polygons(shape, exterior_cw=False)
                ),
            }
        )
        for shape, fields in features
    ]
    return '{"type": "FeatureCollection", "features": [\n' + ",\n".join(lines) + "\n]}\n"


def _csv(rows: Sequence[Sequence[object]]) -> str:
    """Rows as comma-separated text."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def _composite_rows() -> list[tuple[object, ...]]:
    """A wide sheet: title, header, units, one composite a zone."""
    return [
        (TITLE,),
        (
            *("Sample", "Zone", "Depth (cm)", "Colwell P", "PBI"),
            *("pH (CaCl2)", "Organic carbon", "Olsen P"),
        ),
        ("", "", "", "mg/kg", "", "pH", "%", "mg/kg"),
        *(
            (
                *(zone.sample_id, zone.zone, TOPSOIL_CM, zone.colwell_p_mg_kg, zone.pbi),
                *(zone.ph_cacl2, zone.organic_carbon_percent, zone.olsen_p_mg_kg),
            )
            for zone in COMPOSITES
        ),
    ]


def _georeferenced_rows(ground: InventedGround) -> list[tuple[object, ...]]:
    """A long sheet: title, header, one result a line."""
    return [
        (TITLE,),
        (
            *("Sample", "Replicate", "Longitude", "Latitude"),
            *("Depth (cm)", "Analyte", "Value", "Unit"),
        ),
        *(
            (
                *(line.sample_id, line.replicate, line.longitude_degree, line.latitude_degree),
                *(line.depth_cm, line.analyte, line.value, line.unit),
            )
            for line in sampled_results(ground)
        ),
    ]


def _product_rows() -> list[tuple[object, ...]]:
    """A product list: header, one product a line."""
    header = (
        *("name", "n_percent", "p_percent", "k_percent", "s_percent"),
        *("price_per_tonne", "currency"),
    )
    return [header, *_PRODUCTS]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
