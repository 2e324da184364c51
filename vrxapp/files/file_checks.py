"""Compares a written file, read back by another reader, with the plan it was made from.

A difference stops the hand-over: nothing is put in place, and the message says which part
and which field.
"""

import math
from dataclasses import dataclass

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from vrxapp.errors import ReadBackError
from vrxapp.files.dbf import ascii_labels
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.spreading.rate_map import RateMap, total_kg
from vrxapp.units import PERCENT, SQUARE_METRES_PER_HECTARE

RATE_TOLERANCE = 1e-9
"""Rates are equal but for what binary numbers do to decimals. [kg/ha]"""
AREA_TOLERANCE = 1e-4
"""Share of a part's area that may differ. [-]"""
AREA_NOISE_M2, AREA_NOISE_CORNERS = 0.001, 100
"""What the sum of an ellipsoid area itself is uncertain by, up to so many corners. [m²]

Beyond them it grows with the square root of their number: 5,000 corners that were rounded to
half a micrometre changed the sum by 0.0023 m².
"""
TOTAL_TOLERANCE_PERCENT = 0.1
OVERLAP_M2 = 0.1
GAP_M2 = 1.0
GAP_SHARE = 0.0005
"""Overlap in all, the largest gap, and the share of the ground that all gaps may take."""
MARGIN_M = 50.0
"""How far outside the plan a coordinate may lie. [m]"""

_AGAIN = "Nothing was put in place. Write it again; if it happens again, report it"
_ELLIPSOID = pyproj.Geod(ellps="GRS80")


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class WrittenRates:
    """What stands in a prescription file, as an independent reader finds it.

    Parameters
    ----------
    reader : str
        Who read it, with version.
    unit : str
        Unit of the rates.
    shapes : ndarray of shapely geometry
        One a record, longitude first. [degrees]
    labels : tuple of str
        Zone of each record.
    rates : ndarray of float
        Rate of each record; NaN where the file holds none. [unit]
    label_width : int, optional
        Longest ASCII label that the format holds; None where it holds any label.
    uses : tuple of str, optional
        What happens on each record; None where the format does not say.
    product : str, optional
        What is spread; None where the format does not say.
    """

    reader: str
    unit: str
    shapes: NDArray[np.object_]
    labels: tuple[str, ...]
    rates: NDArray[np.float64]
    label_width: int | None = None
    uses: tuple[str, ...] | None = None
    product: str | None = None


@dataclass(frozen=True, slots=True)
class ReadBack:
    """The figures of a file that agrees with its plan.

    Parameters
    ----------
    file : str
        Name of the file.
    reader : str
        Who read it back.
    parts : int
        Records in it.
    planned_kg, written_kg : float
        Product by the plan and by the file. [kg]
    """

    file: str
    reader: str
    parts: int
    planned_kg: float
    written_kg: float

    @property
    def difference_percent(self) -> float:
        """How much more the file asks for than the plan, zero where both ask for nothing. [%]"""
        difference_kg = self.written_kg - self.planned_kg
        if difference_kg == 0.0:
            return 0.0
        return PERCENT * difference_kg / self.planned_kg if self.planned_kg else math.inf


def check_written(plan: RateMap, written: WrittenRates, *, file: str) -> ReadBack:
    """Compare a file with its plan, part by part and as a whole.

    Parameters
    ----------
    plan : RateMap
        What was to be written, in the order of the records.
    written : WrittenRates
        What an independent reader found.
    file : str
        Name of the file, for the messages and the figures.

    Returns
    -------
    ReadBack
        Number of parts and kilograms, planned and written.

    Raises
    ------
    ReadBackError
        At the first difference: number of parts, unit, product, label, use or rate of a
        part, its shape or area, overlaps, gaps, or the product in total.
    """
    _refuse_other_columns(plan, written, file)
    _refuse_other_rates(plan, written, file)
    _refuse_bad_shapes(plan, written, file)
    _refuse_moved_shapes(plan, written, file)
    _refuse_overlaps(written.shapes, file)
    _refuse_gaps(plan.shapes, written.shapes, file)
    written_kg = float(np.sum(written.rates * lon_lat_area_ha(written.shapes)))
    figures = ReadBack(file, written.reader, len(written.rates), total_kg(plan), written_kg)
    if not abs(figures.difference_percent) <= TOTAL_TOLERANCE_PERCENT:
        raise _differs(
            f"the plan asks for {figures.planned_kg:.3f} kg and the file for {written_kg:.3f} kg",
            file,
        )
    return figures


def _differs(message: str, file: str, *, part: int | None = None, field: str = "") -> ReadBackError:
    """The error for a difference; parts are counted from 1."""
    return ReadBackError(message, mend=_AGAIN, file=file, row=part, column=field)


def _refuse_other_columns(plan: RateMap, written: WrittenRates, file: str) -> None:
    """Compare what is no number: how many parts, unit, product, labels, uses."""
    counts = (len(written.shapes), len(written.labels), len(written.rates))
    if set(counts) != {len(plan.shapes)}:
        raise _differs(
            f"the plan has {len(plan.shapes)} parts; the file has {counts[0]} shapes, "
            f"{counts[1]} labels and {counts[2]} rates",
            file,
        )
    if written.unit != plan.unit:
        raise _differs(f"the unit is {plan.unit} in the plan and {written.unit} in the file", file)
    if written.product is not None and written.product != plan.product:
        raise _differs(
            f"the product is {plan.product!r} in the plan and {written.product!r} in the file", file
        )
    width = written.label_width
    labels = plan.labels if width is None else ascii_labels(plan.labels, width)
    _refuse_other_texts(labels, written.labels, file, field="zone")
    if written.uses is not None:
        _refuse_other_texts(tuple(map(str, plan.uses)), written.uses, file, field="use")


def _refuse_other_texts(
    planned: tuple[str, ...], found: tuple[str, ...], file: str, *, field: str
) -> None:
    for row, (mine, theirs) in enumerate(zip(planned, found, strict=True), start=1):
        if mine != theirs:
            raise _differs(
                f"part {row}: the {field} is {mine!r} in the plan and {theirs!r} in the file",
                file,
                part=row,
                field=field,
            )


def _refuse_other_rates(plan: RateMap, written: WrittenRates, file: str) -> None:
    """Refuse the first rate that is missing, negative, or not the planned one."""
    same = np.abs(written.rates - plan.rates) <= RATE_TOLERANCE  # False for NaN and infinity
    wrong = np.flatnonzero(~(same & (written.rates >= 0)))
    if wrong.size:
        row = int(wrong[0])
        raise _differs(
            f"part {row + 1} ({plan.labels[row]!r}): the rate is {plan.rates[row]:.10g} "
            f"{plan.unit} in the plan and {written.rates[row]:.10g} in the file",
            file,
            part=row + 1,
            field="rate",
        )


def _refuse_bad_shapes(plan: RateMap, written: WrittenRates, file: str) -> None:
    """Refuse a shape that is no valid polygon, or lies outside the plan and its margin."""
    box = _box_with_margin(plan.shapes)
    for row, shape in enumerate(written.shapes):
        problem = ""
        if shape is None or shape.geom_type not in ("Polygon", "MultiPolygon"):
            problem = "the shape in the file is no polygon"
        elif shape.is_empty or not np.all(np.isfinite(shapely.get_coordinates(shape))):
            problem = "the shape in the file is empty or has a coordinate that is no number"
        elif shape.has_z or not shape.is_valid:
            problem = f"the shape in the file is not plain: {shapely.is_valid_reason(shape)}"
        elif not box.covers(shape):
            problem = f"the shape in the file reaches more than {MARGIN_M:g} m outside the plan"
        if problem:
            raise _differs(
                f"part {row + 1} ({plan.labels[row]!r}): {problem}",
                file,
                part=row + 1,
                field="shape",
            )


def _box_with_margin(shapes: NDArray[np.object_]) -> shapely.Polygon:
    """The box around all shapes, widened by the margin. [degrees]"""
    west, south, east, north = (float(side) for side in shapely.total_bounds(shapes))
    widest = max(abs(south), abs(north))
    east_degree = _ELLIPSOID.fwd(0.0, widest, 90.0, MARGIN_M)[0]
    north_degree = _ELLIPSOID.fwd(0.0, 0.0, 0.0, MARGIN_M)[1]
    return shapely.box(
        west - east_degree, south - north_degree, east + east_degree, north + north_degree
    )


def _refuse_moved_shapes(plan: RateMap, written: WrittenRates, file: str) -> None:
    """Refuse a part with another area, or that lies elsewhere than planned."""
    planned_m2 = lon_lat_area_ha(plan.shapes) * SQUARE_METRES_PER_HECTARE
    written_m2 = lon_lat_area_ha(written.shapes) * SQUARE_METRES_PER_HECTARE
    changed = shapely.symmetric_difference(plan.shapes, written.shapes)
    # A share of two areas in degrees is the share of the areas in metres.
    changed_m2 = planned_m2 * shapely.area(changed) / shapely.area(plan.shapes)
    corners = np.maximum(shapely.get_num_coordinates(plan.shapes), AREA_NOISE_CORNERS)
    noise_m2 = AREA_NOISE_M2 * np.sqrt(corners / AREA_NOISE_CORNERS)
    allowed_m2 = np.maximum(AREA_TOLERANCE * planned_m2, noise_m2)
    wrong = np.flatnonzero(
        ~((np.abs(written_m2 - planned_m2) <= allowed_m2) & (changed_m2 <= allowed_m2))
    )
    if wrong.size:
        row = int(wrong[0])
        raise _differs(
            f"part {row + 1} ({plan.labels[row]!r}): the area is {planned_m2[row]:.3f} m² in the "
            f"plan and {written_m2[row]:.3f} m² in the file, and {changed_m2[row]:.3f} m² lie "
            "elsewhere",
            file,
            part=row + 1,
            field="shape",
        )


def _refuse_overlaps(shapes: NDArray[np.object_], file: str) -> None:
    """Refuse ground that two parts claim."""
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    once = first < second
    common = shapely.intersection(shapes[first[once]], shapes[second[once]])
    area_m2 = np.array([_area_m2(shape) for shape in common])
    if np.sum(area_m2) > OVERLAP_M2:
        worst = int(np.argmax(area_m2))
        one, other = int(first[once][worst]) + 1, int(second[once][worst]) + 1
        raise _differs(
            f"parts overlap by {np.sum(area_m2):.3f} m² in the file, most of it part {one} and "
            f"part {other}",
            file,
            part=one,
            field="shape",
        )


def _refuse_gaps(planned: NDArray[np.object_], written: NDArray[np.object_], file: str) -> None:
    """Refuse ground of the plan that the file leaves out, or the other way about."""
    plan_ground, file_ground = shapely.union_all(planned), shapely.union_all(written)
    allowed_m2 = GAP_SHARE * _area_m2(plan_ground)
    # where both ways together are nothing, each is; one way alone can take 20 times as long
    either_m2 = _areas_m2(shapely.symmetric_difference(plan_ground, file_ground))
    if max(either_m2, default=0.0) < GAP_M2 and sum(either_m2) <= allowed_m2:
        return
    for missing, what in (
        (shapely.difference(plan_ground, file_ground), "leaves out"),
        (shapely.difference(file_ground, plan_ground), "adds"),
    ):
        each_m2 = _areas_m2(missing)
        if max(each_m2, default=0.0) >= GAP_M2 or sum(each_m2) > allowed_m2:
            raise _differs(
                f"the file {what} {sum(each_m2):.3f} m² of ground, {max(each_m2):.3f} m² of it "
                "in one place",
                file,
                field="shape",
            )


def _areas_m2(ground: shapely.Geometry) -> list[float]:
    """Area of each part of a geometry. [m²]"""
    return [_area_m2(part) for part in shapely.get_parts(ground)]


def _area_m2(shape: shapely.Geometry) -> float:
    """Area of the polygons in a geometry. [m²]"""
    parts = shapely.get_parts(shape)
    flat = parts[shapely.get_dimensions(parts) == 2]
    return float(np.sum(lon_lat_area_ha(flat))) * SQUARE_METRES_PER_HECTARE
