"""Charge of a pure humic or fulvic acid at a soil's pH, and the potassium it can hold.

A supplier's figure of "CEC" is often the total acidity: the charge that is really there
at the pH of a soil is a third to two thirds of it.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT, milligrams_per_cmol

_SOIL_SOLUTION_MOL_L = 0.01
_HALVINGS = 40  # narrows the Donnan factor to eleven digits
_CMOL_PER_MOL = 100.0
_MILLIGRAMS_PER_KILOGRAM = 1e6
_HIGHEST_PH = 14.0


class HumicKind(StrEnum):
    """Which of the two acids."""

    HUMIC = "humic"
    FULVIC = "fulvic"


@dataclass(frozen=True, slots=True)
class HumicSites:
    """Acid groups of one kilogram of the pure acid, and how they bind protons."""

    key: str
    carboxyl_mol_kg: float
    carboxyl_log_k: float
    carboxyl_width: float
    phenol_mol_kg: float
    phenol_log_k: float
    phenol_width: float
    donnan_b: float
    source: str
    where: str
    grade: Grade


def humic_sites(kind: HumicKind) -> HumicSites:
    """The generic acid groups of a humic or fulvic acid [milne-2001]."""
    return next(row for row in read_table("humic_sites.csv", HumicSites) if row.key == kind)


def site_total(kind: HumicKind) -> float:
    """All proton sites of the pure acid: the most charge it can ever have. [cmol/kg]

    Examples
    --------
    >>> round(site_total(HumicKind.HUMIC))
    570
    """
    sites = humic_sites(kind)
    return _CMOL_PER_MOL * (sites.carboxyl_mol_kg + sites.phenol_mol_kg)


def charge_at_ph(
    kind: HumicKind, ph: ArrayLike, *, ionic_strength_mol_l: float = _SOIL_SOLUTION_MOL_L
) -> NDArray[np.float64]:
    r"""Negative charge of a pure humic or fulvic acid at a pH in water.

    Parameters
    ----------
    kind : HumicKind
        Acid.
    ph : array_like
        pH of the soil solution, 0 to 14. [pH]
    ionic_strength_mol_l : float, default 0.01
        Salt of the soil solution, above 0. [mol/L]

    Returns
    -------
    ndarray of float
        Charge; good to about 20 %. [cmol(-)/kg]

    Raises
    ------
    SoilInputError
        If a pH lies outside 0 to 14 or the ionic strength is not above 0.

    Notes
    -----
    Two classes of groups with a spread of strengths, in a Donnan volume:

    .. math:: Q = \sum_i \frac{N_i}{1 + (K_i \, \chi H)^{m_i}}, \quad
              Q = V I (\chi - 1/\chi), \quad \log V = b (1 - \log I) - 1

    References
    ----------
    .. [1] milne-2001. Environmental Science & Technology 35, 2049-2059.

    Examples
    --------
    >>> charge_at_ph(HumicKind.HUMIC, [5.0, 6.0, 7.0]).round()
    array([194., 268., 323.])
    """
    require_above_zero(ionic_strength_mol_l=ionic_strength_mol_l)
    column = np.asarray(ph, dtype=float)
    if np.any((column < 0) | (column > _HIGHEST_PH)):
        raise SoilInputError("ph must be from 0 to 14", mend="Check the value")
    sites = humic_sites(kind)
    volume_l_kg = 10 ** (sites.donnan_b * (1 - np.log10(ionic_strength_mol_l)) - 1)
    log_low, log_high = np.zeros_like(column), np.full_like(column, 6.0)
    for _ in range(_HALVINGS):
        log_chi = (log_low + log_high) / 2
        chi = 10**log_chi
        held = volume_l_kg * ionic_strength_mol_l * (chi - 1 / chi)
        is_below = held < _dissociated(sites, log_chi - column)
        log_low = np.where(is_below, log_chi, log_low)
        log_high = np.where(is_below, log_high, log_chi)
    return np.asarray(_CMOL_PER_MOL * _dissociated(sites, log_low - column))


def potassium_when_neutralised(kind: HumicKind, *, share_of_sites: float = 1.0) -> float:
    """Potassium in the salt when potassium fills these sites: the most that is no added salt.

    Parameters
    ----------
    kind : HumicKind
        Which acid.
    share_of_sites : float, default 1
        Share of all sites that potassium fills, 0 to 1. [-]

    Returns
    -------
    float
        Potassium by mass of the dry, pure salt. [%]

    Raises
    ------
    SoilInputError
        If the share lies outside 0 to 1.

    References
    ----------
    .. [1] milne-2001. Proton sites of the pure acid.

    Examples
    --------
    >>> round(potassium_when_neutralised(HumicKind.HUMIC), 1)
    18.3
    """
    if not 0 <= share_of_sites <= 1:
        raise SoilInputError("share_of_sites must be from 0 to 1", value=f"{share_of_sites:g}")
    filled_cmol_kg = share_of_sites * site_total(kind)
    hydrogen_mg = filled_cmol_kg * milligrams_per_cmol("H")
    potassium_mg = filled_cmol_kg * milligrams_per_cmol("K")
    return PERCENT * potassium_mg / (_MILLIGRAMS_PER_KILOGRAM - hydrogen_mg + potassium_mg)


def _dissociated(sites: HumicSites, log_proton: NDArray[np.float64]) -> NDArray[np.float64]:
    """Groups without their proton, at a proton activity near them. [mol/kg]"""
    carboxyl = sites.carboxyl_mol_kg / (
        1 + 10 ** (sites.carboxyl_width * (sites.carboxyl_log_k + log_proton))
    )
    phenol = sites.phenol_mol_kg / (
        1 + 10 ** (sites.phenol_width * (sites.phenol_log_k + log_proton))
    )
    return np.asarray(carboxyl + phenol)
