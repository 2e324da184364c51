"""The class of a soil test at each place, in words and as a position on its scale."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError
from vrxapp.soil.analytes import Analyte, analyte
from vrxapp.soil.interpretation_scales import Scale, Steps, asks_for_clay, asks_for_texture

_NO_CLASS = -1


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Interpretation:
    """Classes of one test, one row a place; all columns are read-only.

    Parameters
    ----------
    scale : Scale
        The scale, with its source, grade and caution.
    words : ndarray of str
        Name of the class; empty where there is none.
    class_number : ndarray of int
        Class counted from 0 at the low end; -1 where there is none.
    position : ndarray of float
        Place on the scale from 0 to 1, all classes equally wide, so that a mark on a bar
        tells it without colour; NaN where there is none. [-]
    lacking : ndarray of str
        Why a place has no class; empty where it has one.
    """

    scale: Scale
    words: NDArray[np.object_]
    class_number: NDArray[np.intp]
    position: NDArray[np.float64]
    lacking: NDArray[np.object_]

    def __post_init__(self) -> None:
        """Close the columns to writing."""
        for column in (self.words, self.class_number, self.position, self.lacking):
            column.setflags(write=False)


def interpretation(
    values: ArrayLike,
    scale: Scale,
    *,
    clay_percent: ArrayLike = np.nan,
    texture: ArrayLike = "",
) -> Interpretation:
    """The class of each place on one scale.

    Intervals are half open: the lower end of a class belongs to it, unless its source prints
    the class as "above" that value.

    Parameters
    ----------
    values : array_like
        Results of the analyte that the scale is made for. [the analyte's unit]
    scale : Scale
        The scale, from `default_scale` or chosen by the user.
    clay_percent : array_like, optional
        Clay, for a scale that asks for it. [%]
    texture : array_like of str, optional
        Texture in words, for a scale that asks for it.

    Returns
    -------
    Interpretation
        No class where the result, or the clay or texture that the scale asks for, is missing.

    Raises
    ------
    SoilInputError
        If a value is not possible for the analyte.

    Notes
    -----
    Within a class the position runs evenly from its lower to its upper end; in the last
    class, which has no upper end, it is 1 less the lower end over the value.

    References
    ----------
    .. [1] program-choice. The even width of the classes on the bar.

    Examples
    --------
    >>> from vrxapp.soil.interpretation_scales import scale
    >>> found = interpretation([1.2, 2.5, float("nan")], scale("oc-northeast"))
    >>> found.words.tolist()
    ['low', 'high', '']
    >>> found.position.round(2)
    array([0.34, 0.6 ,  nan])
    """
    measured = analyte(scale.analyte_key)
    numbers, clay, soil = np.broadcast_arrays(
        _possible(values, measured),
        np.asarray(clay_percent, dtype=float),
        np.strings.lower(np.asarray(texture, dtype=str)),
    )
    rounded = _rounded(numbers, scale.decimals)
    number = np.full(numbers.shape, _NO_CLASS, dtype=np.intp)
    position = np.full(numbers.shape, np.nan)
    fits = np.zeros(numbers.shape, dtype=bool)
    for steps in scale.steps:
        here = _holds_for(steps, clay=clay, texture=soil)
        fits |= here
        here = here & (rounded >= steps.from_values[0])
        number[here], position[here] = placed(rounded[here], steps.from_values)
    names = np.array([*scale.steps[0].words, ""], dtype=object)
    return Interpretation(
        scale,
        names[number],
        number,
        position,
        _lacking(scale, numbers, fits=fits, has_class=number >= 0),
    )


def class_name(words: str) -> str:
    """The name of a class without what its source says that it means.

    Examples
    --------
    >>> class_name("high: tolerant crops cope")
    'high'
    """
    return words.partition(":")[0]


def placed(
    numbers: ArrayLike, from_values: ArrayLike
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Class and position of numbers on a bar of classes that are all equally wide.

    Parameters
    ----------
    numbers : array_like
        Results, none below the first class. [the analyte's unit]
    from_values : array_like
        Lower end of each class, rising. [the analyte's unit]

    Returns
    -------
    tuple of ndarrays
        Class counted from 0, and position from 0 to 1. [-]

    Examples
    --------
    A result halfway up to the one value that parts two classes:

    >>> placed([17.0], [0.0, 34.0])
    (array([0]), array([0.25]))
    """
    given, lower = np.asarray(numbers, dtype=float), np.asarray(from_values, dtype=float)
    number = np.searchsorted(lower, given, side="right") - 1
    upper = np.append(lower[1:], np.inf)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (given - lower[number]) / (upper[number] - lower[number])
        open_share = 1.0 - lower[number] / given
    share = np.where(np.isinf(upper[number]), open_share, share)
    return number, (number + share) / len(lower)


def _possible(values: ArrayLike, measured: Analyte) -> NDArray[np.float64]:
    """Results, none of them outside what the analyte can be."""
    numbers = np.asarray(values, dtype=float)
    wrong = (numbers < measured.lowest) | (numbers > measured.highest)
    if np.any(wrong):
        raise SoilInputError(
            f"{measured.name} lies between {measured.lowest:g} and {measured.highest:g} "
            f"{measured.unit}; {int(np.sum(wrong))} of {numbers.size} values do not",
            value=f"{numbers[wrong].flat[0]:g}",
            mend="Check the value and its unit",
        )
    return numbers


def _rounded(numbers: NDArray[np.float64], decimals: float) -> NDArray[np.float64]:
    """Numbers rounded as people round, halves upwards, where the scale asks for it."""
    if np.isnan(decimals):
        return numbers
    power = 10.0**decimals
    # a half such as 5.05 is stored a hair below itself; the small addition lifts it back
    return np.asarray(np.floor(numbers * power + 0.5 + 1e-9) / power)


def _holds_for(
    steps: Steps, *, clay: NDArray[np.float64], texture: NDArray[np.str_]
) -> NDArray[np.bool_]:
    """Places whose clay or texture the classes are made for."""
    here = np.ones(clay.shape, dtype=bool)
    if not np.isnan(steps.clay_from_percent):
        here &= (clay >= steps.clay_from_percent) & (clay < steps.clay_below_percent)
    if steps.texture:
        here &= texture == steps.texture
    return here


def _lacking(
    scale: Scale,
    numbers: NDArray[np.float64],
    *,
    fits: NDArray[np.bool_],
    has_class: NDArray[np.bool_],
) -> NDArray[np.object_]:
    """Why places have no class."""
    asked = [
        *(["its clay content"] if asks_for_clay(scale) else []),
        *(["its texture"] if asks_for_texture(scale) else []),
    ]
    unfit = f"the scale has no classes for {' or '.join(asked)}, or it is not told"
    texts = np.array(["", "no result", unfit, "below the lowest class of the scale"], dtype=object)
    which = np.select([has_class, np.isnan(numbers), ~fits], [0, 1, 2], 3)
    return np.asarray(texts[which], dtype=object)
