"""Classes of the rows of a lab sheet, and of the zones of a season, each by its scale."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.prescription.scale_choice import (
    NO_SCALE,
    ClassChoices,
    require_scales,
    scales_of_places,
    unfit,
    why_no_scale,
)
from vrxapp.prescription.worked_out_tests import KnownTest, worked_out_tests
from vrxapp.prescription.zone_results import row_places
from vrxapp.season import Season
from vrxapp.soil.by_place import results_by_place
from vrxapp.soil.interpretation import interpretation
from vrxapp.soil.interpretation_scales import asks_for_clay, scales
from vrxapp.soil.results_table import Limit, ResultsTable
from vrxapp.soil.textures import clay_by_texture

_CLAY = "clay"


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
    lacking : ndarray of str
        Why there is no class; empty where there is one.
    doubts : ndarray of str
        What to mind; empty for nothing.
    """

    __test__ = False  # the classes of a soil test, not a test case

    test: KnownTest
    scale_number: NDArray[np.intp]
    words: NDArray[np.object_]
    class_number: NDArray[np.intp]
    position: NDArray[np.float64]
    lacking: NDArray[np.object_]
    doubts: NDArray[np.object_]

    def __post_init__(self) -> None:
        """Close the columns to writing."""
        for column in (self.scale_number, self.words, self.class_number, self.position):
            column.setflags(write=False)
        for told in (self.lacking, self.doubts):
            told.setflags(write=False)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ClassTable:
    """All classes of some places.

    Parameters
    ----------
    names, depths_cm : tuple of str
        Sample or zone of each place, and its layer; empty where not told. [cm]
    clay_percent : ndarray of float
        Clay that chose the classes; NaN where not known. [%]
    texture : str
        Texture of all places; empty where not told.
    tests : tuple of TestClasses
        One for each test, measured ones first.
    """

    names: tuple[str, ...]
    depths_cm: tuple[str, ...]
    clay_percent: NDArray[np.float64]
    texture: str
    tests: tuple[TestClasses, ...]


@lru_cache(maxsize=16)
def classes_of_rows(tests: ResultsTable, choices: ClassChoices) -> ClassTable:
    """The class of every result of a lab sheet, row by row.

    Parameters
    ----------
    tests : ResultsTable
        The sheet.
    choices : ClassChoices
        Crop, texture, and scales other than the default.

    Raises
    ------
    UnknownChoiceError
        If there is no such scale.
    """
    nothing = np.full(len(tests.sample_ids), "", dtype=object)
    known = tuple(
        KnownTest(
            c.analyte,
            c.values,
            c.limits,
            c.basis,
            _no_result(c.values),
            nothing,
            is_estimate=c.basis != "",
        )
        for c in tests.columns
    )
    return _class_table(tests.sample_ids, tests.depths_cm, known, choices)


@lru_cache(maxsize=16)
def classes_of_zones(season: Season, choices: ClassChoices) -> ClassTable:
    """The class of each zone's mean result, for each layer that the sheet tells.

    Parameters
    ----------
    season : Season
        The season; without lab results there is no place.
    choices : ClassChoices
        As `choices_of` gives them.

    Raises
    ------
    UnknownChoiceError
        If there is no such scale.
    GroundError
        If not one sample lies in the paddock.
    """
    tests, zones = season.tests, season.zones
    if tests is None:
        return ClassTable((), (), np.array([]), choices.texture, ())
    layers = tuple(sorted(set(tests.depths_cm) - {""}, key=_depth_order)) or ("",)
    rows = row_places(tests, zones, season.paddock, season.row_matches).rows
    count = len(zones.names)
    known = []
    for column in tests.columns:
        of_layers = [
            results_by_place(
                tests, column.analyte.key, place_of_row=rows, place_count=count, depth_cm=layer
            )
            for layer in layers
        ]
        values = np.concatenate([results.mean for results in of_layers])
        beyond = np.concatenate([results.beyond_limit for results in of_layers])
        doubts = np.where(beyond > 0, "counts a result beyond its detection limit", "")
        known.append(
            KnownTest(
                column.analyte,
                values,
                np.full(len(values), Limit.NONE, dtype="<U1"),
                column.basis,
                _no_result(values),
                doubts.astype(object),
                is_estimate=column.basis != "",
            )
        )
    depths = tuple(layer for layer in layers for _ in range(count))
    return _class_table(zones.names * len(layers), depths, tuple(known), choices)


def _depth_order(depth_cm: str) -> tuple[float, float]:
    top, _, bottom = depth_cm.partition("-")
    return float(top), float(bottom)


def _no_result(values: NDArray[np.float64]) -> NDArray[np.object_]:
    return np.where(np.isnan(values), "no result", "").astype(object)


def _class_table(
    names: tuple[str, ...],
    depths_cm: tuple[str, ...],
    known: tuple[KnownTest, ...],
    choices: ClassChoices,
) -> ClassTable:
    """Classes of all tests, with those that follow from them."""
    clay, is_guess = _clay(known, choices.texture, count=len(names))
    require_scales(choices)
    tests = tuple(
        _test_classes(
            test,
            scales_of_places(test.analyte.key, depths_cm, clay_percent=clay, choices=choices),
            depths_cm=depths_cm,
            clay=clay,
            choices=choices,
        )
        for test in (*known, *worked_out_tests(known))
    )
    if is_guess:
        tests = tuple(map(_with_guessed_clay, tests))
    return ClassTable(names, depths_cm, clay, choices.texture, tests)


def _clay(
    known: tuple[KnownTest, ...], texture: str, *, count: int
) -> tuple[NDArray[np.float64], bool]:
    """Clay of each place, and whether it was guessed from the texture throughout. [%]"""
    for test in known:
        if test.analyte.key == _CLAY and np.any(np.isfinite(test.values)):
            return test.values, False
    return np.full(count, clay_by_texture([texture]).values[0]), True


def _test_classes(
    test: KnownTest,
    scale_number: NDArray[np.intp],
    *,
    depths_cm: tuple[str, ...],
    clay: NDArray[np.float64],
    choices: ClassChoices,
) -> TestClasses:
    """Classes of one test, each place by its own scale."""
    count = len(depths_cm)
    words, lacking = np.full(count, "", dtype=object), test.lacking.copy()
    number, position = np.full(count, -1, dtype=np.intp), np.full(count, np.nan)
    doubts = test.doubts.copy()
    no_scale = (scale_number == NO_SCALE) & (lacking == "")
    layers = np.array(depths_cm, dtype=object)
    for layer in set(layers[no_scale]):
        here = no_scale & (layers == layer)
        lacking[here] = why_no_scale(test.analyte.key, crop=choices.crop, depth_cm=layer)
    for which in np.unique(scale_number[scale_number != NO_SCALE]):
        known, here = scales()[which], scale_number == which
        low, high = (
            interpretation(
                end[here], known, clay_percent=clay[here], texture=choices.texture.lower()
            )
            for end in _ends(test)
        )
        sure = low.class_number == high.class_number
        words[here] = np.where(sure, low.words, "")
        number[here] = np.where(sure, low.class_number, -1)
        middle = np.where(test.limits[here] == Limit.ABOVE, low.position, high.position)
        position[here] = np.where(sure, middle, np.nan)
        reason = np.where(sure, low.lacking, "the detection limit spans several classes")
        lacking[here] = np.where(lacking[here] == "", reason, lacking[here])
        doubts[here] = _with_doubt(doubts[here], unfit(known, choices))
    return TestClasses(test, scale_number, words, number, position, lacking, doubts)


def _ends(test: KnownTest) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The least and the most that each result can be."""
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
    return TestClasses(
        of.test,
        of.scale_number,
        of.words,
        of.class_number,
        of.position,
        of.lacking,
        np.where(by_clay & (of.words != ""), told, of.doubts).astype(object),
    )
