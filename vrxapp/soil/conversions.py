"""Laboratory results in other forms, exactly: by charge and by mass, as elements and oxides."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError
from vrxapp.units import conversion_factor, mass_fraction


def mass_from_charge(charge_cmol_kg: ArrayLike, ion: str) -> NDArray[np.float64]:
    r"""Mass of an exchangeable ion from its charge.

    Parameters
    ----------
    charge_cmol_kg : array_like
        Exchangeable ion; meq/100 g is the same unit. [cmol(+)/kg]
    ion : str
        Symbol of the ion: Ca, Mg, K, Na, Al or H.

    Returns
    -------
    ndarray of float
        Mass of the ion; NaN where the input is NaN. [mg/kg]

    Raises
    ------
    SoilInputError
        If a value is negative or infinite.
    UnknownChoiceError
        If the ion is not one of the table.

    Notes
    -----
    .. math:: x_{mg/kg} = 10 \, x_{cmol} \, M / z

    M: atomic mass; z: charges of the ion.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> mass_from_charge([5.0], "Ca").round(2)
    array([1001.95])
    """
    charge = amounts(charge_cmol_kg=charge_cmol_kg)
    return charge * conversion_factor("cmol(+)/kg", "mg/kg", ion=ion)


def charge_from_mass(mass_mg_kg: ArrayLike, ion: str) -> NDArray[np.float64]:
    r"""Charge of an exchangeable ion from its mass, the way back of `mass_from_charge`.

    Parameters
    ----------
    mass_mg_kg : array_like
        Exchangeable ion. [mg/kg]
    ion : str
        Symbol of the ion: Ca, Mg, K, Na, Al or H.

    Returns
    -------
    ndarray of float
        Charge; NaN where the input is NaN. [cmol(+)/kg]

    Raises
    ------
    SoilInputError
        If a value is negative or infinite.

    Notes
    -----
    .. math:: x_{cmol} = x_{mg/kg} \, z / (10 \, M)

    M: atomic mass; z: charges of the ion.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> charge_from_mass([195.49], "K").round(3)
    array([0.5])
    """
    mass = amounts(mass_mg_kg=mass_mg_kg)
    return mass * conversion_factor("mg/kg", "cmol(+)/kg", ion=ion)


def element_from_compound(amount: ArrayLike, element: str, *, compound: str) -> NDArray[np.float64]:
    r"""An element's mass from that of its oxide or ion: P from P2O5, N from NO3.

    Parameters
    ----------
    amount : array_like
        Amount or concentration of the compound, in any unit by mass. [unit of the amount]
    element : str
        Symbol of the element.
    compound : str
        Formula of the oxide or ion.

    Returns
    -------
    ndarray of float
        Amount of the element. [the same unit]

    Raises
    ------
    SoilInputError
        If an amount is negative or infinite, or the compound does not hold the element.

    Notes
    -----
    .. math:: m_{element} = m \, n \, M_{element} / M_{compound}

    m: amount of the compound; n: atoms of the element in it; M: masses by formula.

    Worked out from atomic masses: the factors for CaO that the Australasian methods book
    prints in its Table App. 5.5 (0.744 and 1.339) are slips [2]_.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.
    .. [2] rayment-lyons-2011. Tables App. 5.4 and 5.5.

    Examples
    --------
    >>> element_from_compound([62.0], "N", compound="NO3").round(2)
    array([14.01])
    """
    return amounts(amount=amount) * _share(element, compound)


def compound_from_element(amount: ArrayLike, element: str, *, compound: str) -> NDArray[np.float64]:
    r"""The mass of an oxide or ion from that of its element, the way back.

    Parameters
    ----------
    amount : array_like
        Amount or concentration of the element, in any unit by mass. [unit of the amount]
    element : str
        Symbol of the element.
    compound : str
        Formula of the oxide or ion.

    Returns
    -------
    ndarray of float
        Amount of the compound. [the same unit]

    Raises
    ------
    SoilInputError
        If an amount is negative or infinite, or the compound does not hold the element.

    Notes
    -----
    .. math:: m_{compound} = m \, M_{compound} / (n \, M_{element})

    m: amount of the element; n: atoms of it in the compound; M: masses by formula.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> compound_from_element([1.0], "P", compound="P2O5").round(3)
    array([2.291])
    """
    return amounts(amount=amount) / _share(element, compound)


def _share(element: str, compound: str) -> float:
    """The element's share of a compound, above zero."""
    share = mass_fraction(element, compound)
    if share <= 0:
        raise SoilInputError(f"{compound} holds no {element}", mend="Check the formula")
    return share


def amounts(**column: ArrayLike) -> NDArray[np.float64]:
    """A column of amounts: not negative, not infinite; a missing one may stay missing.

    Raises
    ------
    SoilInputError
        If a value is negative or infinite; the message names the parameter.
    """
    ((name, values),) = column.items()
    numbers = np.asarray(values, dtype=float)
    wrong = (numbers < 0) | np.isinf(numbers)
    if np.any(wrong):
        raise SoilInputError(
            f"{name} must not be negative or infinite; {int(np.sum(wrong))} of {numbers.size} are",
            value=f"{numbers[wrong].flat[0]:g}",
            mend="Check the value and its unit",
        )
    return numbers
