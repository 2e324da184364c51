"""Classes of the rows of a lab sheet, and of the zones of a season, each by its scale."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.prescription.classes_of_test import PlacesKnown, TestClasses, classes_of_test
from vrxapp.prescription.estimated_tests import estimated_tests
from vrxapp.prescription.known_test import KnownTest, Repeats, known_of, numbers_told
from vrxapp.prescription.scale_choice import ClassChoices, require_scales
from vrxapp.prescription.worked_out_tests import worked_out_tests
from vrxapp.prescription.zone_results import row_places
from vrxapp.season import Season
from vrxapp.soil.by_place import PlaceResults, results_by_place, rows_at_depth
from vrxapp.soil.place_textures import place_textures
from vrxapp.soil.replicates import replicate_groups, replicate_mean
from vrxapp.soil.results_table import Limit, ResultsTable
from vrxapp.soil.textures import clay_by_texture, grades_called

_CLAY = "clay"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ClassTable:
    """All classes of some places.

    Parameters
    ----------
    names, depths_cm : tuple of str
        Sample or zone of each place, and its layer; empty where not told. [cm]
    clay_percent : ndarray of float
        Clay that chose the classes; NaN where not known. [%]
    textures : ndarray of str
        Texture that chose the classes: the sheet's, else the paddock's; empty where not known.
    choices : ClassChoices
        What the classes go by beside the results.
    tests : tuple of TestClasses
        One for each test, measured ones first, estimates last.
    """

    names: tuple[str, ...]
    depths_cm: tuple[str, ...]
    clay_percent: NDArray[np.float64]
    textures: NDArray[np.str_]
    choices: ClassChoices
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
    group = replicate_groups(tests)
    known = tuple(
        KnownTest(
            c.analyte,
            c.values,
            c.limits,
            c.basis,
            _no_result(c.values),
            nothing,
            is_estimate=c.basis != "",
            repeats=Repeats(*replicate_mean(c, group)) if group is not None else None,
        )
        for c in tests.columns
    )
    places = _Places(tests.sample_ids, tests.depths_cm, grades_called(tests.textures))
    return _class_table(places, known, choices)


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
        return ClassTable((), (), np.array([]), np.array([], dtype=str), choices, ())
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
                repeats=_repeats_of_zones(of_layers),
            )
        )
    depths = tuple(layer for layer in layers for _ in range(count))
    textures = [
        place_textures(
            tests, rows=rows_at_depth(tests, layer), place_of_row=rows, place_count=count
        )
        for layer in layers
    ]
    places = _Places(zones.names * len(layers), depths, np.concatenate(textures))
    return _class_table(places, tuple(known), choices)


def _repeats_of_zones(of_layers: list[PlaceResults]) -> Repeats:
    """What the samples of each zone and layer say, where none lies beyond a limit."""
    mean, error, count, beyond = (
        np.concatenate(columns)
        for columns in zip(
            *((r.mean, r.standard_error, r.count, r.beyond_limit) for r in of_layers), strict=True
        )
    )
    return Repeats(mean, np.where(beyond > 0, np.nan, error), count)


def _depth_order(depth_cm: str) -> tuple[float, float]:
    top, _, bottom = depth_cm.partition("-")
    return float(top), float(bottom)


def _no_result(values: NDArray[np.float64]) -> NDArray[np.object_]:
    return np.where(np.isnan(values), "no result", "").astype(object)


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Names, layers and textures of the places; no texture at all where the sheet tells none."""

    names: tuple[str, ...]
    depths_cm: tuple[str, ...]
    textures: NDArray[np.str_]


def _class_table(given: _Places, known: tuple[KnownTest, ...], choices: ClassChoices) -> ClassTable:
    """Classes of all tests, with those that follow from them."""
    names, depths_cm, count = given.names, given.depths_cm, len(given.names)
    told = given.textures if given.textures.size else np.full(count, "")
    textures = np.where(told == "", choices.texture.lower(), told)
    clay, is_guess = _clay(known, textures)
    require_scales(choices)
    pbi = numbers_told(known, "pbi", count=count)
    places = PlacesKnown(depths_cm, clay, textures, pbi, is_guess)
    worked = (*known, *worked_out_tests(known))
    guessed = estimated_tests(worked, choices.estimates, clay_percent=clay, texture=textures)
    tests = tuple(
        classes_of_test(test, places, choices) for test in (*_given_way(worked, guessed), *guessed)
    )
    return ClassTable(names, depths_cm, clay, textures, choices, tests)


def _given_way(
    worked: tuple[KnownTest, ...], guessed: tuple[KnownTest, ...]
) -> tuple[KnownTest, ...]:
    """The tests, silent on what they lack where an estimate of them is told."""

    def silent(test: KnownTest) -> KnownTest:
        other = known_of(guessed, test.analyte.key)
        if other is None:
            return test
        lacking = np.where(np.isfinite(other.values), "no result", test.lacking)
        return replace(test, lacking=lacking.astype(object))

    return tuple(map(silent, worked))


def _clay(
    known: tuple[KnownTest, ...], textures: NDArray[np.str_]
) -> tuple[NDArray[np.float64], bool]:
    """Clay of each place, and whether it was guessed from the texture throughout. [%]"""
    for test in known:
        if test.analyte.key == _CLAY and np.any(np.isfinite(test.values)):
            return test.values, False
    return clay_by_texture(textures).values, True
