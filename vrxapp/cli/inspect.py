"""`vrxapp inspect`: what is in a file, before anything is done with it."""

import math
from pathlib import Path
from typing import Any

import click
from rich.console import Console

from vrxapp.cli.options import CRS_OPTION, as_json
from vrxapp.cli.printing import print_json
from vrxapp.files.file_description import RateField, describe_file
from vrxapp.files.geotiff import describe_raster
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import paddocks_of
from vrxapp.workflows.lab_sheets import lab_results

_LAB = frozenset({".csv", ".xlsx"})
_RATES_SHOWN = 30
_RASTER = frozenset({".tif", ".tiff"})


@click.command()
@click.argument("path", type=click.Path(path_type=Path))
@CRS_OPTION
@as_json
def inspect(path: Path, crs: str, as_json: bool) -> None:
    """Tell what the file at PATH holds: shapes, a lab sheet or a raster.

    \b
    Example:
        vrxapp inspect boundary.geojson
    """
    record = _described(path, crs)
    if as_json:
        print_json(record)
        return
    console = Console(soft_wrap=True, highlight=False)
    _print(console, record, indent="")


def _described(path: Path, crs: str) -> dict[str, Any]:
    """What a file holds, as a record."""
    ending = path.suffix.casefold()
    if ending in _LAB:
        return _described_sheet(path)
    if ending in _RASTER:
        raster = describe_raster(path)
        return {
            "file": raster.file,
            "format": "GeoTIFF",
            "coordinate system": raster.crs_name,
            "rows and columns": list(raster.shape),
            "bands": [
                {"name": b.name, "unit": b.unit, "lowest": b.lowest, "highest": b.highest}
                for b in raster.bands
            ],
            "notes": [str(note) for note in raster.notes],
        }
    found = describe_file(path, crs=crs)
    layers = [
        {
            "layer": layer.name,
            "shapes": layer.geometry_type,
            "features": layer.feature_count,
            "coordinate system": layer.crs,
            "extent, degrees": list(layer.extent),
            **({} if math.isnan(layer.area_ha) else {"area, ha": layer.area_ha}),
            "fields": list(layer.field_names),
            **{f"field {rate.name}": _told_rates(rate) for rate in layer.rates},
            "notes": [str(note) for note in layer.notes],
        }
        for layer in found.layers
    ]
    return {"file": found.file, "format": found.format, "layers": layers}


def _told_rates(rate: RateField) -> list[str]:
    """What a field of rates holds, as a contractor checks it."""
    shown = [f"{value:g} on {ha:.2f} ha" for value, ha in rate.value_ha[:_RATES_SHOWN]]
    more = len(rate.value_ha) - len(shown)
    return [
        *shown,
        *([f"{more} further rates"] if more > 0 else []),
        f"rate times area is {rate.total:,.1f} in all",
    ]


def _described_sheet(path: Path) -> dict[str, Any]:
    """What a lab sheet holds, as a record."""
    tests = lab_results(path)
    return {
        "file": tests.file,
        "format": "lab sheet",
        "rows": len(tests.sample_ids),
        "samples": len(set(tests.sample_ids)),
        "paddocks named": list(paddocks_of(tests)),
        "zones named": sorted({name for name in tests.zone_names if name}),
        "depths, cm": sorted({depth for depth in tests.depths_cm if depth}),
        "tests": [f"{c.analyte.name}, {c.analyte.unit}" for c in tests.columns],
        "notes": [str(note) for note in (*tests.notes, *quality_notes(tests))],
    }


def _print(console: Console, record: dict[str, Any], *, indent: str) -> None:
    """Print a record, one line a fact, records inside it indented."""
    for name, value in record.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            for part in value:
                console.print(f"{indent}{name}:", markup=False)
                _print(console, part, indent=indent + "  ")
        elif name == "notes":
            for note in value:
                console.print(f"{indent}note: {note}", markup=False)
        else:
            told = ", ".join(map(_told, value)) if isinstance(value, list) else _told(value)
            console.print(f"{indent}{name}: {told}", markup=False)


def _told(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)
