"""A soil result over the small paddock: mean, error, chance, and the file of all three."""

import math
from dataclasses import replace

import numpy as np
import pytest
import rasterio
from pykrige.ok import OrdinaryKriging
from scipy import stats

from vrxapp.agronomy.confidence import laboratory_cv_percent
from vrxapp.edits.layers import add_layer
from vrxapp.errors import GroundError, MissingInputError, TargetExistsError
from vrxapp.ground.grid import column_eastings_m, row_northings_m
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.variogram import Model, practical_range_m
from vrxapp.progress import Cancelled
from vrxapp.soil.analytes import analytes
from vrxapp.workflows import interpolate
from vrxapp.workflows.interpolate import MapGrain, soil_map
from vrxapp.workflows.interpolation_files import (
    MapPart,
    linked_map,
    map_bands,
    proposed_map_file,
    write_soil_map,
)
from vrxapp.workflows.interpolation_study import ExpertChoices, MapRequest, map_study
from vrxapp.workflows.interpolation_words import map_in_words
from vrxapp.workflows.planned_critical import planned_critical
from vrxapp.workflows.zone_layers import LayerFiles, layers_from

COARSE = 50.0


def studied(season, key="colwell_p", **choices):
    return map_study(season, MapRequest(key, choices=ExpertChoices(**choices)))


def mapped(season, *, critical=math.nan, cell_m=COARSE, **choices):
    return soil_map(season, studied(season, **choices), MapGrain(cell_m, critical))


def test_the_map_of_a_season_is_that_of_an_independent_library(smooth_season):
    season = smooth_season(70)
    soil = mapped(season, model=Model.EXPONENTIAL)
    assert soil.study.way is Interpolation.KRIGING
    fit, samples = soil.study.fitted.variogram, soil.study.samples
    origin = samples.easting_m.mean(), samples.northing_m.mean()
    peer = OrdinaryKriging(
        samples.easting_m - origin[0], samples.northing_m - origin[1], samples.values,
        variogram_model="exponential", exact_values=False,
        variogram_parameters={
            "psill": fit.partial_sill, "range": 3.0 * fit.length_m, "nugget": fit.nugget,
        },
    )  # fmt: skip
    grid = soil.cells.grid
    mean, variance = peer.execute(
        "grid", column_eastings_m(grid) - origin[0], row_northings_m(grid) - origin[1]
    )
    inside = grid.inside
    assert practical_range_m(fit) > 100.0
    assert soil.cells.mean[inside] == pytest.approx(mean.data[inside], abs=1e-6)
    assert soil.cells.standard_error[inside] ** 2 == pytest.approx(variance.data[inside], rel=1e-6)


def test_the_chance_counts_the_error_and_what_laboratories_differ(smooth_season):
    soil = mapped(smooth_season(200), critical=30.0)
    cells, cv = soil.cells, laboratory_cv_percent("colwell_p")
    whole = np.hypot(cells.standard_error, cv / 100.0 * cells.mean)
    # with 200 samples Student's t is all but the normal distribution
    expected = 100.0 * stats.norm.cdf((30.0 - cells.mean) / whole)
    inside = cells.grid.inside
    assert soil.chance_percent[inside] == pytest.approx(expected[inside], abs=0.3)
    assert np.isnan(soil.chance_percent[~inside]).all()
    assert any(f"laboratories differ by {cv:g} %" in str(note) for note in soil.notes)


def test_a_test_without_a_published_spread_of_laboratories_says_so(smooth_season):
    key = next(a.key for a in analytes() if math.isnan(laboratory_cv_percent(a.key)))
    season = smooth_season(60, key=key)
    soil = soil_map(season, studied(season, key), MapGrain(COARSE, 30.0))
    cells, inside = soil.cells, soil.cells.grid.inside
    expected = 100.0 * stats.t.cdf((30.0 - cells.mean) / cells.standard_error, 59)
    assert soil.chance_percent[inside] == pytest.approx(expected[inside], abs=1e-6)
    assert any("counts the standard error alone" in str(note) for note in soil.notes)


def test_the_chance_of_mapped_logarithms_is_that_of_a_skewed_spread(smooth_season):
    soil = mapped(smooth_season(200), critical=30.0, scale=Scale.LOGARITHM)
    row, column = np.argwhere(soil.cells.grid.inside)[37]
    mean = soil.cells.mean[row, column]
    error = soil.cells.standard_error[row, column]
    rng, cv = np.random.default_rng(5), laboratory_cv_percent("colwell_p") / 100.0
    variance = math.log1p((error / mean) ** 2)
    soil_there = rng.lognormal(math.log(mean) - variance / 2.0, math.sqrt(variance), 400_000)
    assert (soil_there.mean(), soil_there.std()) == pytest.approx((mean, error), rel=0.02)
    read = soil_there * rng.lognormal(0.0, cv, soil_there.size)
    assert soil.chance_percent[row, column] == pytest.approx(100.0 * np.mean(read < 30.0), abs=0.6)


def test_zone_means_carry_the_error_of_each_zones_samples(smooth_season):
    season = smooth_season(24)
    soil = mapped(season, critical=30.0)
    assert soil.study.way is Interpolation.ZONE_MEANS
    samples = soil.study.samples
    middle_m = season.zones.shapes[0].bounds[2]
    west = samples.values[samples.easting_m < middle_m]
    columns = column_eastings_m(soil.cells.grid) < middle_m
    assert np.unique(soil.cells.mean[:, columns]) == pytest.approx(west.mean())
    error = west.std(ddof=1) / math.sqrt(west.size)
    assert np.unique(soil.cells.standard_error[:, columns]) == pytest.approx(error)
    laboratory = laboratory_cv_percent("colwell_p") / 100.0 * west.mean()
    whole = math.hypot(error, laboratory)
    freedom = (west.size - 1) * (whole / error) ** 4
    expected = 100.0 * stats.t.cdf((30.0 - west.mean()) / whole, freedom)
    assert np.unique(soil.chance_percent[:, columns]) == pytest.approx(expected)


def test_a_zone_without_a_sample_stays_empty_and_is_told(smooth_season, corner):
    season = smooth_season(40)
    (column,) = season.tests.columns
    east, _ = transformed_xy(
        season.tests.longitude_degree,
        season.tests.latitude_degree,
        from_crs=LON_LAT,
        to_crs=season.paddock.crs,
    )
    west_only = np.where(east < corner[0] + 500.0, column.values, np.nan)
    tests = replace(season.tests, columns=(replace(column, values=west_only),))
    soil = mapped(replace(season, tests=tests), way=Interpolation.ZONE_MEANS)
    is_east = column_eastings_m(soil.cells.grid) > corner[0] + 500.0
    assert np.isnan(soil.cells.mean[:, is_east]).all()
    assert np.isfinite(soil.cells.mean[:, ~is_east]).all()
    assert any("no sample lies in East" in str(note) for note in soil.notes)


def test_one_mean_for_the_paddock_has_one_error_and_one_chance(smooth_season):
    soil = mapped(smooth_season(50), critical=30.0, way=Interpolation.PADDOCK_MEAN)
    values = soil.study.samples.values
    inside = soil.cells.grid.inside
    assert np.unique(soil.cells.mean[inside]) == pytest.approx(values.mean())
    assert np.unique(soil.cells.standard_error[inside]) == pytest.approx(stats.sem(values))
    assert np.unique(soil.chance_percent[inside]).size == 1


def test_inverse_distance_tells_no_error_and_no_chance(smooth_season):
    soil = mapped(smooth_season(50), critical=30.0, way=Interpolation.INVERSE_DISTANCE)
    assert soil.chance_percent is None
    assert [band.part for band in map_bands(soil)] == [MapPart.MEAN]
    assert any("no error of its own" in str(note) for note in soil.notes)
    assert "Standard error" not in " ".join(map_in_words(soil))


def test_a_large_map_eases_its_errors_and_says_how_far_off_they_are(smooth_season, monkeypatch):
    season = smooth_season(60)
    exact = mapped(season, cell_m=10.0)
    monkeypatch.setattr(interpolate, "MOST_EXACT", 1000)
    eased = mapped(season, cell_m=10.0)
    (note,) = eased.notes
    assert "every fourth cell" in str(note)
    inside = exact.cells.grid.inside
    assert eased.cells.mean[inside] == pytest.approx(exact.cells.mean[inside], abs=0.01)
    off = np.abs(eased.cells.standard_error - exact.cells.standard_error)[inside]
    assert 0.0 < off.mean() < 0.2


@pytest.mark.parametrize("critical", [0.0, -3.0, math.inf])
def test_a_critical_value_that_cannot_be_is_refused(critical):
    with pytest.raises(MissingInputError, match="cannot be"):
        MapGrain(10.0, critical)


@pytest.mark.parametrize("cell_m", [0.0, math.nan, 5_000.0, 0.001])
def test_cells_that_are_no_size_are_refused(smooth_season, cell_m):
    with pytest.raises(GroundError) as caught:
        mapped(smooth_season(30), cell_m=cell_m)
    assert caught.value.note.mend


class StopsLate:
    """Asks to stop once a stage is under way."""

    def __init__(self):
        self.stages = []

    def step(self, done, total, stage):
        self.stages.append(stage)
        if len(self.stages) == 3:
            raise Cancelled


def test_a_map_can_be_stopped(smooth_season):
    season = smooth_season(60)
    study, watch = studied(season), StopsLate()
    with pytest.raises(Cancelled):
        soil_map(season, study, MapGrain(2.0), watch)
    assert set(watch.stages) == {"Interpolating"}


def test_the_file_holds_what_the_map_shows_and_how_it_was_made(smooth_season, tmp_path):
    soil = mapped(smooth_season(60), critical=30.0)
    path = tmp_path / "p.tif"
    write_soil_map(soil, path)
    with rasterio.open(path) as read:
        assert read.descriptions == (
            "Colwell P 0-10 cm",
            "Colwell P 0-10 cm, standard error",
            "Colwell P 0-10 cm, chance below 30 mg/kg",
        )
        assert read.units == ("mg/kg", "mg/kg", "%")
        tags = read.tags()
        assert (tags["WAY"], tags["SAMPLES"], tags["AREA_OR_POINT"]) == ("kriging", "60", "Area")
        assert tags["STANDARD_ERROR"] == "of a new sample taken there"
        values = read.read(masked=True).filled(np.nan)
    meant = (soil.cells.mean, soil.cells.standard_error, soil.chance_percent)
    assert values == pytest.approx(np.array(meant), rel=1e-6, nan_ok=True)
    with pytest.raises(TargetExistsError, match="exists already"):
        write_soil_map(soil, path)


def test_a_linked_map_serves_to_make_zones(smooth_season, tmp_path):
    season = smooth_season(60)
    soil = mapped(season, cell_m=10.0)
    path = proposed_map_file(tmp_path, season, soil.study)
    assert path.name == "flat_colwell_p_0_10_cm_kriging.tif"
    write_soil_map(soil, path)
    assert proposed_map_file(tmp_path, season, soil.study).name.endswith("kriging_2.tif")
    made = linked_map(soil, path, name="P map")
    assert [m.layer.name for m in made] == ["P map", "P map, standard error"]
    linked = add_layer(season, made[0].layer)
    (layer,) = layers_from(LayerFiles(linked=("P map",)), linked, soil.cells.grid)
    known = np.isfinite(layer.values)
    assert layer.unit == "mg/kg"
    assert layer.values[known] == pytest.approx(soil.cells.mean[known], rel=1e-6)


def test_the_map_is_told_in_words(smooth_season):
    words = map_in_words(mapped(smooth_season(60), critical=30.0))
    assert words[0].startswith("Colwell P 0-10 cm by kriging: 320 cells of 50 m")
    assert "of a new sample taken there" in words[1]
    assert "of the ground is more likely than not below 30 mg/kg" in words[2]
    assert "is taken wrongly" in words[2]


def test_what_is_taken_wrongly_is_the_mean_chance_of_the_less_likely_side(smooth_season):
    soil = mapped(smooth_season(60), critical=30.0)
    inside = soil.cells.grid.inside
    chance = np.where(inside, 0.0, np.nan)
    chance[inside] = np.resize([10.0, 30.0, 80.0, 100.0], inside.sum())
    words = map_in_words(replace(soil, chance_percent=chance))
    # (10 + 30 + 20 + 0) / 4 = 15; two of four lie at 50 or above
    assert words[2].startswith("50 % of the ground")
    assert "some 15 % of it is taken wrongly" in words[2]


def test_a_zone_of_one_sample_has_the_chance_that_laboratories_leave(smooth_season):
    """The spread within is unknown: what laboratories differ is the least there is."""
    season = smooth_season(40)
    (column,) = season.tests.columns
    east, _ = transformed_xy(
        season.tests.longitude_degree,
        season.tests.latitude_degree,
        from_crs=LON_LAT,
        to_crs=season.paddock.crs,
    )
    is_west = east < season.zones.shapes[0].bounds[2]
    kept = is_west | (np.arange(40) == np.flatnonzero(~is_west)[0])
    tests = replace(
        season.tests, columns=(replace(column, values=np.where(kept, column.values, np.nan)),)
    )
    soil = mapped(replace(season, tests=tests), critical=30.0, way=Interpolation.ZONE_MEANS)
    single = column.values[np.flatnonzero(~is_west)[0]]
    laboratory = laboratory_cv_percent("colwell_p") / 100.0 * single
    at_east = soil.chance_percent[8, -2]
    assert at_east == pytest.approx(100.0 * stats.norm.cdf((30.0 - single) / laboratory))
    assert any("only one sample lies in East" in str(note) for note in soil.notes)


def test_the_critical_value_of_the_plan_serves_its_test_and_layer_alone(season):
    assert planned_critical(season, "colwell_p", "0-10") == 35.0
    assert math.isnan(planned_critical(season, "colwell_p", "10-20"))
    assert math.isnan(planned_critical(season, "olsen_p", "0-10"))
