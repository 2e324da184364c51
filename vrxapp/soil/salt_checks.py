"""Chloride and conductivity of one extract, which must agree: chloride is part of the salt."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import Note
from vrxapp.soil.conversions import amounts
from vrxapp.soil.queries import ASK_THE_LABORATORY, numbers_of, query, shown
from vrxapp.soil.results_table import ResultsTable, column_of

# queensland-salinity, eqs 38 to 40
_DS_M_PER_PERCENT = 6.64
_SHAW_SLOPE, _SHAW_SCALE, _SHAW_OFFSET = 0.92, 56.42, -0.865
_MG_KG_PER_PERCENT = 10_000.0
# program-choice
LEAST_SHARE = 0.85
SALTY_ABOVE_MG_KG, BARELY_ANY_SALT_DS_M = 100.0, 0.05
MUCH_MORE, MUCH_SALT_DS_M = 3.0, 0.5


def ec_of_chloride(chloride_mg_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Conductivity of the 1:5 extract that chloride salts alone would give.

    Parameters
    ----------
    chloride_mg_kg : array_like
        Chloride in the same extract. [mg/kg]

    Returns
    -------
    ndarray of float
        Conductivity; NaN where the input is NaN. [dS/m]

    Raises
    ------
    SoilInputError
        If a value is negative or infinite.

    Notes
    -----
    .. math:: EC_{Cl} = 6.64 \, Cl\%

    References
    ----------
    .. [1] queensland-salinity. Conversions, eq. 38.

    Examples
    --------
    >>> ec_of_chloride([600.0]).round(4)
    array([0.3984])
    """
    percent = amounts(chloride_mg_kg=chloride_mg_kg) / _MG_KG_PER_PERCENT
    return _DS_M_PER_PERCENT * percent


def ec_of_chloride_shaw(chloride_mg_kg: ArrayLike) -> NDArray[np.float64]:
    r"""The same by the closer, curved equation.

    Parameters
    ----------
    chloride_mg_kg : array_like
        Chloride in the same extract. [mg/kg]

    Returns
    -------
    ndarray of float
        Conductivity, 0 where there is no chloride; NaN where the input is NaN. [dS/m]

    Raises
    ------
    SoilInputError
        If a value is negative or infinite.

    Notes
    -----
    .. math:: \log_{10} EC_{Cl} = 0.92 \, \log_{10}(56.42 \, Cl\%) - 0.865

    References
    ----------
    .. [1] queensland-salinity. Conversions, eqs 39 and 40, after Shaw 1994.

    Examples
    --------
    >>> ec_of_chloride_shaw([600.0]).round(4)
    array([0.419])
    """
    percent = amounts(chloride_mg_kg=chloride_mg_kg) / _MG_KG_PER_PERCENT
    return np.asarray(10.0**_SHAW_OFFSET * (_SHAW_SCALE * percent) ** _SHAW_SLOPE)


def salt_notes(table: ResultsTable) -> Iterator[Note]:
    """Chloride and conductivity of one sheet that do not fit each other.

    Queried are a conductivity under 85 % of what either equation gives for the chloride,
    more than 100 mg/kg of chloride at less than 0.05 dS/m, and above 0.5 dS/m a conductivity
    over three times that of the chloride.

    References
    ----------
    .. [1] queensland-salinity. Conversions, eqs 38 to 40.
    .. [2] program-choice. The limits.
    """
    conductivity, chloride = column_of(table, "ec_1_5"), column_of(table, "chloride")
    if conductivity is None or chloride is None:
        return
    told, salt = numbers_of(table, "ec_1_5"), numbers_of(table, "chloride")
    both = np.stack([ec_of_chloride(salt), ec_of_chloride_shaw(salt)])
    least, most = both.min(axis=0), both.max(axis=0)
    too_low = told < LEAST_SHARE * least
    too_low |= (salt > SALTY_ABOVE_MG_KG) & (told < BARELY_ANY_SALT_DS_M)
    too_high = (told > MUCH_MORE * most) & (told > MUCH_SALT_DS_M)
    for row in np.flatnonzero(too_low | too_high):
        alone = f"{least[row]:.2g} to {most[row]:.2g} dS/m"
        name = f"sample {table.sample_ids[row]!r}"
        if too_low[row]:
            message = (
                f"the chloride of {name} ({shown(chloride, row)} mg/kg) would alone give {alone}, "
                "more than the whole conductivity"
            )
            mend = f"{ASK_THE_LABORATORY}; check the unit of both"
        else:
            message = (
                f"the conductivity of {name} lies far above what its chloride "
                f"({shown(chloride, row)} mg/kg) gives ({alone}): gypsum, sulfate or nitrate"
            )
            mend = "Check the unit of both; do not read this conductivity as common salt"
        yield query(table, row, conductivity, message=message, mend=mend)
