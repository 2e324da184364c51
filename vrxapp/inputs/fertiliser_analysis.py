"""What fertilisers hold: the pure compound as a ceiling, rates from a need, loose weights."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.figures import Figure, FigureTable, figures
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.inputs.products import Product
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT, mass_fraction

_ROUNDING_PERCENT = 0.1
_HIGHEST_ELEMENTAL = {"p_percent": ("P", "NH4H2PO4", "MAP"), "k_percent": ("K", "KCl", "KCl")}


@dataclass(frozen=True, slots=True)
class PureCompound:
    """The compound that a product would be if nothing else were in it."""

    key: str
    name: str
    formula: str
    source: str


def pure_compounds() -> tuple[PureCompound, ...]:
    """The compounds of the typical products, and some beside them."""
    return read_table("pure_compounds.csv", PureCompound)


def element_percent(element: str, formula: str) -> float:
    r"""Share of an element in a pure compound; a trade grade holds less.

    Parameters
    ----------
    element : str
        Symbol of the element.
    formula : str
        Formula of the compound.

    Returns
    -------
    float
        The element by mass. [%]

    Raises
    ------
    UnknownChoiceError
        If the formula cannot be read or holds an element without a mass.

    Notes
    -----
    .. math:: c = 100 \, n \, M_{element} / M_{compound}

    n: atoms of the element; M: masses by formula.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> round(element_percent("N", "CO(NH2)2"), 2)
    46.65
    """
    return PERCENT * mass_fraction(element, formula)


def analysis_doubts(product: Product) -> tuple[str, ...]:
    """Why an analysis can hardly be elemental: more than the purest common compound holds.

    A label of 12-52-0 is in oxides; read as elements it would halve the rate.

    Parameters
    ----------
    product : Product
        The product with its analysis.

    Returns
    -------
    tuple of str
        Doubts; none where the analysis can be elemental.

    References
    ----------
    .. [1] prohaska-2022. What the pure compounds hold.

    Examples
    --------
    >>> analysis_doubts(Product("x", "Starter", 12.0, 52.0, 0.0, 0.0))
    ('52 % P is more than pure MAP holds (26.9 %): is it the oxide? As P2O5 it is 22.7 % P',)
    """
    oxides = {"p_percent": "P2O5", "k_percent": "K2O"}
    told = []
    for name, (element, formula, compound) in _HIGHEST_ELEMENTAL.items():
        share, most = getattr(product, name), element_percent(element, formula)
        if share > most + _ROUNDING_PERCENT:
            oxide = oxides[name]
            as_element = share * mass_fraction(element, oxide)
            told.append(
                f"{share:g} % {element} is more than pure {compound} holds ({most:.1f} %): is it "
                f"the oxide? As {oxide} it is {as_element:.1f} % {element}"
            )
    return tuple(told)


def product_rate(need_kg_ha: ArrayLike, content_percent: ArrayLike) -> NDArray[np.float64]:
    r"""Product that brings a need of one nutrient.

    Parameters
    ----------
    need_kg_ha : array_like
        The element that is needed. [kg/ha]
    content_percent : array_like
        The element in the product by mass, above 0 to 100. [%]

    Returns
    -------
    ndarray of float
        Product; NaN where the need is not known. [kg/ha]

    Raises
    ------
    SoilInputError
        If the need is negative or the product does not hold the element.

    Notes
    -----
    .. math:: rate = need / (content / 100)

    Examples
    --------
    >>> product_rate([34.05], 46.0).round(1)
    array([74.])
    """
    require_at_least_zero(need_kg_ha=need_kg_ha)
    require_above_zero(content_percent=content_percent)
    content = np.asarray(content_percent, dtype=float)
    if np.any(content > PERCENT):
        raise SoilInputError("content_percent must not be above 100", mend="Give a share by mass")
    return np.asarray(np.divide(need_kg_ha, content / PERCENT, dtype=float))


def content_by_volume(content_percent: ArrayLike, density_kg_l: ArrayLike) -> NDArray[np.float64]:
    r"""What 100 L of a liquid hold of a nutrient, as liquids are often labelled.

    Parameters
    ----------
    content_percent : array_like
        The element by mass. [%]
    density_kg_l : array_like
        Density of the liquid, above 0. [kg/L]

    Returns
    -------
    ndarray of float
        The element by volume. [kg in 100 L]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: v = c \, \rho

    c: content by mass; ρ: density.

    Examples
    --------
    >>> content_by_volume([32.0], 1.32).round(1)
    array([42.2])
    """
    require_at_least_zero(content_percent=content_percent)
    require_above_zero(density_kg_l=density_kg_l)
    return np.multiply(content_percent, density_kg_l, dtype=float)


def loose_weights(product_key: str = "") -> tuple[Figure, ...]:
    """What a cubic metre of a product weighs when loose, by each list there is.

    The lists disagree by a tenth, so none is the default: weigh a bucket of your own.

    Parameters
    ----------
    product_key : str, default ""
        Product; every one there is where it is empty.

    Returns
    -------
    tuple of Figure
        Loose weights. [t/m³]

    Examples
    --------
    >>> [weight.value for weight in loose_weights("uan_32")]
    [1.32]
    """
    rows = figures(FigureTable.BULK_DENSITY)
    return tuple(row for row in rows if product_key in ("", row.key))
