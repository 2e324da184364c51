"""Which way of mapping a soil result suits its samples, and the variogram behind it."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, MissingInputError, Note
from vrxapp.ground.interpolation_choice import (
    FEWEST_FOR_KRIGING,
    Interpolation,
    InterpolationChoice,
    interpolation_choice,
)
from vrxapp.ground.kriging_system import MOST_SAMPLES
from vrxapp.ground.one_thread import one_matrix_thread
from vrxapp.ground.result_scale import Scale, advised_scale, on_scale
from vrxapp.ground.sample_points import SamplePoints, sample_points
from vrxapp.ground.variogram import Anisotropy, Model
from vrxapp.ground.variogram_fit import MODELS, FittedVariogram, fitted_variogram
from vrxapp.ground.zone_means import zone_rows
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.soil.analytes import Analyte
from vrxapp.workflows.placed_samples import outside_notes, placed_samples

OFFERED_MODELS = (*MODELS, Model.MATERN_5_2)
_SKEWED = Note(
    "the results are skewed, so the ways are compared by their logarithms; the map shows means of "
    "the results themselves"
)


@dataclass(frozen=True, slots=True)
class ExpertChoices:
    """What an expert may set instead of what the samples advise.

    Parameters
    ----------
    way : Interpolation or None
        How to map; None takes the advised way.
    model : Model or None
        Shape of the variogram; None takes the one that fits best.
    scale : Scale or None
        Whether logarithms are mapped; None takes what is advised.
    anisotropy : Anisotropy or None
        Direction of the slowest change, and how much faster it is across; None for none.
    """

    way: Interpolation | None = None
    model: Model | None = None
    scale: Scale | None = None
    anisotropy: Anisotropy | None = None


@dataclass(frozen=True, slots=True)
class MapRequest:
    """Which soil result is to be mapped.

    Parameters
    ----------
    analyte_key : str
        The test.
    depth_cm : str
        The layer; empty for the one that most samples are of. [cm]
    choices : ExpertChoices
        What an expert has set.
    """

    analyte_key: str
    depth_cm: str = ""
    choices: ExpertChoices = field(default_factory=ExpertChoices)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MapStudy:
    """The samples of one soil result, and what each way of mapping makes of them.

    Parameters
    ----------
    analyte : Analyte
        What was measured, and its unit.
    depth_cm : str
        The layer; empty where the sheet tells none. [cm]
    samples : SamplePoints
        A value for each spot.
    scale : Scale
        On which the ways are compared and kriging works.
    fitted : FittedVariogram or None
        None where there are too few samples for kriging, or too many.
    choice : InterpolationChoice
        The advised way and the differences at samples left out.
    way : Interpolation
        The way that is taken: the one asked for, else the advised one.
    notes : tuple of Note
        What was left out, advised or is doubtful.
    """

    analyte: Analyte
    depth_cm: str
    samples: SamplePoints
    scale: Scale
    fitted: FittedVariogram | None
    choice: InterpolationChoice
    way: Interpolation
    notes: tuple[Note, ...]


def map_study(season: Season, request: MapRequest, progress: Progress | None = None) -> MapStudy:
    """Compare the ways of mapping one soil result of a season.

    Parameters
    ----------
    season : Season
        Whose samples, by their longitude and latitude, and whose zones.
    request : MapRequest
        Which test and layer, and what an expert has set.
    progress : Progress, optional
        Who watches, and may cancel.

    Returns
    -------
    MapStudy
        With fewer than 30 samples without a variogram: kriging is declined in words.

    Raises
    ------
    MissingInputError
        If there are no results at all.
    UnknownChoiceError
        If the sheet holds no such test or layer.
    GroundError
        If no sample has a position, the samples are too few, in one spot or in one line,
        all alike, or a way is asked for that they do not bear.
    Cancelled
        If whoever watches asked to stop.
    """
    if season.tests is None:
        raise MissingInputError(
            f"{season.paddock.name} has no laboratory results",
            mend="Open a lab sheet with a longitude and a latitude for each sample",
        )
    choices, crs = request.choices, season.paddock.crs
    placed = placed_samples(season.tests, request.analyte_key, crs, depth_cm=request.depth_cm)
    points = placed.points
    samples, joined = sample_points(points.easting_m, points.northing_m, points.values)
    _require_difference(samples, placed.analyte)
    scale, advice = _scale(samples, placed.analyte, choices)
    with one_matrix_thread():
        fitted, declined = _fitted(samples, choices, scale, progress)
        choice = interpolation_choice(
            samples,
            variogram=fitted.variogram if fitted is not None else None,
            zone_of_sample=_zones(season, samples),
            scale=scale,
        )
    way = _way(choices.way, choice, samples)
    if advice and way is not Interpolation.KRIGING:
        advice = (_SKEWED,)
    return MapStudy(
        placed.analyte,
        placed.depth_cm,
        samples,
        scale,
        fitted,
        choice,
        way=way,
        notes=(
            *placed.notes,
            *outside_notes(points, season.paddock),
            *joined,
            *advice,
            *declined,
            *(fitted.notes if fitted is not None else ()),
            *choice.notes,
        ),
    )


def _bear_kriging(samples: SamplePoints) -> bool:
    """Whether there are enough samples for kriging, and not too many."""
    return FEWEST_FOR_KRIGING <= samples.values.size <= MOST_SAMPLES


def _require_difference(samples: SamplePoints, measured: Analyte) -> None:
    """Refuse samples that are all alike: one value says the same as a map."""
    if np.ptp(samples.values) == 0.0:
        raise GroundError(
            f"all samples have the same {measured.name}, so there is nothing to map",
            value=f"{samples.values[0]:g} {measured.unit}".strip(),
            mend="Give the paddock this one value",
        )


def _scale(
    samples: SamplePoints, measured: Analyte, choices: ExpertChoices
) -> tuple[Scale, tuple[Note, ...]]:
    """The scale asked for or advised, and why.

    pH is a logarithm already, and means of zones are means of values.
    """
    if choices.scale is not None:
        on_scale(samples.values, choices.scale)  # refuses what has no logarithm
        return choices.scale, ()
    if measured.unit == "pH" or not _bear_kriging(samples):
        return Scale.PLAIN, ()
    scale, note = advised_scale(samples.values)
    return scale, () if note is None else (note,)


def _fitted(
    samples: SamplePoints, choices: ExpertChoices, scale: Scale, progress: Progress | None
) -> tuple[FittedVariogram | None, tuple[Note, ...]]:
    """The variogram, unless the samples are too few or too many for kriging."""
    count = samples.values.size
    if count < FEWEST_FOR_KRIGING:
        return None, ()  # the comparison says so
    if count > MOST_SAMPLES:
        return None, (
            Note(
                f"kriging left out: {count} samples are more than the {MOST_SAMPLES} it takes",
                mend="Use inverse distance, or average the samples to a coarser grid first",
            ),
        )
    models = MODELS if choices.model is None else (choices.model,)
    fitted = fitted_variogram(
        samples, models=models, anisotropy=choices.anisotropy, scale=scale, progress=progress
    )
    return fitted, ()


def _zones(season: Season, samples: SamplePoints) -> NDArray[np.intp] | None:
    """The zone of each sample; none where the paddock is one zone, whose mean is the paddock's."""
    if len(season.zones.ids) < 2:
        return None
    return zone_rows(season.zones, samples.easting_m, samples.northing_m)


def _way(
    wanted: Interpolation | None, choice: InterpolationChoice, samples: SamplePoints
) -> Interpolation:
    """The way asked for, if the samples bear it, else the advised one."""
    if wanted is None:
        return choice.advised
    if wanted not in {one.way for one in choice.compared}:
        raise _not_borne(wanted, samples)
    return wanted


def _not_borne(way: Interpolation, samples: SamplePoints) -> GroundError:
    """Why a way that was asked for is not offered."""
    count = samples.values.size
    if way is Interpolation.ZONE_MEANS:
        return GroundError(
            "the paddock is one zone, so zone means say no more than one mean",
            mend="Draw zones, or use one mean for the paddock",
        )
    if count > MOST_SAMPLES:
        return GroundError(
            f"{count} samples are more than the {MOST_SAMPLES} that kriging takes",
            mend="Use inverse distance, or average the samples to a coarser grid first",
        )
    return GroundError(
        f"{way} declined: {count} samples, and fewer than {FEWEST_FOR_KRIGING} do not show how "
        "values change between them",
        mend="Use zone means or one mean for the paddock, or take more samples",
    )
