"""What a map says of each zone of the small paddock."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from vrxapp.agronomy.confidence import laboratory_cv_percent
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.result_scale import Scale
from vrxapp.workflows.interpolate import MapGrain, soil_map
from vrxapp.workflows.interpolation_study import ExpertChoices, MapRequest, map_study
from vrxapp.workflows.zones_of_map import zone_in_words, zones_of_map

GRAIN = MapGrain(50.0, 30.0)


def mapped(season, grain=GRAIN, **choices):
    study = map_study(season, MapRequest("colwell_p", choices=ExpertChoices(**choices)))
    return soil_map(season, study, grain)


def test_a_kriged_zone_is_the_mean_of_its_cells_and_surer_than_any(smooth_season):
    season = smooth_season(80)
    soil = mapped(season)
    west, east = zones_of_map(season, soil)
    half = soil.cells.mean.shape[1] // 2
    assert (west.zone, east.zone) == ("West", "East")
    assert west.mean == pytest.approx(soil.cells.mean[:, :half].mean())
    assert east.mean == pytest.approx(soil.cells.mean[:, half:].mean())
    assert west.standard_error < np.nanmin(soil.cells.standard_error)
    assert west.samples + east.samples == 80
    whole = math.hypot(west.standard_error, laboratory_cv_percent("colwell_p") / 100 * west.mean)
    expected = 100.0 * stats.norm.cdf((30.0 - west.mean) / whole)
    assert west.chance_percent == pytest.approx(expected, abs=0.3)


def test_zones_of_mapped_logarithms_have_a_mean_and_no_error(smooth_season):
    season = smooth_season(80)
    soil = mapped(season, scale=Scale.LOGARITHM)
    west, _ = zones_of_map(season, soil)
    half = soil.cells.mean.shape[1] // 2
    assert west.mean == pytest.approx(soil.cells.mean[:, :half].mean())
    assert math.isnan(west.standard_error)
    assert math.isnan(west.chance_percent)
    assert zone_in_words(west, soil) == f"West: mean {west.mean:.3g} mg/kg."


def test_zone_means_are_those_of_their_samples(smooth_season):
    season = smooth_season(24)
    soil = mapped(season)
    zones = zones_of_map(season, soil)
    assert sum(zone.samples for zone in zones) == 24
    assert {round(zone.mean, 9) for zone in zones} == set(
        np.round(np.unique(soil.cells.mean), 9).tolist()
    )
    words = zone_in_words(zones[0], soil)
    assert words.startswith("West: mean ")
    assert "standard error" in words
    assert "% chance below 30" in words


def test_other_ways_and_a_paddock_of_one_zone_say_nothing_of_zones(smooth_season):
    season = smooth_season(40)
    for way in (Interpolation.INVERSE_DISTANCE, Interpolation.PADDOCK_MEAN):
        assert zones_of_map(season, mapped(season, way=way)) == ()
    zones = season.zones
    whole = replace(
        zones, ids=("all",), names=("All",),
        shapes=np.array([season.paddock.boundary], dtype=object),
    )  # fmt: skip
    assert zones_of_map(replace(season, zones=whole), mapped(season)) == ()


def test_without_a_critical_value_no_chance_is_told(smooth_season):
    season = smooth_season(80)
    soil = mapped(season, MapGrain(50.0))
    west, _ = zones_of_map(season, soil)
    assert math.isnan(west.chance_percent)
    assert math.isfinite(west.standard_error)
