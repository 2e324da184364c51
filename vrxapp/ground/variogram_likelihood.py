"""The variogram under which the samples are most likely, for a paddock with few of them.

Restricted likelihood: of what is left of the samples once their mean is taken out. Each
pair of samples counts by what it adds to the others, and no classes of distance are needed.
"""

import math
from collections.abc import Callable
from functools import partial

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.kriging_system import turned
from vrxapp.ground.result_scale import Scale, on_scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import (
    RANGE_PER_LENGTH,
    Anisotropy,
    Model,
    Variogram,
    correlation_in_place,
)
from vrxapp.progress import Progress

STAGE = "Fitting the variogram"
LENGTHS_TRIED = 7
NUGGET_SHARES_TRIED = (0.02, 0.2, 0.5, 0.8)
LEAST_NUGGET_SHARE = 1e-6
"""Keeps the equations solvable where samples stand close together. [-]"""
WORTH_A_PATTERN = 4.0
"""By how much a pattern's two numbers must lower the deviance, as Akaike's criterion asks. [-]"""


def likelihood_fit(
    samples: SamplePoints,
    models: tuple[Model, ...],
    anisotropy: Anisotropy | None,
    scale: Scale,
    progress: Progress,
) -> Variogram:
    """The most likely variogram of these shapes; nugget only where no shape is worth it.

    The practical range is kept between the shortest distance of two samples and the
    diagonal around them.

    Parameters
    ----------
    samples : SamplePoints
        The samples.
    models : tuple of Model
        Shapes to choose from.
    anisotropy : Anisotropy or None
        How distances are stretched.
    scale : Scale
        Whether to take logarithms first.
    progress : Progress
        Who watches, and may cancel: with many samples each trial takes its time.

    References
    ----------
    .. [1] kerry-oliver-reml. Restricted maximum likelihood for few samples.
    """
    values = on_scale(samples.values, scale)
    places = turned(anisotropy) @ np.vstack([samples.easting_m, samples.northing_m])
    distance = np.hypot(*(places[:, :, None] - places[:, None, :]))
    tried = []
    for done, model in enumerate(models):
        watch = partial(progress.step, done, len(models), STAGE)
        tried.append(_best_of_model(values, distance, model, watch))
    variogram, deviance = min(tried, key=lambda fit: fit[1])
    alone = _deviance(values, np.eye(values.size))
    if alone[0] <= deviance + WORTH_A_PATTERN:
        return Variogram(Model.NUGGET, alone[1], 0.0, float(np.max(distance)))
    return variogram


def _best_of_model(
    values: NDArray[np.float64],
    distance: NDArray[np.float64],
    model: Model,
    watch: Callable[[], None],
) -> tuple[Variogram, float]:
    """The most likely length and nugget of one shape, with its deviance."""
    from scipy.optimize import minimize  # heavy, and not every start needs it

    def covariance_share(at: NDArray[np.float64]) -> NDArray[np.float64]:
        share = correlation_in_place((distance / math.exp(at[0])) ** 2, model) * (1.0 - at[1])
        share[np.diag_indices_from(share)] = 1.0
        return np.asarray(share)

    def deviance(at: NDArray[np.float64]) -> float:
        watch()
        return _deviance(values, covariance_share(at))[0]

    shortest = float(np.min(distance[distance > 0.0]))
    longest = float(np.max(distance))
    lengths = np.log(np.geomspace(shortest, longest, LENGTHS_TRIED) / RANGE_PER_LENGTH[model])
    starts = [np.array([length, share]) for length in lengths for share in NUGGET_SHARES_TRIED]
    found = minimize(
        deviance,
        min(starts, key=deviance),
        method="Nelder-Mead",
        bounds=[(lengths[0], lengths[-1]), (LEAST_NUGGET_SHARE, 1.0)],
        options={"xatol": 1e-4, "fatol": 1e-5, "maxfev": 300},
    )
    best, sill = _deviance(values, covariance_share(found.x))
    nugget_share = float(found.x[1])
    variogram = Variogram(
        model, sill * nugget_share, sill * (1.0 - nugget_share), math.exp(found.x[0])
    )
    return variogram, best


def _deviance(values: NDArray[np.float64], share: NDArray[np.float64]) -> tuple[float, float]:
    """Minus twice the restricted log-likelihood at its best sill, and that sill."""
    from scipy.linalg import solve_triangular  # heavy, and not every start needs it

    try:
        lower = np.linalg.cholesky(share)
    except np.linalg.LinAlgError:
        return math.inf, math.nan
    columns = np.column_stack([values, np.ones(values.size)])
    halves = solve_triangular(lower, columns, lower=True)
    information = float(halves[:, 1] @ halves[:, 1])
    rest = halves[:, 0] - halves[:, 1] * float(halves[:, 0] @ halves[:, 1]) / information
    freedom = values.size - 1
    sill = float(rest @ rest) / freedom
    logs = 2.0 * float(np.sum(np.log(np.diag(lower)))) + math.log(information)
    constant = freedom * (1.0 + math.log(2.0 * math.pi)) - math.log(values.size)
    return freedom * math.log(sill) + logs + constant, sill
