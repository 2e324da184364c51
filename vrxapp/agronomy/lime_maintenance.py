"""Maintenance lime: what balances the acid of harvests and of nitrogen, and no more.

It is added only where the agronomist asks for it. The equivalent acidity printed for
whole products holds half of the nitrogen's acid already and is not added to this.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import mass_fraction


@dataclass(frozen=True, slots=True)
class LimeRemoval:
    """Pure lime that balances one tonne of a product taken away. [kg CaCO3/t]"""

    key: str
    name: str
    lime_kg_t: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class NitrogenAcidity:
    """Acid that a source of nitrogen leaves when every bit is taken up. [mol H+/mol N]"""

    key: str
    name: str
    acid_mol_per_mol_n: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class PrintedAcidity:
    """Equivalent acidity that a list prints for a product.

    Parameters
    ----------
    key, name : str
        Lasting name, and what people call it.
    lime_kg_per_100_kg : float
        Printed acidity, as pure CaCO3. [kg for 100 kg of product]
    source, where : str
        Key of the bibliography, and the place in it.
    grade : Grade
        How well it is known.
    """

    key: str
    name: str
    lime_kg_per_100_kg: float
    source: str
    where: str
    grade: Grade


def lime_removals() -> tuple[LimeRemoval, ...]:
    """Every harvest there is a figure for."""
    return read_table("lime_removal.csv", LimeRemoval)


def nitrogen_acidities() -> tuple[NitrogenAcidity, ...]:
    """Every source of nitrogen there is a figure for."""
    return read_table("nitrogen_acidity.csv", NitrogenAcidity)


def nitrogen_acidity(key: str) -> NitrogenAcidity:
    """The source of nitrogen with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in nitrogen_acidities():
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"no source of nitrogen has the key {key!r}",
        mend=f"Choose one of: {', '.join(known.key for known in nitrogen_acidities())}",
    )


def lime_for_harvest(yield_t_ha: ArrayLike, lime_kg_t: ArrayLike) -> NDArray[np.float64]:
    r"""Pure lime that balances what a harvest takes away.

    Parameters
    ----------
    yield_t_ha : array_like
        Product taken away. [t/ha]
    lime_kg_t : array_like
        Pure CaCO3 for one tonne of it, as `lime_removals` gives. [kg/t]

    Returns
    -------
    ndarray of float
        Pure lime, CaCO3. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: L = Y \, c

    Y: product taken away; c: pure lime for a tonne of it.

    References
    ----------
    .. [1] dpird-lime-program. Table 1.

    Examples
    --------
    >>> lime_for_harvest([3.0], 9.0)
    array([27.])
    """
    require_at_least_zero(yield_t_ha=yield_t_ha, lime_kg_t=lime_kg_t)
    return np.multiply(yield_t_ha, lime_kg_t, dtype=float)


def lime_for_nitrogen(
    n_kg_ha: ArrayLike, acid_mol_per_mol_n: ArrayLike, *, leached_fraction: ArrayLike
) -> NDArray[np.float64]:
    r"""Pure lime that balances the acid of applied nitrogen; below 0 it is a benefit.

    Parameters
    ----------
    n_kg_ha : array_like
        Nitrogen applied. [kg N/ha]
    acid_mol_per_mol_n : array_like
        Acid that the source leaves, as `nitrogen_acidities` gives. [mol H+/mol N]
    leached_fraction : array_like
        Share of the nitrogen lost as nitrate, 0 to 1; there is no default. [-]

    Returns
    -------
    ndarray of float
        Pure CaCO3. [kg/ha]

    Raises
    ------
    SoilInputError
        If the nitrogen is negative or the share lies outside 0 to 1.

    Notes
    -----
    .. math:: L = 3.573 \, N \, (a + f)

    N: nitrogen applied; a: acid that the source leaves; f: share lost as nitrate.

    References
    ----------
    .. [1] nsw-dpi-nitrogen. Confirms it for urea, ammonium nitrate and nitrates.
    .. [2] helyar-1989. The reasoning, from memory.

    Examples
    --------
    60 kg N/ha as urea, a quarter of it leached:

    >>> lime_for_nitrogen([60.0], 0.0, leached_fraction=0.25).round(1)
    array([53.6])
    """
    require_at_least_zero(n_kg_ha=n_kg_ha, leached_fraction=leached_fraction)
    leached = np.asarray(leached_fraction, dtype=float)
    if np.any(leached > 1):
        raise SoilInputError(
            "leached_fraction must not be above 1", mend="Give a share, 0.25 for 25 %"
        )
    acid = np.asarray(acid_mol_per_mol_n, dtype=float) + leached
    # half a mole of CaCO3 stands against the acid of one mole of nitrogen
    nitrogen_share = mass_fraction("N", "CaCO3N2")
    per_kg_n = (1.0 - nitrogen_share) / nitrogen_share
    return np.asarray(per_kg_n * np.asarray(n_kg_ha, dtype=float) * acid)


def lime_for_elemental_sulfur(
    s_kg_ha: ArrayLike, *, oxidised_fraction: ArrayLike
) -> NDArray[np.float64]:
    r"""Pure lime that balances the acid of elemental sulfur as it turns into sulfate.

    Parameters
    ----------
    s_kg_ha : array_like
        Elemental sulfur; sulfate makes no acid. [kg S/ha]
    oxidised_fraction : array_like
        Share that has turned, 0 to 1; there is no default. [-]

    Returns
    -------
    ndarray of float
        Pure lime, CaCO3. [kg/ha]

    Raises
    ------
    SoilInputError
        If the sulfur is negative or the share lies outside 0 to 1.

    Notes
    -----
    .. math:: L = S \, f \, M_{CaCO_3} / M_S

    S: sulfur; f: share that has turned into sulfate; M: masses by formula.

    References
    ----------
    .. [1] prohaska-2022. Two moles of acid, so one of CaCO3, for each mole of sulfur.

    Examples
    --------
    >>> lime_for_elemental_sulfur([10.0], oxidised_fraction=1.0).round(1)
    array([31.2])
    """
    require_at_least_zero(s_kg_ha=s_kg_ha, oxidised_fraction=oxidised_fraction)
    oxidised = np.asarray(oxidised_fraction, dtype=float)
    if np.any(oxidised > 1):
        raise SoilInputError("oxidised_fraction must not be above 1", mend="Give a share")
    sulfur_share = mass_fraction("S", "CaCO3S")
    per_kg_s = (1.0 - sulfur_share) / sulfur_share
    return np.asarray(per_kg_s * np.asarray(s_kg_ha, dtype=float) * oxidised)


def printed_acidities() -> tuple[PrintedAcidity, ...]:
    """Equivalent acidity as lists print it, to be shown beside and added to nothing.

    Returns
    -------
    tuple of PrintedAcidity
        Acidity as printed.

    Examples
    --------
    >>> [acidity.lime_kg_per_100_kg for acidity in printed_acidities()]
    [110.0, 84.0]
    """
    return read_table("equivalent_acidity.csv", PrintedAcidity)
