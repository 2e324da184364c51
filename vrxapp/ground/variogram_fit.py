"""Finds the variogram that the samples show, and says how it was found.

Half the mean squared difference of pairs is averaged by distance (Matheron) and a model
laid through it by weighted least squares. Where few samples or the fit itself do not
bear that, the model under which the samples are most likely is taken instead.
"""

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note
from vrxapp.ground.kriging_system import turned
from vrxapp.ground.result_scale import Scale, on_scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import (
    RANGE_PER_LENGTH,
    Anisotropy,
    Model,
    Variogram,
    correlation_in_place,
    practical_range_m,
    total_sill,
)
from vrxapp.ground.variogram_likelihood import likelihood_fit
from vrxapp.progress import Progress, Unwatched

BINS = 15
CUTOFF_PER_DIAGONAL = 1.0 / 3.0  # gstat-variogram
FEWEST_FOR_LEAST_SQUARES = 100  # webster-oliver-2001
FEWEST_BINS = 4
"""A model has three numbers; fewer bins than this fit anything."""
NO_NUGGET = 0.001
"""Share of the sill below which a nugget is as good as none: laboratories alone differ more. [-]"""
_LENGTHS_TRIED = 80

MODELS = (Model.SPHERICAL, Model.EXPONENTIAL, Model.MATERN_3_2)


class FitMethod(StrEnum):
    """How a variogram was found."""

    LEAST_SQUARES = "weighted least squares"
    LIKELIHOOD = "restricted maximum likelihood"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class EmpiricalVariogram:
    """What pairs of samples show, a row for each class of distance that holds any.

    Parameters
    ----------
    distance_m : ndarray of float
        Mean distance of the pairs, along the slowest change. [m]
    semivariance : ndarray of float
        Half their mean squared difference. [unit²]
    pairs : ndarray of int
        How many there are.
    cutoff_m : float
        Pairs farther apart were left out. [m]
    """

    distance_m: NDArray[np.float64]
    semivariance: NDArray[np.float64]
    pairs: NDArray[np.intp]
    cutoff_m: float


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class FittedVariogram:
    """A variogram with what it was fitted to, how, and what is doubtful about it."""

    variogram: Variogram
    empirical: EmpiricalVariogram
    method: FitMethod
    notes: tuple[Note, ...]


def empirical_variogram(
    samples: SamplePoints,
    *,
    cutoff_m: float | None = None,
    bin_m: float | None = None,
    anisotropy: Anisotropy | None = None,
    scale: Scale = Scale.PLAIN,
) -> EmpiricalVariogram:
    """Half the mean squared difference of pairs, in classes of distance.

    A class takes its upper edge in and leaves its lower one out.

    Parameters
    ----------
    samples : SamplePoints
        The samples.
    cutoff_m : float, optional
        Largest distance; a third of the diagonal around the samples if not given, or
        the shortest distance of two samples where that is longer. [m]
    bin_m : float, optional
        Width of a class; a fifteenth of the cutoff if not given. [m]
    anisotropy : Anisotropy, optional
        Distances across the slowest change are stretched by it.
    scale : Scale, default plain
        Whether to take logarithms first.

    Raises
    ------
    GroundError
        If no pair lies within the cutoff.

    References
    ----------
    .. [1] gstat-variogram. Cutoff and classes.
    """
    values = on_scale(samples.values, scale)
    places = turned(anisotropy) @ np.vstack([samples.easting_m, samples.northing_m])
    first, second = np.triu_indices(values.size, 1)
    distance = np.hypot(*(places[:, first] - places[:, second]))
    if cutoff_m is None:
        third_m = CUTOFF_PER_DIAGONAL * float(np.hypot(*np.ptp(places, axis=1)))
        cutoff_m = max(third_m, float(distance.min()))
    bin_m = cutoff_m / BINS if bin_m is None else bin_m
    near = distance <= cutoff_m
    if not near.any():
        raise GroundError(
            f"no two samples lie within {cutoff_m:g} m", mend="Choose a longer cutoff"
        )
    bin_of = np.maximum(np.ceil(distance[near] / bin_m).astype(np.intp) - 1, 0)
    squared = (values[first[near]] - values[second[near]]) ** 2
    pairs = np.bincount(bin_of)
    held = pairs > 0
    distances, halves = np.bincount(bin_of, distance[near]), np.bincount(bin_of, squared / 2.0)
    return EmpiricalVariogram(
        distances[held] / pairs[held], halves[held] / pairs[held], pairs[held], cutoff_m
    )


def least_squares_fit(empirical: EmpiricalVariogram, model: Model) -> tuple[Variogram, float]:
    """The model of this shape nearest to what pairs show, and how far off it is.

    For each length the best nugget and partial sill, neither below zero, follow at once;
    so only the length is searched. Classes weigh by pairs over squared distance.

    Returns
    -------
    Variogram
        Best of those whose range lies within the distances seen.
    float
        Weighted sum of its squared misfits. [unit⁴/m²]

    References
    ----------
    .. [1] gstat-variogram. Weights N/h².
    """
    from scipy.optimize import minimize_scalar  # heavy, and not every start needs it

    def misfit(log_length: float) -> float:
        return _best_sills(empirical, model, float(np.exp(log_length)))[1]

    per_length = RANGE_PER_LENGTH[model]
    shortest_m, longest_m = float(empirical.distance_m[0]), empirical.cutoff_m
    tried = np.log(np.geomspace(shortest_m, longest_m, _LENGTHS_TRIED) / per_length)
    best = int(np.argmin([misfit(x) for x in tried]))
    around = tried[max(best - 1, 0)], tried[min(best + 1, tried.size - 1)]
    found = minimize_scalar(misfit, bounds=around, method="bounded", options={"xatol": 1e-8})
    log_length = float(found.x) if found.fun <= misfit(tried[best]) else float(tried[best])
    (nugget, partial_sill), off = _best_sills(empirical, model, float(np.exp(log_length)))
    return Variogram(model, nugget, partial_sill, float(np.exp(log_length))), off


def _best_sills(
    empirical: EmpiricalVariogram, model: Model, length_m: float
) -> tuple[tuple[float, float], float]:
    """Nugget and partial sill for one length, and the weighted misfit."""
    from scipy.optimize import nnls  # heavy, and not every start needs it

    rise = 1.0 - correlation_in_place((empirical.distance_m / length_m) ** 2, model)
    weight = np.sqrt(empirical.pairs) / empirical.distance_m
    sills, off = nnls(np.column_stack([weight, weight * rise]), weight * empirical.semivariance)
    return (float(sills[0]), float(sills[1])), float(off) ** 2


def fitted_variogram(
    samples: SamplePoints,
    *,
    models: tuple[Model, ...] = MODELS,
    anisotropy: Anisotropy | None = None,
    scale: Scale = Scale.PLAIN,
    progress: Progress | None = None,
) -> FittedVariogram:
    """The variogram that suits the samples best, and what is doubtful about it.

    Under 100 samples, or where least squares find no rise with distance or a range as
    long as the distances looked at, the likelihood decides.

    Parameters
    ----------
    samples : SamplePoints
        The samples.
    models : tuple of Model
        Shapes to choose from.
    anisotropy : Anisotropy, optional
        How likeness depends on the direction; given by the user, not searched.
    scale : Scale, default plain
        Whether to take logarithms first.
    progress : Progress, optional
        Who watches, and may cancel.

    Raises
    ------
    GroundError
        If all samples are alike.
    Cancelled
        If whoever watches asked to stop.

    References
    ----------
    .. [1] webster-oliver-2001. A variogram of pairs asks for 100 samples or more.
    .. [2] kerry-oliver-reml. Restricted maximum likelihood for fewer.
    """
    if np.ptp(samples.values) == 0.0:
        raise GroundError(
            "all samples have the same value, so there is nothing to map",
            value=f"{samples.values[0]:g}",
            mend="Give the paddock this one value",
        )
    empirical = empirical_variogram(samples, anisotropy=anisotropy, scale=scale)
    reason = _no_least_squares(samples, empirical)
    if not reason:
        tried = [least_squares_fit(empirical, model) for model in models]
        variogram = min(tried, key=lambda fit: fit[1])[0]
        reason = _failed(variogram, empirical)
    method = FitMethod.LIKELIHOOD if reason else FitMethod.LEAST_SQUARES
    if reason:
        variogram = likelihood_fit(samples, models, anisotropy, scale, progress or Unwatched())
    whole = replace(variogram, anisotropy=anisotropy, scale=scale)
    return FittedVariogram(whole, empirical, method, _doubts(whole, empirical, reason))


def _no_least_squares(samples: SamplePoints, empirical: EmpiricalVariogram) -> str:
    """Why least squares are not even tried; empty where they are."""
    if samples.values.size < FEWEST_FOR_LEAST_SQUARES:
        return f"{samples.values.size} samples are few for a variogram of pairs"
    if empirical.pairs.size < FEWEST_BINS:
        return "the pairs of samples have too few different distances"
    return ""


def _failed(variogram: Variogram, empirical: EmpiricalVariogram) -> str:
    """Why a fit by least squares is not believed; empty where it is."""
    if variogram.partial_sill == 0.0:
        return "pairs of samples differ no more with distance"
    if practical_range_m(variogram) > 0.99 * empirical.cutoff_m:
        return "differences still grow at the longest distance looked at"
    if practical_range_m(variogram) < 1.01 * empirical.distance_m[0]:
        return "differences grow no more beyond the shortest distance seen"
    return ""


def _doubts(variogram: Variogram, empirical: EmpiricalVariogram, reason: str) -> tuple[Note, ...]:
    """What the user should know about the fit."""
    notes = []
    if reason:
        notes.append(Note(f"{reason}, so the variogram was fitted by likelihood"))
    if variogram.model is Model.NUGGET:
        notes.append(
            Note(
                "the samples show no pattern over distance; kriging gives their mean everywhere",
                mend="Use zone means, or sample closer together",
            )
        )
    elif variogram.nugget < NO_NUGGET * total_sill(variogram):
        notes.append(
            Note(
                "no nugget was found, perhaps since no two samples stand close together: beside "
                "a sample the map claims less error than a laboratory makes",
                mend="Take a few samples some metres from others next time",
            )
        )
    if practical_range_m(variogram) > empirical.cutoff_m:
        notes.append(
            Note(
                f"the range of {practical_range_m(variogram):.0f} m is longer than the "
                f"{empirical.cutoff_m:.0f} m that the samples can show; a trend runs through the "
                "paddock and the errors are rough"
            )
        )
    return tuple(notes)
