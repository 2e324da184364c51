"""Makes the files of the invented farm: shapes, soil results, products, layers and harvests.

Run ``python sample_fields/make_sample_fields.py [FOLDER]``; without a folder the files are
made again beside this script. The same seed gives the same files. Each is written aside,
and none takes its place before all are written.
"""

import argparse
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import numpy as np
import shapely
from invented_grid_samples import GRID_SAMPLED, grid_sample_rows
from invented_ground import FARM, PADDOCK, InventedGround, invented_ground
from invented_harvests import SEASONS, harvest
from invented_lab_sheet import lab_sheet_rows
from invented_layers import conductivity, vegetation_index
from invented_paddocks import invented_paddocks
from invented_soil import COMPOSITES, TOPSOIL_CM, sampled_results
from layer_files import geotiff, harvest_package, harvest_rows
from sheet_files import csv_sheet, workbook
from vector_files import Feature, boundary_files, geojson, lon_lat

from vrxapp.errors import VrxError
from vrxapp.files.write_aside import new_file, write_error
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones

TITLE = f"Invented results of {PADDOCK} on {FARM}: no real paddock and no real laboratory"

# elements by mass, and prices and values of lime that are made up [AUD/t, %]
_PRODUCTS = (
    ("MAP", 11, 22, 0, 1.5, 980, "AUD", 0, "fertiliser", "", ""),
    ("Triple superphosphate", 0, 20, 0, 1.2, 890, "AUD", 0, "fertiliser", "", ""),
    ("Single superphosphate", 0, 8.8, 0, 11, 450, "AUD", 0, "fertiliser", "", ""),
    ("Pit lime", 0, 0, 0, 0, 62, "AUD", 0, "liming material", 92, 85),
)


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
    with _folders(folder, files), ExitStack() as asides:
        for name, content in files.items():
            asides.enter_context(new_file(folder / name)).write_bytes(content)
    for name, content in files.items():
        print(f"{folder / name}: {len(content)} bytes")


@contextmanager
def _folders(folder: Path, names: Iterable[str]) -> Iterator[None]:
    """Make the folders that the files go into; where writing fails, take the empty ones away."""
    wanted = sorted({parent for name in names for parent in (folder / name).parents})
    missing = [place for place in wanted if not place.exists()]
    try:
        for place in missing:
            place.mkdir()
        folder.mkdir(exist_ok=True)
        yield
    except OSError as error:
        raise write_error(error, folder) from error
    finally:
        for place in reversed(missing):
            with suppress(OSError):  # a folder with a file in it stays
                place.rmdir()


def sample_files() -> dict[str, bytes]:
    """What every file of the farm holds, by its name under the farm's folder."""
    ground = invented_ground()
    crs = ground.paddock.crs
    long_bend = _paddock_files(FARM, ground.paddock, ground.zones)
    sheet = lab_sheet_rows()
    wheat, canola = (harvest(ground, season) for season in SEASONS)
    return {
        **long_bend,
        "check_strips.geojson": geojson(_check_strips(ground)),
        "lab_composites.csv": csv_sheet(_composite_rows()),
        "lab_georeferenced.csv": csv_sheet(_georeferenced_rows(ground)),
        "products.csv": csv_sheet(_product_rows()),
        "lab_whole_farm.csv": csv_sheet(sheet),
        "lab_whole_farm.xlsx": workbook(sheet, name="Results"),
        "layers/conductivity.tif": geotiff(conductivity(ground), crs),
        "layers/vegetation_index.tif": geotiff(vegetation_index(ground), crs),
        "harvests/wheat_2024_invented.csv": csv_sheet(harvest_rows(wheat, crs)),
        "harvests/canola_2025_invented.gpkg": harvest_package(canola, crs),
        **_other_paddocks(),
        **_other_formats("long_bend", FARM, ground.paddock, ground.zones),
    }


def _other_paddocks() -> dict[str, bytes]:
    """The files of the two paddocks beside Long Bend, each in a folder of its own."""
    files = {}
    for own in invented_paddocks():
        for name, content in _paddock_files(own.farm, own.paddock, own.zones).items():
            files[f"{own.folder}/{name}"] = content
        if own.paddock.name == GRID_SAMPLED:
            files[f"{own.folder}/lab_grid_samples.csv"] = csv_sheet(grid_sample_rows(own))
        files |= _other_formats(own.folder, own.farm, own.paddock, own.zones)
    return files


def _other_formats(stem: str, farm: str, paddock: Paddock, zones: Zones) -> dict[str, bytes]:
    """The boundary of a paddock in each format other than GeoJSON."""
    boundary, _ = _boundary_and_zones(farm, paddock, zones)
    files = boundary_files(stem, boundary, metric_crs=paddock.crs)
    return {f"other_formats/{name}": content for name, content in files.items()}


def _paddock_files(farm: str, paddock: Paddock, zones: Zones) -> dict[str, bytes]:
    """Boundary, zones and exclusions of a paddock."""
    boundary, zone_features = _boundary_and_zones(farm, paddock, zones)
    return {
        "boundary.geojson": geojson([boundary]),
        "zones.geojson": geojson(zone_features),
        "exclusions.geojson": geojson(_exclusions(farm, paddock)),
    }


def _note(farm: str, paddock: str) -> str:
    return (
        f"Invented: {paddock} of {farm} is no real paddock of a real farm. "
        "The place only gives it coordinates."
    )


def _boundary_and_zones(farm: str, paddock: Paddock, zones: Zones) -> tuple[Feature, list[Feature]]:
    """The boundary and the zones; it is joined from them, so that they share every corner."""
    note = _note(farm, paddock.name)
    shapes = lon_lat(zones.shapes, paddock.crs)
    boundary = shapely.coverage_union_all(shapes)
    return (
        (boundary, {"name": paddock.name, "note": note}),
        [
            (shape, {"zone": name, "note": note})
            for shape, name in zip(shapes, zones.names, strict=True)
        ],
    )


def _exclusions(farm: str, paddock: Paddock) -> list[Feature]:
    """What gets nothing, with the setback around it. [m]"""
    shapes = np.array([exclusion.shape for exclusion in paddock.exclusions], dtype=object)
    return [
        (
            shape,
            {
                "name": exclusion.name,
                "kind": str(exclusion.kind),
                "setback_m": exclusion.setback_m,
                "note": _note(farm, paddock.name),
            },
        )
        for shape, exclusion in zip(lon_lat(shapes, paddock.crs), paddock.exclusions, strict=True)
    ]


def _check_strips(ground: InventedGround) -> list[Feature]:
    """The one check strip, as its middle line and its width. [m]"""
    strip = ground.strip
    (line,) = lon_lat(np.array([strip.line], dtype=object), ground.paddock.crs)
    note = _note(FARM, PADDOCK)
    return [(line, {"name": strip.name, "width_m": strip.width_m, "note": note})]


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
        *("price_per_tonne", "currency", "nitrate_n_percent", "material"),
        *("neutralising_value_percent", "effective_nv_percent"),
    )
    return [header, *_PRODUCTS]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
