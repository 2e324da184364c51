"""Results that are only known to lie beyond a limit, and cells that hold no result."""

import math
import re

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import SoilInputError
from vrxapp.soil.results_table import Limit

_POINT = re.compile(r"([<>]?)\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)")
_COMMA = re.compile(r"([<>]?)\s*([+-]?[0-9]+(?:,[0-9]+)?)")
_UNTOLD_LIMIT = re.compile(
    r"nd|n\.d\.|n/d|not detected|trace|bdl|below detection(?: limit)?|below lor"
    r"|<\s*(?:lor|loq|lod|dl|mdl|pql|rl|(?:limit of )?detection|detection limit|reporting limit"
    r"|limit of (?:reporting|quantification))",
    re.IGNORECASE,
)
_NO_RESULT = frozenset({"", "-", "–", "—", "n/a", "na", "n.a.", "nr", "n/r"})


def parsed_result(text: str, *, decimal_comma: bool = False) -> tuple[float, Limit]:
    """The number in one cell of a laboratory sheet, and whether it is a limit.

    Parameters
    ----------
    text : str
        The cell, for instance ``"12"``, ``"<0.5"``, ``"> 200"``, ``"ND"`` or ``"<LOR"``.
    decimal_comma : bool, default False
        Whether the column that the cell stands in writes 12,5 for twelve and a half.

    Returns
    -------
    tuple of float and Limit
        The number, or the limit itself; NaN where the cell says that there is no result.

    Raises
    ------
    SoilInputError
        If the cell is neither a number nor one of the words for no result.

    Examples
    --------
    >>> parsed_result("< 0,5", decimal_comma=True)
    (0.5, <Limit.BELOW: '<'>)
    """
    cell = text.strip()
    if cell.casefold() in _NO_RESULT or is_untold_limit(cell):
        return math.nan, Limit.NONE
    found = (_COMMA if decimal_comma else _POINT).fullmatch(cell)
    number = float(found[2].replace(",", ".")) if found else math.nan
    if found is None or not math.isfinite(number):
        raise SoilInputError(
            f"{cell!r} is not a number",
            mend="Write a plain number, < or > and a limit, or leave the cell empty",
            value=cell,
        )
    limit = Limit(found[1])
    if limit is Limit.BELOW and number <= 0:
        raise SoilInputError(
            f"nothing can be measured {cell!r}",
            mend="Write < and the laboratory's detection limit",
            value=cell,
        )
    return number, limit


def is_untold_limit(text: str) -> bool:
    """Whether a cell says that too little was there to measure, without saying how little."""
    return _UNTOLD_LIMIT.fullmatch(text.strip()) is not None


def substituted(values: NDArray[np.float64], limits: NDArray[np.str_]) -> NDArray[np.float64]:
    """The numbers that stand in for results beyond a limit, wherever a mean is taken.

    Parameters
    ----------
    values : ndarray of float
        Results; where `limits` says so, the limit itself.
    limits : ndarray of str
        ``"<"``, ``">"`` or empty, in the shape of `values`.

    Returns
    -------
    ndarray of float
        Half the limit for ``<``, the limit itself for ``>``, all else as it was.

    Notes
    -----
    Half the limit is common practice and biased; the more results lie beyond a
    limit, the less the mean says [1]_.

    References
    ----------
    .. [1] program-choice. The half for ``<``, and the limit itself for ``>``.

    Examples
    --------
    >>> substituted(np.array([5.0, 200.0, 12.0]), np.array(["<", ">", ""]))
    array([  2.5, 200. ,  12. ])
    """
    return np.where(np.asarray(limits) == Limit.BELOW, np.asarray(values) / 2.0, values)
