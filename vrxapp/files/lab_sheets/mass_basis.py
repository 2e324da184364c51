"""Results by area or by volume as concentrations: what the sheet's layout says of the mass."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.area_results import (
    concentration_by_acre_convention,
    concentration_from_area,
    concentration_from_volume,
    layer_wanted,
)
from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.units import UnitCell, needs_mass
from vrxapp.soil.analytes import Analyte
from vrxapp.units import conversion_factor, laboratory_units

_CONCENTRATION = "mg/kg"
_HOW = "on the command line: vrxapp lab columns, --bulk-density or --acre-convention"
_HOW_BY_VOLUME = "on the command line: vrxapp lab columns, --sample-density"
DENSITY_LOWEST, DENSITY_HIGHEST = 0.05, 2.6
"""What can be at all, as analytes.csv has it for a bulk density. [t/m³, kg/L]"""


@dataclass(frozen=True, slots=True)
class MassBasis:
    """What turns amounts by area or volume into concentrations, where somebody said so.

    Parameters
    ----------
    bulk_density_t_m3 : float or None, optional
        Dry bulk density of the sampled layers; their depth stands in the sheet. [t/m³]
    sample_density_kg_l : float or None, optional
        Mass of a litre of the dried and sieved sample, as the laboratory gives it. [kg/L]
    acre_convention : bool, optional
        Whether the laboratory's amounts stand for 6 inches of 2 million pounds an acre.
    """

    bulk_density_t_m3: float | None = None
    sample_density_kg_l: float | None = None
    acre_convention: bool = False

    def __post_init__(self) -> None:
        """Refuse a density that cannot be, and two ways at once."""
        for name, density in (
            ("bulk density", self.bulk_density_t_m3),
            ("sample density", self.sample_density_kg_l),
        ):
            if density is not None and not DENSITY_LOWEST <= density <= DENSITY_HIGHEST:
                raise InputFileError(
                    f"a {name} of {density:g} is not possible",
                    mend=f"Give one from {DENSITY_LOWEST:g} to {DENSITY_HIGHEST:g}, such as 1.3",
                    value=f"{density:g}",
                )
        if self.acre_convention and self.bulk_density_t_m3 is not None:
            raise InputFileError(
                "a bulk density and the acre convention are two answers to one question",
                mend="Keep one of the two",
            )


@dataclass(frozen=True, slots=True, eq=False)
class SampledLines:
    """Lines of a sheet that hold one analyte, their layers, and what is known of the mass."""

    lines: NDArray[np.intp]
    depths_cm: tuple[str, ...]
    basis: MassBasis


def result_factors(
    unit: str,
    analyte: Analyte,
    sampled: SampledLines,
    *,
    told: NDArray[np.bool_],
    beside: UnitCell,
) -> tuple[NDArray[np.float64], str]:
    """What each result is multiplied by to be in the analyte's unit, and what that rests on.

    Parameters
    ----------
    unit : str
        Unit of the results.
    analyte : Analyte
        What they measure.
    sampled : SampledLines
        The lines, one for each result.
    told : ndarray of bool
        Lines that hold a result at all.
    beside : UnitCell
        Where the unit stands, for messages.

    Returns
    -------
    tuple of ndarray of float and str
        One factor for each line, and the sentence; empty where only the unit changes.

    Raises
    ------
    InputFileError
        If a result by area or volume comes without what its mass is known by.
    """
    if not needs_mass(unit, analyte):
        factor = conversion_factor(unit, analyte.unit, ion=analyte.ion)
        return np.full(len(sampled.lines), factor), ""
    to_own = conversion_factor(_CONCENTRATION, analyte.unit, ion=analyte.ion)
    by_volume = any(row.unit == unit and "volume" in row.quantity for row in laboratory_units())
    way = _by_volume if by_volume else _by_area
    per_unit, basis = way(unit, analyte, sampled, told=told, beside=beside)
    return per_unit * to_own, basis


def _by_area(
    unit: str,
    analyte: Analyte,
    sampled: SampledLines,
    *,
    told: NDArray[np.bool_],
    beside: UnitCell,
) -> tuple[NDArray[np.float64], str]:
    """Milligrams by kilogram that one unit by area stands for, at each line."""
    if sampled.basis.acre_convention:
        estimate = concentration_by_acre_convention(np.ones(len(sampled.lines)), unit=unit)
        return estimate.values, f"from {estimate.basis}"
    density = sampled.basis.bulk_density_t_m3
    thickness = np.array(list(map(_thickness_cm, sampled.depths_cm)), dtype=float)
    if density is None or np.any(told & np.isnan(thickness)):
        note = layer_wanted(analyte.name, unit).note
        raise _wanted(note, mend=f"{note.mend} ({_HOW})", beside=beside)
    known = np.where(np.isnan(thickness), 1.0, thickness)  # no result stands on these lines
    amounts = np.full(len(known), conversion_factor(unit, "kg/ha"))
    basis = f"from {unit} over the depth in the sheet, at a bulk density of {density:g} t/m³"
    return concentration_from_area(amounts, known, density), basis


def _by_volume(
    unit: str,
    analyte: Analyte,
    sampled: SampledLines,
    *,
    told: NDArray[np.bool_],  # noqa: ARG001 - every line has the same density
    beside: UnitCell,
) -> tuple[NDArray[np.float64], str]:
    """Milligrams by kilogram that one unit by volume stands for, at each line."""
    density = sampled.basis.sample_density_kg_l
    if density is None:
        note = Note(
            f"{analyte.name} is given in {unit}, by volume: the sample's density is missing"
        )
        mend = (
            "Give the mass of a litre of the dried and sieved sample, which the laboratory knows "
            f"({_HOW_BY_VOLUME}); or ask it for {_CONCENTRATION}"
        )
        raise _wanted(note, mend=mend, beside=beside)
    by_volume = np.full(len(sampled.lines), conversion_factor(unit, "mg/L"))
    basis = f"from {unit}, at {density:g} kg in a litre of the dried and sieved sample"
    return concentration_from_volume(by_volume, density), basis


def _wanted(note: Note, *, mend: str, beside: UnitCell) -> InputFileError:
    """The question, where it arose."""
    return InputFileError(
        note.message,
        mend=mend,
        file=beside.file,
        row=beside.row,
        column=beside.column,
        value=beside.text,
    )


def _thickness_cm(depth_cm: str) -> float:
    """Thickness of a layer; NaN where it is not told. [cm]"""
    top, dash, bottom = depth_cm.partition("-")
    return float(bottom) - float(top) if dash else math.nan


def estimate_note(analyte: Analyte, basis: str, *, beside: UnitCell) -> tuple[Note, ...]:
    """The note on a column that was turned into concentrations."""
    if not basis:
        return ()
    return (
        Note(
            f"{analyte.name} is worked out {basis}: an estimate",
            mend=f"Ask the laboratory for {_CONCENTRATION} to be surer",
            file=beside.file,
            row=beside.row,
            column=beside.column,
        ),
    )
