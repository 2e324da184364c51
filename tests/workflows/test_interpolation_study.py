"""Which way of mapping is taken for a season's samples, and why another is declined."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.errors import GroundError, MissingInputError, UnknownChoiceError
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.variogram import Anisotropy, Model
from vrxapp.progress import Cancelled
from vrxapp.workflows.interpolation_study import ExpertChoices, MapRequest, map_study
from vrxapp.workflows.interpolation_words import (
    advice_in_words,
    claim_in_words,
    compared_ways,
    title_of,
    unit_of_comparison,
    variogram_in_words,
)


def said(study):
    return " ".join(map(str, study.notes))


def asked(**choices):
    return MapRequest("colwell_p", choices=ExpertChoices(**choices))


def test_kriging_is_advised_where_samples_are_many_and_alike_nearby(smooth_season):
    study = map_study(smooth_season(80), asked())
    assert study.way is study.choice.advised is Interpolation.KRIGING
    rows = {row.way: row for row in compared_ways(study)}
    assert list(rows) == list(Interpolation)
    assert rows[Interpolation.KRIGING].is_advised
    assert rows[Interpolation.KRIGING].typical_difference < 3.0
    assert rows[Interpolation.PADDOCK_MEAN].typical_difference > 6.0
    assert all(row.samples == 80 for row in rows.values())
    assert advice_in_words(study).startswith("Advised: kriging (least off at samples left out")
    assert title_of(study) == "Colwell P 0-10 cm"
    assert unit_of_comparison(study) == "in mg/kg"


def test_the_variogram_is_told_with_its_units(smooth_season):
    words = variogram_in_words(map_study(smooth_season(80), asked(model=Model.EXPONENTIAL)))
    assert words.startswith("Variogram: exponential, fitted by restricted maximum likelihood")
    assert "(mg/kg)²" in words
    assert "practical range" in words


def test_the_claimed_error_is_held_against_the_real_one(smooth_season):
    assert "about right" in claim_in_words(map_study(smooth_season(120), asked()))


def test_few_samples_get_zone_means_and_kriging_is_declined_in_words(smooth_season):
    study = map_study(smooth_season(29), asked())
    assert study.way is Interpolation.ZONE_MEANS
    assert study.fitted is None
    assert "kriging declined: 29 samples" in said(study)
    assert "29 samples do not bear kriging" in advice_in_words(study)
    assert variogram_in_words(study) == claim_in_words(study) == ""


def test_few_samples_of_a_paddock_of_one_zone_get_its_mean(smooth_season):
    season = smooth_season(12)
    zones = season.zones
    whole = replace(
        zones, ids=zones.ids[:1], names=zones.names[:1],
        shapes=np.array([season.paddock.boundary], dtype=object),
    )  # fmt: skip
    study = map_study(replace(season, zones=whole), asked())
    assert study.way is Interpolation.PADDOCK_MEAN
    assert [row.way for row in compared_ways(study)] == [Interpolation.PADDOCK_MEAN]
    with pytest.raises(GroundError, match="the paddock is one zone"):
        map_study(replace(season, zones=whole), asked(way=Interpolation.ZONE_MEANS))


@pytest.mark.parametrize("way", [Interpolation.KRIGING, Interpolation.INVERSE_DISTANCE])
def test_a_way_that_few_samples_do_not_bear_is_refused_when_asked_for(smooth_season, way):
    with pytest.raises(GroundError, match=f"{way} declined: 20 samples"):
        map_study(smooth_season(20), asked(way=way))


def test_what_an_expert_sets_is_taken(smooth_season):
    study = map_study(
        smooth_season(60),
        asked(
            way=Interpolation.KRIGING,
            model=Model.MATERN_5_2,
            scale=Scale.LOGARITHM,
            anisotropy=Anisotropy(30.0, 0.5),
        ),
    )
    fitted = study.fitted.variogram
    assert (fitted.model, fitted.scale) == (Model.MATERN_5_2, Scale.LOGARITHM)
    assert fitted.anisotropy == Anisotropy(30.0, 0.5)
    assert "towards 30°" in variogram_in_words(study)
    assert unit_of_comparison(study) == "in natural logarithms"


def test_logarithms_are_advised_where_results_are_skewed(smooth_season):
    season = smooth_season(60)
    (column,) = season.tests.columns
    skewed = replace(column, values=np.exp((column.values - 20.0) / 8.0))
    tests = replace(season.tests, columns=(skewed,))
    study = map_study(replace(season, tests=tests), asked())
    assert study.scale is study.fitted.variogram.scale is Scale.LOGARITHM
    assert "skewed" in said(study)
    assert map_study(replace(season, tests=tests), asked(scale=Scale.PLAIN)).scale is Scale.PLAIN


def test_means_are_never_said_to_be_of_logarithms(smooth_season):
    for count, way in ((25, None), (60, Interpolation.ZONE_MEANS)):
        season = smooth_season(count)
        (column,) = season.tests.columns
        skewed = replace(column, values=np.exp((column.values - 20.0) / 8.0))
        tests = replace(season.tests, columns=(skewed,))
        study = map_study(replace(season, tests=tests), asked(way=way))
        assert "logarithms are mapped" not in said(study)
        assert ("means of the results themselves" in said(study)) is (count >= 30)


def test_ph_is_a_logarithm_already(smooth_season):
    season = smooth_season(60, key="ph_cacl2")
    (column,) = season.tests.columns
    skewed = replace(column, values=4.0 + np.exp((column.values - 35.0) / 4.0))
    tests = replace(season.tests, columns=(skewed,))
    assert map_study(replace(season, tests=tests), MapRequest("ph_cacl2")).scale is Scale.PLAIN


def at(season, placed_sheet, corner, east, north, values):
    """A season with samples at places from the paddock's south-west corner."""
    sheet = placed_sheet(corner[0] + np.asarray(east), corner[1] + np.asarray(north), values)
    return replace(season, tests=sheet)


@pytest.mark.parametrize(
    ("east", "north", "values", "told"),
    [
        ([50.0] * 40, [50.0] * 40, range(40), "all samples lie in one spot"),
        (range(0, 400, 10), [50.0] * 40, range(40), "in one line"),
        ([1.0, 9.0], [1.0, 9.0], [3.0, 4.0], "at least 3 samples"),
        ([1.0, 900.0, 4.0], [1.0, 9.0, 700.0], [7.0, 7.0, 7.0], "all samples have the same"),
        ([1.0, 9.0, 5.0], [1.0, 9.0, 4.0], [np.nan] * 3, "no sample with a position"),
    ],
    ids=["one spot", "one line", "two", "alike", "no results"],
)
def test_samples_that_bear_no_map_are_refused_in_words(
    season, placed_sheet, corner, east, north, values, told
):
    bad = at(season, placed_sheet, corner, list(east), list(north), list(values))
    with pytest.raises(GroundError, match=told) as caught:
        map_study(bad, asked())
    assert caught.value.note.mend


def test_a_result_that_is_missing_is_left_out(smooth_season):
    season = smooth_season(40)
    (column,) = season.tests.columns
    values = np.where(np.arange(40) < 3, np.nan, column.values)
    tests = replace(season.tests, columns=(replace(column, values=values),))
    assert map_study(replace(season, tests=tests), asked()).samples.values.size == 37


def test_no_results_and_an_unknown_test_are_refused(season, smooth_season):
    with pytest.raises(MissingInputError, match="no laboratory results"):
        map_study(replace(season, tests=None), asked())
    with pytest.raises(UnknownChoiceError, match="'olsen_p'"):
        map_study(smooth_season(30), MapRequest("olsen_p"))


def test_more_samples_than_kriging_takes_are_mapped_by_inverse_distance(smooth_season):
    study = map_study(smooth_season(1501), asked())
    assert study.way is Interpolation.INVERSE_DISTANCE
    assert "1501 samples are more than the 1500" in said(study)
    with pytest.raises(GroundError, match="more than the 1500"):
        map_study(smooth_season(1501), asked(way=Interpolation.KRIGING))


class Stops:
    """Asks to stop at once."""

    def step(self, done, total, stage):
        raise Cancelled


def test_a_fit_can_be_stopped(smooth_season):
    with pytest.raises(Cancelled):
        map_study(smooth_season(60), asked(), Stops())
