"""What the zones need of one thing: the shape that every rule hands on to the rates."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import Trail


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ZoneNeed:
    """Need of each zone, why a zone has none, and the trail.

    Parameters
    ----------
    amount : ndarray of float
        What each zone needs; NaN where it cannot be told. [unit]
    unit : str
        Unit of the need, for instance ``"kg P/ha"``.
    reasons : ndarray of str
        Why a zone has no need that could be told; empty where it has one.
    trail : Trail
        The steps from soil test to need; its last step is called ``need``.
    cautions : tuple of str, optional
        What to mind when it is spread; labels and law come first.
    """

    amount: NDArray[np.float64]
    unit: str
    reasons: NDArray[np.str_]
    trail: Trail
    cautions: tuple[str, ...] = ()
