"""Ordinary kriging of all samples at once: the equations solved one time for all places.

With the covariance C of the samples and c of a place to them, the weights follow from
C w + multiplier = c and from their sum being one. C is factored once; each place then
costs one product for the mean and one for the variance.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.result_scale import on_scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import (
    Anisotropy,
    Variogram,
    correlation_in_place,
    structured_sill,
    total_sill,
)

MOST_SAMPLES = 1500
"""All samples serve each cell, so time grows with their square. [-]"""
_ROUNDING = 1e-13
"""Share of the sill below which a pivot of the factor is rounding error. [-]"""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class KrigingSystem:
    """Samples and variogram, solved for every place.

    Parameters
    ----------
    variogram : Variogram
        The model.
    origin_m : tuple of float
        Easting and northing that distances are reckoned from. [m]
    turn : ndarray of float
        Two by two: from metres to model lengths along and across the slowest change.
    spots : ndarray of float
        Two rows: the samples along and across. [model lengths]
    observed : ndarray of float
        The samples' values on the variogram's scale.
    mean : float
        Their mean by generalised least squares.
    dual : ndarray of float
        Two rows over the samples: times the covariances of a place they give its
        difference from the mean, and the sum of its weights were the mean known.
    factor : ndarray of float
        Inverse of the lower triangular factor of C.
    mean_variance : float
        Variance of the mean. [unit²]
    """

    variogram: Variogram
    origin_m: tuple[float, float]
    turn: NDArray[np.float64]
    spots: NDArray[np.float64]
    observed: NDArray[np.float64]
    mean: float
    dual: NDArray[np.float64]
    factor: NDArray[np.float64]
    mean_variance: float


def kriging_system(samples: SamplePoints, variogram: Variogram) -> KrigingSystem:
    """Solve the kriging equations of these samples.

    Raises
    ------
    GroundError
        If there are more samples than can serve every cell, or samples stand too near
        to each other for a variogram without a nugget.
    """
    count = samples.values.size
    if count > MOST_SAMPLES:
        raise GroundError(
            f"{count} samples are more than the {MOST_SAMPLES} that kriging takes",
            mend="Average them to a coarser grid first",
        )
    observed = on_scale(samples.values, variogram.scale)
    origin_m = float(samples.easting_m.mean()), float(samples.northing_m.mean())
    turn = turned(variogram.anisotropy) / variogram.length_m
    spots = turn @ np.vstack([samples.easting_m - origin_m[0], samples.northing_m - origin_m[1]])
    inverse = _inverse_factor(sample_covariance(spots, variogram))
    halves = inverse @ np.column_stack([observed, np.ones(count)])
    information = float(halves[:, 1] @ halves[:, 1])
    mean = float(halves[:, 0] @ halves[:, 1]) / information
    dual = np.vstack([halves[:, 0] - mean * halves[:, 1], halves[:, 1]]) @ inverse
    return KrigingSystem(
        variogram, origin_m, turn, spots, observed, mean, dual, inverse, 1.0 / information
    )


def turned(anisotropy: Anisotropy | None) -> NDArray[np.float64]:
    """The matrix from easting and northing to distances along and across, stretched alike."""
    if anisotropy is None:
        return np.eye(2)
    angle = np.radians(anisotropy.angle_degree)
    along, across = (np.sin(angle), np.cos(angle)), (np.cos(angle), -np.sin(angle))
    return np.array([along, np.divide(across, anisotropy.ratio)])


def sample_covariance(spots: NDArray[np.float64], variogram: Variogram) -> NDArray[np.float64]:
    """Covariance between the samples, the nugget on the diagonal. [unit²]"""
    squared = sum((axis[:, None] - axis[None, :]) ** 2 for axis in spots)
    covariance = structured_sill(variogram) * correlation_in_place(
        np.asarray(squared), variogram.model
    )
    covariance[np.diag_indices_from(covariance)] = total_sill(variogram)
    return covariance


def _inverse_factor(covariance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Inverse of the lower Cholesky factor."""
    from scipy.linalg import solve_triangular  # heavy, and not every start needs it

    try:
        lower = np.linalg.cholesky(covariance)
    except np.linalg.LinAlgError:
        lower = np.zeros((1, 1))
    if np.min(np.diag(lower)) ** 2 < _ROUNDING * covariance[0, 0]:
        raise GroundError(
            "some samples stand so near to each other that this variogram cannot tell them apart",
            mend="Give the variogram a nugget, or average the samples that stand close together",
        )
    return np.asarray(solve_triangular(lower, np.eye(len(lower)), lower=True, overwrite_b=True))
