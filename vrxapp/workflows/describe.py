"""What is in a file, as a record that screen and terminal show alike."""

import math
from pathlib import Path
from typing import Any

from vrxapp.files.file_description import RateField, describe_file
from vrxapp.files.geotiff import describe_raster
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import paddocks_of
from vrxapp.workflows.lab_sheets import lab_results

_LAB = frozenset({".csv", ".xlsx"})
_RASTER = frozenset({".tif", ".tiff"})
_RATES_SHOWN = 30


def described(path: Path, crs: str = "") -> dict[str, Any]:
    """What a file holds.

    Parameters
    ----------
    path : Path
        Shapes in any known format, a lab sheet or a GeoTIFF.
    crs : str, optional
        Coordinate system to take where the file names none.

    Returns
    -------
    dict
        Facts by name, in the order in which they are told; notes last.

    Raises
    ------
    VrxError
        If the file could not be used.
    """
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


def told_lines(record: dict[str, Any], indent: str = "") -> list[str]:
    """A record as lines of text, one a fact, records inside it indented."""
    lines: list[str] = []
    for name, value in record.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            for part in value:
                lines += [f"{indent}{name}:", *told_lines(part, indent + "  ")]
        elif name == "notes":
            lines += [f"{indent}note: {note}" for note in value]
        else:
            told = ", ".join(map(_told, value)) if isinstance(value, list) else _told(value)
            lines.append(f"{indent}{name}: {told}")
    return lines


def _told(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)
