"""Nitrogen that a crop asks for: what its grain holds, and what must be within reach for it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT


@dataclass(frozen=True, slots=True)
class ProteinFactor:
    """What a harvest's nitrogen is multiplied by to be called protein. [-]"""

    harvest: str
    protein_per_n: float
    source: str
    where: str
    grade: Grade


def protein_factors() -> tuple[ProteinFactor, ...]:
    """Every harvest that is sold by protein."""
    return read_table("protein_factors.csv", ProteinFactor)


def protein_factor(harvest: str) -> ProteinFactor:
    """The factor of one harvest.

    Raises
    ------
    UnknownChoiceError
        If the harvest is not sold by protein; the mend lists those that are.
    """
    for known in protein_factors():
        if known.harvest == harvest:
            return known
    raise UnknownChoiceError(
        f"no protein factor is known for {harvest!r}",
        mend=f"Choose one of: {', '.join(known.harvest for known in protein_factors())}",
    )


def grain_nitrogen(
    yield_t_ha: ArrayLike, protein_percent: ArrayLike, *, protein_per_n: ArrayLike
) -> NDArray[np.float64]:
    r"""Nitrogen in the grain of a target yield and protein.

    Yield and protein must be told at the same moisture: both as delivered, or both dry.

    Parameters
    ----------
    yield_t_ha : array_like
        Yield aimed at. [t/ha]
    protein_percent : array_like
        Protein aimed at, 0 to 100. [%]
    protein_per_n : array_like
        Protein in one part of nitrogen, as `protein_factor` gives. [-]

    Returns
    -------
    ndarray of float
        Nitrogen in the grain; NaN where an input is missing. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: N_{grain} = 1000 \, Y \, (protein / 100) / f

    Y: yield; f: protein in one part of nitrogen.

    References
    ----------
    .. [1] milling-wheat-nitrogen. Its example: 6800 kg/ha of dry grain, 13 % protein, 155 kg N/ha.

    Examples
    --------
    >>> grain_nitrogen([3.0], 11.0, protein_per_n=5.7).round(1)
    array([57.9])
    """
    require_at_least_zero(yield_t_ha=yield_t_ha, protein_percent=protein_percent)
    require_above_zero(protein_per_n=protein_per_n)
    protein = np.asarray(protein_percent, dtype=float)
    if np.any(protein > PERCENT):
        raise SoilInputError("protein_percent must not be above 100", mend="Give a share by mass")
    grain_kg_ha = KILOGRAMS_PER_TONNE * np.asarray(yield_t_ha, dtype=float)
    return np.asarray(grain_kg_ha * protein / PERCENT / np.asarray(protein_per_n, dtype=float))


def crop_nitrogen_uptake(
    grain_n_kg_ha: ArrayLike, nitrogen_harvest_index: ArrayLike
) -> NDArray[np.float64]:
    r"""Nitrogen that the whole crop above ground takes up.

    Parameters
    ----------
    grain_n_kg_ha : array_like
        Nitrogen in the grain. [kg N/ha]
    nitrogen_harvest_index : array_like
        Share of the crop's nitrogen that ends in the grain, above 0 to 1. [-]

    Returns
    -------
    ndarray of float
        Nitrogen in the crop. [kg N/ha]

    Raises
    ------
    SoilInputError
        If the nitrogen is negative or the share lies outside its range.

    Notes
    -----
    .. math:: N_{crop} = N_{grain} / NHI

    NHI: nitrogen harvest index.

    References
    ----------
    .. [1] milling-wheat-nitrogen. Its example: 155 kg N/ha and a share of 0.68 make 228.

    Examples
    --------
    >>> crop_nitrogen_uptake([155.0], 0.68).round()
    array([228.])
    """
    return _shared_out(grain_n_kg_ha, nitrogen_harvest_index=nitrogen_harvest_index)


def nitrogen_supply_needed(grain_n_kg_ha: ArrayLike, efficiency: ArrayLike) -> NDArray[np.float64]:
    r"""Nitrogen that must be within the crop's reach for its grain to hold what is aimed at.

    Parameters
    ----------
    grain_n_kg_ha : array_like
        Nitrogen in the grain. [kg N/ha]
    efficiency : array_like
        Share of the nitrogen within reach that ends in the grain, above 0 to 1. [-]

    Returns
    -------
    ndarray of float
        Supply from soil and fertiliser together. [kg N/ha]

    Raises
    ------
    SoilInputError
        If the nitrogen is negative or the share lies outside its range.

    Notes
    -----
    .. math:: N_{supply} = N_{grain} / E

    E: efficiency.

    References
    ----------
    .. [1] ipni-2012-canola. A normal efficiency is around 50 %.
    .. [2] grdc-2021-n-rules. The crop finds about 35 % of the fertiliser in Victoria.

    Examples
    --------
    >>> nitrogen_supply_needed([80.0], 0.4)
    array([200.])
    """
    return _shared_out(grain_n_kg_ha, efficiency=efficiency)


def suggests_nitrogen_ran_short(wheat_protein_percent: ArrayLike) -> NDArray[np.bool_]:
    """Whether the protein of harvested wheat suggests that nitrogen held back the yield.

    Parameters
    ----------
    wheat_protein_percent : array_like
        Protein of the grain that came in. [%]

    Returns
    -------
    ndarray of bool
        Nitrogen may have run short, under 11.5 %; no where the protein is not known.

    Raises
    ------
    SoilInputError
        If a value is negative.

    References
    ----------
    .. [1] grdc-2021-protein. A rule of thumb for wheat alone.

    Examples
    --------
    >>> suggests_nitrogen_ran_short([10.2, 12.0])
    array([ True, False])
    """
    require_at_least_zero(wheat_protein_percent=wheat_protein_percent)
    short = figure(FigureTable.NITROGEN, "short_protein").value
    return np.asarray(np.asarray(wheat_protein_percent, dtype=float) < short)


def _shared_out(grain_n_kg_ha: ArrayLike, **share: ArrayLike) -> NDArray[np.float64]:
    """Nitrogen of the grain by the share that it is of the whole."""
    require_at_least_zero(grain_n_kg_ha=grain_n_kg_ha)
    require_above_zero(**share)
    ((name, value),) = share.items()
    of_whole = np.asarray(value, dtype=float)
    if np.any(of_whole > 1):
        raise SoilInputError(f"{name} must not be above 1", mend="Give a share, 0.5 for 50 %")
    return np.asarray(np.divide(grain_n_kg_ha, of_whole, dtype=float))
