"""The class of each result of one test, and how it stands against what the rates aim at."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.prescription.known_test import KnownTest
from vrxapp.prescription.rate_aims import RateAim, Standings, standings
from vrxapp.prescription.scale_choice import (
    NO_SCALE,
    ClassChoices,
    scales_of_places,
    unfit,
    why_no_scale,
)
from vrxapp.soil.interpretation import Interpretation, class_name, interpretation
from vrxapp.soil.interpretation_scales import asks_for_clay, scales
from vrxapp.soil.results_table import Limit


@dataclass(frozen=True, slots=True, eq=False)
class PlacesKnown:
    """What is known of the places beside their results.

    Parameters
    ----------
    depths_cm : tuple of str
        Layer of each; empty where not told. [cm]
    clay_percent, pbi : ndarray of float
        Clay [%] and phosphorus buffering index; NaN where not known.
    textures : ndarray of str
        Texture by its grade; empty where not known.
    is_guess : bool
        Whether the clay was taken from the texture in words.
    """

    depths_cm: tuple[str, ...]
    clay_percent: NDArray[np.float64]
    textures: NDArray[np.str_]
    pbi: NDArray[np.float64]
    is_guess: bool


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class TestClasses:
    """Classes of one test, one row a place; all columns are read-only.

    Parameters
    ----------
    test : KnownTest
        The results.
    scale_number : ndarray of int
        Which of `scales` is the scale of each place; -1 where there is none.
    words : ndarray of str
        Name of the class; empty where there is none.
    class_number : ndarray of int
        Class counted from 0 at the low end; -1 where there is none.
    position : ndarray of float
        Place on the scale from 0 to 1; NaN where there is none. [-]
    span : ndarray of str
        Both classes between which a result lies that is not known closer; else empty.
    lacking : ndarray of str
        Why there is no class; empty where there is one.
    doubts : ndarray of str
        What to mind; empty for nothing.
    standings : Standings
        How the results stand against what the rates aim at.
    """

    __test__ = False  # the classes of a soil test, not a test case

    test: KnownTest
    scale_number: NDArray[np.intp]
    words: NDArray[np.object_]
    class_number: NDArray[np.intp]
    position: NDArray[np.float64]
    span: NDArray[np.object_]
    lacking: NDArray[np.object_]
    doubts: NDArray[np.object_]
    standings: Standings

    def __post_init__(self) -> None:
        """Close the columns to writing."""
        for column in (self.scale_number, self.words, self.class_number, self.position):
            column.setflags(write=False)
        for told in (self.span, self.lacking, self.doubts):
            told.setflags(write=False)


def classes_of_test(test: KnownTest, places: PlacesKnown, choices: ClassChoices) -> TestClasses:
    """The class of each result of one test.

    Parameters
    ----------
    test : KnownTest
        The results.
    places : PlacesKnown
        What is known of the places beside it.
    choices : ClassChoices
        Crop, texture, chosen scales, and what the rates aim at.
    """
    scale_number = scales_of_places(
        test.analyte.key, places.depths_cm, clay_percent=places.clay_percent, choices=choices
    )
    found = _test_classes(test, scale_number, places=places, choices=choices)
    return _with_guessed_clay(found) if places.is_guess else found


def _test_classes(
    test: KnownTest,
    scale_number: NDArray[np.intp],
    *,
    places: PlacesKnown,
    choices: ClassChoices,
) -> TestClasses:
    """Classes of one test, each place by its own scale."""
    count, clay = len(places.depths_cm), places.clay_percent
    words, span = np.full(count, "", dtype=object), np.full(count, "", dtype=object)
    lacking, doubts = _without_scale(test, scale_number, places, choices), test.doubts.copy()
    number, position = np.full(count, -1, dtype=np.intp), np.full(count, np.nan)
    ends = _ends(test)
    for which in np.unique(scale_number[scale_number != NO_SCALE]):
        known, here = scales()[which], scale_number == which
        low, high = (
            interpretation(end[here], known, clay_percent=clay[here], texture=places.textures[here])
            for end in ends
        )
        sure = low.class_number == high.class_number
        words[here] = np.where(sure, low.words, "")
        span[here] = np.where(sure, "", _span(low, high))
        number[here] = np.where(sure, low.class_number, -1)
        position[here] = np.where(sure, _middle(test.limits[here], low, high), np.nan)
        reason = np.where(sure, low.lacking, _spans_several(test))
        lacking[here] = np.where(lacking[here] == "", reason, lacking[here])
        doubts[here] = _with_doubt(doubts[here], unfit(known, choices))
    stands = standings(
        test.analyte.key,
        _aims(test, choices),
        ends=ends,
        depths_cm=places.depths_cm,
        pbi=places.pbi,
    )
    doubts = _with_untold_layers(doubts, stands, places.depths_cm)
    return TestClasses(test, scale_number, words, number, position, span, lacking, doubts, stands)


def _with_untold_layers(
    doubts: NDArray[np.object_], stands: Standings, depths_cm: tuple[str, ...]
) -> NDArray[np.object_]:
    """Doubts, with one more where a value for one layer meets a result that tells none."""
    untold = (np.array(depths_cm, dtype=object) == "") & (stands.side != "")
    for which, aim in enumerate(stands.aims):
        more = f"its layer is not told; the {aim.what} is for {aim.depth_cm} cm"
        here = untold & (stands.number == which)
        doubts[here] = _with_doubt(doubts[here], more)
    return doubts


def _aims(test: KnownTest, choices: ClassChoices) -> tuple[RateAim, ...]:
    """What the rates aim at by a test that they read.

    A rate reads what stands on the sheet; the shares of sodium and aluminium it works out
    itself, just as they are shown. It reads no other figure and no estimate.
    """
    if not test.is_worked_out:
        return choices.aims
    return () if test.is_estimate else tuple(aim for aim in choices.aims if aim.is_most)


def _without_scale(
    test: KnownTest,
    scale_number: NDArray[np.intp],
    places: PlacesKnown,
    choices: ClassChoices,
) -> NDArray[np.object_]:
    """Why places have no class, as far as that is for want of a result or a scale."""
    lacking = test.lacking.copy()
    no_scale = (scale_number == NO_SCALE) & (lacking == "")
    layers = np.array(places.depths_cm, dtype=object)
    for layer in set(layers[no_scale]):
        here = no_scale & (layers == layer)
        lacking[here] = why_no_scale(test.analyte.key, crop=choices.crop, depth_cm=layer)
    return lacking


def _span(low: Interpretation, high: Interpretation) -> NDArray[np.object_]:
    """The two classes between which results lie; empty where an end has none."""
    names = np.array([*map(class_name, low.scale.steps[0].words), ""], dtype=object)
    both = names[low.class_number] + " to " + names[high.class_number]
    has_both = (low.class_number >= 0) & (high.class_number >= 0)
    return np.where(has_both, both, "").astype(object)


def _middle(
    limits: NDArray[np.str_], low: Interpretation, high: Interpretation
) -> NDArray[np.float64]:
    """Where the mark stands: at a limit, else midway between both ends."""
    between = (low.position + high.position) / 2.0
    return np.select(
        [limits == Limit.ABOVE, limits == Limit.BELOW], [low.position, high.position], between
    )


def _spans_several(test: KnownTest) -> str:
    """Why a result that is only known to lie between two ends has no class."""
    if test.low is not None:
        return "the estimate spans several classes"
    return "the detection limit spans several classes"


def _ends(test: KnownTest) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The least and the most that each result can be."""
    if test.low is not None and test.high is not None:
        return test.low, test.high
    below, above = test.limits == Limit.BELOW, test.limits == Limit.ABOVE
    least = np.where(above, np.nextafter(test.values, np.inf), test.values)
    most = np.where(below, np.nextafter(test.values, -np.inf), test.values)
    least = np.where(below, test.analyte.lowest, least)
    most = np.where(above, test.analyte.highest, most)
    missing = np.isnan(test.values)
    # a limit of nothing at all leaves nothing below it
    most = np.maximum(most, test.analyte.lowest)
    return np.where(missing, np.nan, least), np.where(missing, np.nan, most)


def _with_doubt(doubts: NDArray[np.object_], more: str) -> NDArray[np.object_]:
    """Doubts with one more."""
    if not more:
        return doubts
    return np.where(doubts == "", more, doubts + f"; {more}").astype(object)


def _with_guessed_clay(of: TestClasses) -> TestClasses:
    """Classes by clay that was taken from the texture in words say so."""
    by_clay = np.isin(
        of.scale_number, [i for i, known in enumerate(scales()) if asks_for_clay(known)]
    )
    told = _with_doubt(of.doubts, "clay is taken from the texture in words")
    doubts = np.where(by_clay & (of.words != ""), told, of.doubts).astype(object)
    return replace(of, doubts=doubts)
