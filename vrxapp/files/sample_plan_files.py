"""A sample plan as GPX for a phone, as CSV for the bags, and as GeoJSON for a map."""

import csv
import io
import json
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, ReadBackError
from vrxapp.files.coordinates_csv import read_coordinates_csv
from vrxapp.files.geojson import read_geojson
from vrxapp.files.gpx import Waypoints, write_gpx
from vrxapp.files.write_aside import new_file
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.sample_plan import SamplePlan

SUFFIXES = (".gpx", ".csv", ".geojson")
_DECIMALS = 8


def write_sample_plan(plan: SamplePlan, path: Path, *, crs: str) -> None:
    """Write a plan in the format that the suffix names, and read it back.

    Parameters
    ----------
    plan : SamplePlan
        What to write.
    path : Path
        File ending in ``.gpx``, ``.csv`` or ``.geojson``; an older one is replaced.
    crs : str
        Coordinate system of the plan's ground points.

    Raises
    ------
    InputFileError
        If the suffix is another.
    ReadBackError
        If what was written is not the plan; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    suffix = path.suffix.lower()
    if suffix == ".gpx":
        write_gpx(_waypoints(plan, crs), path, title=f"Soil samples {plan.paddock}")
    elif suffix == ".csv":
        _write_text(plan, path, _csv_text(plan))
    elif suffix == ".geojson":
        _write_text(plan, path, _geojson_text(plan))
    else:
        raise InputFileError(
            f"a sample plan is not written as {suffix!r}",
            mend=f"End the name in {', '.join(SUFFIXES)}",
            file=path.name,
        )


def _waypoints(plan: SamplePlan, crs: str) -> Waypoints:
    """Stops in walking order, then gate and others."""
    count, others = len(plan.sample_ids), plan.points
    x, y = transformed_xy(
        np.array([p.easting_m for p in others], dtype=float),
        np.array([p.northing_m for p in others], dtype=float),
        from_crs=crs,
        to_crs=LON_LAT,
    )
    return Waypoints(
        names=(*_stop_names(plan), *(p.name for p in others)),
        kinds=(*["soil sample"] * count, *(str(p.kind) for p in others)),
        notes=(*_stop_notes(plan), *(p.note for p in others)),
        longitude_degree=np.concatenate([plan.longitude_degree, x]),
        latitude_degree=np.concatenate([plan.latitude_degree, y]),
        on_route=np.arange(count + len(others)) < count,
    )


def _stop_names(plan: SamplePlan) -> list[str]:
    """A phone lists points by name, so the number of the stop comes first."""
    digits = len(str(len(plan.sample_ids)))
    return [f"{row:0{digits}d} {name}" for row, name in enumerate(plan.sample_ids, start=1)]


def _stop_notes(plan: SamplePlan) -> list[str]:
    depth = f", {plan.depth_cm} cm" if plan.depth_cm else ""
    return [
        f"{cores} cores into bag {bag}{depth}" + (f"; zone {zone}" if zone else "")
        for cores, bag, zone in zip(
            plan.cores.tolist(), plan.sample_ids, plan.zone_names, strict=True
        )
    ]


def _records(plan: SamplePlan) -> list[dict[str, object]]:
    """One record a stop, in walking order."""
    return [
        {
            "stop": row + 1,
            "sample": plan.sample_ids[row],
            "zone": plan.zone_names[row],
            "cores": int(plan.cores[row]),
            "depth_cm": plan.depth_cm,
        }
        for row in range(len(plan.sample_ids))
    ]


def _csv_text(plan: SamplePlan) -> str:
    """Header and one row a stop."""
    buffer = io.StringIO()
    sheet = csv.writer(buffer, lineterminator="\r\n")
    sheet.writerow(["stop", "sample", "zone", "cores", "depth_cm", "longitude", "latitude"])
    for record, longitude, latitude in zip(
        _records(plan), plan.longitude_degree, plan.latitude_degree, strict=True
    ):
        sheet.writerow(
            [*record.values(), f"{longitude:.{_DECIMALS}f}", f"{latitude:.{_DECIMALS}f}"]
        )
    return buffer.getvalue()


def _geojson_text(plan: SamplePlan) -> str:
    """Points as RFC 7946 asks for."""
    features = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [round(float(x), _DECIMALS), round(float(y), _DECIMALS)],
            },
            "properties": record,
        }
        for record, x, y in zip(
            _records(plan), plan.longitude_degree, plan.latitude_degree, strict=True
        )
    ]
    collection = {"type": "FeatureCollection", "features": features}
    return json.dumps(collection, ensure_ascii=False, indent=1)


def _write_text(plan: SamplePlan, path: Path, text: str) -> None:
    with new_file(path) as aside:
        aside.write_text(text, encoding="utf-8", newline="")
        _check(plan, aside, file=path.name)


def _check(plan: SamplePlan, aside: Path, *, file: str) -> None:
    """Refuse a file that, read back, differs from the plan in a place, a bag or a core."""
    is_csv = aside.suffix.lower() == ".csv"
    read = read_coordinates_csv(aside) if is_csv else read_geojson(aside)
    wanted = np.column_stack([plan.longitude_degree, plan.latitude_degree])
    found: NDArray[np.float64] = shapely.get_coordinates(read.shapes)
    same = wanted.shape == found.shape and bool(
        np.all(np.abs(wanted - found) <= 0.5001 * 10.0**-_DECIMALS)
    )
    told = [
        (str(row["sample"] or ""), str(row["zone"] or ""), str(row["cores"])) for row in read.fields
    ]
    planned = [(r["sample"], r["zone"], str(r["cores"])) for r in _records(plan)]
    if not same or told != planned:
        raise ReadBackError(
            "the stops in the written file are not those of the plan",
            mend="Nothing was put in place. Write it again; if it happens again, report it",
            file=file,
        )
