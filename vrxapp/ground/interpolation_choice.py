"""Which way of mapping the samples to advise, by how far each is off at samples left out."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.ground.leave_one_out import (
    LeftOut,
    inverse_distance_left_out,
    kriging_left_out,
    paddock_mean_left_out,
    typical_difference,
    zone_means_left_out,
)
from vrxapp.ground.result_scale import Scale, on_scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Variogram

FEWEST_FOR_KRIGING = 30  # kriging-from-30
SURE_GAIN = 2.0
"""Standard errors by which a way must be closer than one mean, so that luck seldom wins. [-]"""


class Interpolation(StrEnum):
    """Ways from samples to a map, the plainest first."""

    PADDOCK_MEAN = "one mean for the paddock"
    ZONE_MEANS = "zone means"
    INVERSE_DISTANCE = "inverse distance"
    KRIGING = "kriging"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Compared:
    """One way, and what it made of the samples left out."""

    way: Interpolation
    left_out: LeftOut


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class InterpolationChoice:
    """The advised way of mapping, and the figures behind it.

    Parameters
    ----------
    advised : Interpolation
        The way that is least off at samples left out.
    compared : tuple of Compared
        What each way made of the samples left out, the plainest way first; those not
        tried are missing.
    notes : tuple of Note
        Why a way was declined, and how good the advised one is.
    """

    advised: Interpolation
    compared: tuple[Compared, ...]
    notes: tuple[Note, ...]


def interpolation_choice(
    samples: SamplePoints,
    *,
    variogram: Variogram | None = None,
    zone_of_sample: NDArray[np.intp] | None = None,
    scale: Scale = Scale.PLAIN,
) -> InterpolationChoice:
    """Compare the ways of mapping on samples left out in turn, and advise one.

    With fewer than 30 samples kriging and inverse distance are not offered: so few do
    not show how values change between them. Zone means are advised where zones are
    known, for they rest on more than the samples.

    Parameters
    ----------
    samples : SamplePoints
        The samples.
    variogram : Variogram, optional
        As fitted to them; without it kriging is not compared.
    zone_of_sample : ndarray of int, optional
        Zone of each sample, -1 for none; without it zone means are not compared.
    scale : Scale, default plain
        On which all ways are compared, the one of the variogram if it is given.

    Returns
    -------
    InterpolationChoice
        From 30 samples on, the way with the smallest root mean square difference of
        those that are closer than one mean for the paddock by two standard errors of
        the gain; one mean if there is none.

    References
    ----------
    .. [1] kriging-from-30. Common practice, and no more.
    """
    scale = variogram.scale if variogram is not None else scale
    values = on_scale(samples.values, scale)
    left_out = {Interpolation.PADDOCK_MEAN: paddock_mean_left_out(values)}
    if zone_of_sample is not None:
        left_out[Interpolation.ZONE_MEANS] = zone_means_left_out(values, zone_of_sample)
    notes = []
    advised = list(left_out)[-1]
    if samples.values.size < FEWEST_FOR_KRIGING:
        notes.append(_declined(samples.values.size, zones_known=zone_of_sample is not None))
    else:
        left_out[Interpolation.INVERSE_DISTANCE] = inverse_distance_left_out(samples, values)
        if variogram is not None:
            left_out[Interpolation.KRIGING] = kriging_left_out(samples, variogram)
        advised = min(
            (way for way, found in left_out.items() if _is_surely_closer(found, left_out)),
            key=lambda way: typical_difference(left_out[way]),
            default=Interpolation.PADDOCK_MEAN,
        )
    notes.append(_how_good(left_out, scale))
    compared = tuple(Compared(way, found) for way, found in left_out.items())
    return InterpolationChoice(advised, compared, tuple(notes))


def _declined(samples: int, *, zones_known: bool) -> Note:
    """Why kriging is not offered, and what to do instead."""
    return Note(
        f"kriging declined: {samples} samples, and fewer than {FEWEST_FOR_KRIGING} do not show how "
        "values change between them",
        mend="Use the zone means"
        if zones_known
        else "Use one mean for the paddock, or draw zones and use theirs",
    )


def _is_surely_closer(found: LeftOut, left_out: dict[Interpolation, LeftOut]) -> bool:
    """Whether a way is closer than one mean by more than chance among the samples."""
    gain = left_out[Interpolation.PADDOCK_MEAN].difference ** 2 - found.difference**2
    by_chance = float(gain.std(ddof=1)) / np.sqrt(gain.size)
    return bool(gain.mean() > SURE_GAIN * by_chance)


def _how_good(left_out: dict[Interpolation, LeftOut], scale: Scale) -> Note:
    """How far off each way is, and whether any is better than one mean."""
    off = {way: typical_difference(found) for way, found in left_out.items()}
    told = ", ".join(f"{way} {off[way]:.3g}" for way in sorted(off, key=off.__getitem__))
    unit = " in logarithms" if scale is Scale.LOGARITHM else ""
    message = f"typical difference at samples left out in turn{unit}: {told}"
    if any(_is_surely_closer(found, left_out) for found in left_out.values()):
        return Note(message)
    return Note(
        f"{message}; none is surely closer than one mean for the paddock",
        mend="Take the map as weak: these samples alone give no reason to vary the rate",
    )
