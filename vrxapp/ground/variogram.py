"""How alike two places are, by their distance: the model that kriging rests on.

Half the mean squared difference of two places grows with their distance, from the
nugget (laboratory error, and what changes within a few steps) to the sill.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.result_scale import Scale


class Model(StrEnum):
    """Shapes in which likeness falls off with distance."""

    SPHERICAL = "spherical"
    EXPONENTIAL = "exponential"
    MATERN_3_2 = "Matérn, smoothness 3/2"
    MATERN_5_2 = "Matérn, smoothness 5/2"
    NUGGET = "nugget only"


RANGE_PER_LENGTH = {
    Model.SPHERICAL: 1.0,
    Model.EXPONENTIAL: 2.995732273553991,
    Model.MATERN_3_2: 4.743864518390578,
    Model.MATERN_5_2: 5.918649346310188,
    Model.NUGGET: 0.0,
}
"""Distance, in model lengths, at which 5 % of the likeness is left (spherical: none). [-]"""


@dataclass(frozen=True, slots=True)
class Anisotropy:
    """Ground that changes more slowly one way than across it.

    Parameters
    ----------
    angle_degree : float
        Direction of the slowest change, clockwise from grid north. [degrees]
    ratio : float
        Range across that direction as a share of the range along it, above 0 to 1. [-]
    """

    angle_degree: float
    ratio: float

    def __post_init__(self) -> None:
        """Refuse a direction or a ratio that cannot be."""
        if not (np.isfinite(self.angle_degree) and 0.0 < self.ratio <= 1.0):
            raise GroundError(
                "the range across must be above 0 and at most the range along",
                value=f"{self.ratio:g}",
                mend="Turn the angle by 90 degrees where the ratio would be above 1",
            )


@dataclass(frozen=True, slots=True)
class Variogram:
    """A model of how values differ with distance.

    Parameters
    ----------
    model : Model
        Shape of the rise from nugget to sill.
    nugget : float
        Half the mean squared difference of two samples side by side. [unit²]
    partial_sill : float
        What the distance adds to the nugget, at most. [unit²]
    length_m : float
        Length parameter of the model, along the slowest change: the range of the
        spherical model, a third of the range of the exponential. [m]
    anisotropy : Anisotropy, optional
        Where likeness depends on the direction too.
    scale : Scale, default plain
        Whether it describes the values themselves or their logarithms.
    """

    model: Model
    nugget: float
    partial_sill: float
    length_m: float
    anisotropy: Anisotropy | None = None
    scale: Scale = Scale.PLAIN

    def __post_init__(self) -> None:
        """Refuse a model under which nothing varies, or that is no model."""
        parts = (self.nugget, self.partial_sill)
        if not (np.all(np.isfinite(parts)) and min(parts) >= 0.0 and sum(parts) > 0.0):
            raise GroundError(
                "nugget and partial sill must be 0 or more, and not both 0",
                value=f"{self.nugget:g}, {self.partial_sill:g}",
                mend="Where all samples are alike, give the paddock their one value",
            )
        if not (np.isfinite(self.length_m) and self.length_m > 0.0):
            raise GroundError(
                "the length of a variogram must be above 0",
                value=f"{self.length_m:g}",
                mend="Give it in metres",
            )


def total_sill(variogram: Variogram) -> float:
    """What two places far apart differ by: nugget and partial sill. [unit²]"""
    return variogram.nugget + structured_sill(variogram)


def structured_sill(variogram: Variogram) -> float:
    """The part of the sill that depends on distance: none where all is nugget. [unit²]"""
    return 0.0 if variogram.model is Model.NUGGET else variogram.partial_sill


def practical_range_m(variogram: Variogram) -> float:
    """The distance beyond which two places are no more alike than any others. [m]

    Where 5 % of the likeness is left; for the spherical model, where none is.

    Examples
    --------
    >>> round(practical_range_m(Variogram(Model.EXPONENTIAL, 0.1, 0.9, 100.0)))
    300
    """
    return RANGE_PER_LENGTH[variogram.model] * variogram.length_m


def semivariance(variogram: Variogram, distance_m: ArrayLike) -> NDArray[np.float64]:
    """Half the mean squared difference of places so far apart, along the slowest change.

    At no distance at all it is 0; just beside, it is the nugget. [unit²]

    Examples
    --------
    >>> semivariance(Variogram(Model.SPHERICAL, 1.0, 4.0, 200.0), [0.0, 100.0, 300.0])
    array([0.  , 3.75, 5.  ])
    """
    distance = np.array(distance_m, dtype=float)
    likeness = correlation_in_place(
        np.asarray((distance / variogram.length_m) ** 2), variogram.model
    )
    rise = variogram.nugget + structured_sill(variogram) * (1.0 - likeness)
    return np.where(distance == 0.0, 0.0, rise)


def correlation_in_place(squared: NDArray[Any], model: Model) -> NDArray[Any]:
    """Likeness from 1 to 0 at squared distances in model lengths; overwrites them."""
    if model is Model.NUGGET:
        squared[...] = 0.0
    elif model is Model.SPHERICAL:
        _spherical_in_place(squared)
    else:
        np.sqrt(squared, out=squared)
        rise = _matern_rise(squared, model)
        np.negative(squared, out=squared)
        np.exp(squared, out=squared)
        if rise is not None:
            squared *= rise
    return squared


def _spherical_in_place(squared: NDArray[Any]) -> None:
    """1 - 1.5 h + 0.5 h³, and 0 beyond h = 1."""
    np.minimum(squared, 1.0, out=squared)
    h = np.sqrt(squared)
    squared *= 0.5
    squared -= 1.5
    squared *= h
    squared += 1.0


def _matern_rise(h: NDArray[Any], model: Model) -> NDArray[Any] | None:
    """What the falling exponential is multiplied by: nothing, 1 + h or 1 + h + h²/3."""
    if model is Model.MATERN_3_2:
        return h + 1.0
    if model is Model.MATERN_5_2:
        rise = h / 3.0
        rise += 1.0
        rise *= h
        rise += 1.0
        return rise
    return None
