"""What a study of a soil result says, in words and in the rows of a table."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.interpolation_choice import FEWEST_FOR_KRIGING, Interpolation
from vrxapp.ground.leave_one_out import LeftOut, typical_difference
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.variogram import (
    Model,
    Variogram,
    practical_range_m,
    structured_sill,
    total_sill,
)
from vrxapp.units import PERCENT
from vrxapp.workflows.interpolate import WHAT_THE_ERROR_IS, SoilMap
from vrxapp.workflows.interpolation_study import MapStudy

_EVEN_PERCENT = 50.0
_CLAIM_HOLDS = 0.25
"""How far from 1 the ratio of real to claimed error may lie and still be about right. [-]"""


@dataclass(frozen=True, slots=True)
class ComparedWay:
    """One way of mapping, as a row of the comparison.

    Parameters
    ----------
    way : Interpolation
        The way.
    typical_difference, bias : float
        Root mean square and mean of estimate less result, at samples left out in turn.
        [unit of the comparison]
    samples : int
        How many were left out.
    is_advised : bool
        Whether this way is the advised one.
    """

    way: Interpolation
    typical_difference: float
    bias: float
    samples: int
    is_advised: bool


def compared_ways(study: MapStudy) -> tuple[ComparedWay, ...]:
    """The comparison as rows, the plainest way first."""
    return tuple(
        ComparedWay(
            one.way,
            typical_difference(one.left_out),
            float(np.mean(one.left_out.difference)),
            one.left_out.difference.size,
            is_advised=one.way is study.choice.advised,
        )
        for one in study.choice.compared
    )


def title_of(study: MapStudy) -> str:
    """Test and layer, as a map of them is called."""
    layer = f" {study.depth_cm} cm" if study.depth_cm else ""
    return f"{study.analyte.name}{layer}"


def unit_of_comparison(study: MapStudy) -> str:
    """In what the ways are compared: in the unit of the test, or in logarithms of it."""
    if study.scale is Scale.LOGARITHM:
        return "in natural logarithms"
    return f"in {study.analyte.unit}" if study.analyte.unit else ""


def advice_in_words(study: MapStudy) -> str:
    """Which way is advised, and why."""
    advised, count = study.choice.advised, study.samples.values.size
    if count < FEWEST_FOR_KRIGING:
        why = f"{count} samples do not bear kriging or inverse distance"
    elif advised is Interpolation.PADDOCK_MEAN:
        why = "no other way is surely closer to the samples left out"
    else:
        why = "least off at samples left out, and surely closer than one mean for the paddock"
    return f"Advised: {advised} ({why})."


def variogram_in_words(study: MapStudy) -> str:
    """The variogram that kriging takes, and how it was found; empty where there is none."""
    if study.fitted is None:
        return ""
    variogram, method = study.fitted.variogram, study.fitted.method
    unit = _squared_unit(study)
    if variogram.model is Model.NUGGET:
        return (
            f"Variogram: nugget only, {variogram.nugget:.3g}{unit}, fitted by {method}; samples "
            "near to each other are no more alike than those far apart."
        )
    share = PERCENT * variogram.nugget / total_sill(variogram)
    return (
        f"Variogram: {variogram.model}, fitted by {method}; nugget {variogram.nugget:.3g}{unit}, "
        f"partial sill {structured_sill(variogram):.3g}{unit}, practical range "
        f"{practical_range_m(variogram):,.0f} m{_direction(variogram)}. {share:.0f} % of what "
        "samples differ by is there side by side already."
    )


def claim_in_words(study: MapStudy) -> str:
    """Whether kriging is off by as much as it claims; empty where it was not compared."""
    left_out = _kriging_left_out(study)
    if left_out is None:
        return ""
    ratio = claim_ratio(left_out)
    if abs(ratio - 1.0) <= _CLAIM_HOLDS:
        judged = "so the errors that it claims are about right"
    elif ratio > 1.0:
        judged = "so it claims too small an error"
    else:
        judged = "so it claims too large an error"
    return f"At samples left out kriging is off by {ratio:.2f} times its standard error, {judged}."


def claim_ratio(left_out: LeftOut) -> float:
    """Root mean square of the differences, each in its own standard error. [-]"""
    return float(np.sqrt(np.mean((left_out.difference / left_out.standard_error) ** 2)))


def map_in_words(soil: SoilMap) -> tuple[str, ...]:
    """What the map shows, in a few sentences."""
    study, inside = soil.study, soil.cells.grid.inside
    mean, error = soil.cells.mean[inside], soil.cells.standard_error[inside]
    unit = study.analyte.unit
    lines = [
        f"{title_of(study)} by {study.way}: {inside.sum():,} cells of "
        f"{soil.grain.cell_m:g} m, {_range(mean)} {unit}".rstrip()
        + "."
    ]
    what = WHAT_THE_ERROR_IS[study.way]
    if np.isfinite(error).any():
        lines.append(f"Standard error {_range(error)} {unit}".rstrip() + f" ({what}).")
    if soil.chance_percent is not None:
        lines.append(_chance_in_words(soil, soil.chance_percent[inside]))
    return tuple(lines)


def _chance_in_words(soil: SoilMap, chance_percent: NDArray[np.float64]) -> str:
    """How much of the ground is likely short, and how much would be taken wrongly."""
    known = chance_percent[np.isfinite(chance_percent)]
    if not known.size:
        return "The chance to be below the critical value cannot be told."
    below = f"{soil.grain.critical:g} {soil.study.analyte.unit}".rstrip()
    short = PERCENT * np.mean(known >= _EVEN_PERCENT)
    text = (
        f"{short:.0f} % of the ground is more likely than not below {below}; the chance is "
        f"{_whole_range(known)} %."
    )
    if soil.study.way is Interpolation.KRIGING:
        wrong = np.mean(np.minimum(known, PERCENT - known))
        text += f" Taking the likelier side everywhere, some {wrong:.0f} % of it is taken wrongly."
    return text


def _range(values: NDArray[np.float64]) -> str:
    """The lowest and the highest of some values in words."""
    known = values[np.isfinite(values)]
    if not known.size:
        return "unknown"
    low, high = float(known.min()), float(known.max())
    return f"{low:.3g}" if math.isclose(low, high) else f"{low:.3g} to {high:.3g}"


def _whole_range(percent: NDArray[np.float64]) -> str:
    """The lowest and the highest of some chances, in whole percent."""
    low, high = (f"{end:.0f}" for end in (np.nanmin(percent), np.nanmax(percent)))
    return low if low == high else f"{low} to {high}"


def _kriging_left_out(study: MapStudy) -> LeftOut | None:
    return next(
        (one.left_out for one in study.choice.compared if one.way is Interpolation.KRIGING), None
    )


def _squared_unit(study: MapStudy) -> str:
    """The unit of a variogram, after a blank."""
    if study.scale is Scale.LOGARITHM:
        return " (of logarithms)"
    return f" ({study.analyte.unit})²" if study.analyte.unit else ""


def _direction(variogram: Variogram) -> str:
    """Along which direction the range holds; empty where it holds in all."""
    if variogram.anisotropy is None:
        return ""
    across_m = practical_range_m(variogram) * variogram.anisotropy.ratio
    return f" towards {variogram.anisotropy.angle_degree:g}° and {across_m:,.0f} m across it"
