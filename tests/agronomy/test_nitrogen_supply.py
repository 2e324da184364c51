"""What the soil brings: by layer with its own mass, by carbon and rain, by the legume before."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.nitrogen_supply import (
    in_crop_mineralisation,
    legume_nitrogen,
    mineral_nitrogen,
    mineralisation_range,
    nitrate_nitrogen,
)
from vrxapp.errors import SoilInputError

TWO = {"top_cm": [0, 10], "bottom_cm": [10, 60], "bulk_density_t_m3": [1.3, 1.5]}
concentrations = st.floats(0, 200)


@pytest.mark.parametrize(
    ("carbon", "rain", "expected"),
    [pytest.param(1.2, 300.0, 54.0, id="NMIN-01"), pytest.param(0.8, 250.0, 30.0, id="NMIN-02")],
)
def test_mineralisation_gives_the_handbook_value(carbon, rain, expected):
    # grdc-mineralisation: 0.15 x OC % x growing-season rain
    assert in_crop_mineralisation(carbon, rain) == pytest.approx(expected, abs=0.01)


def test_mineralisation_is_trusted_up_to_a_ceiling():
    assert in_crop_mineralisation([4.0, np.nan], 600.0) == pytest.approx([150, np.nan], nan_ok=True)
    low, high = mineralisation_range([54.0, 120.0])
    assert low.tolist() == [27.0, 60.0]
    assert high.tolist() == [81.0, 150.0]


def test_each_layer_weighs_its_own():
    # 10 cm x 1.3 = 1300 t/ha, 50 cm x 1.5 = 7500 t/ha; 14 and 6 mg/kg
    found = mineral_nitrogen([[12.0], [5.0]], **TWO, ammonium_n_mg_kg=[[2.0], [1.0]])
    assert found.layer_mass_t_ha.ravel() == pytest.approx([1300.0, 7500.0])
    assert found.layer_kg_ha.ravel() == pytest.approx([18.2, 45.0])
    assert found.total_kg_ha == pytest.approx([63.2])
    assert found.doubt.tolist() == [""]


@pytest.mark.parametrize(
    ("mg_kg", "depth_cm", "density", "gravel", "expected"),
    [
        pytest.param(10.0, 10.0, 1.3, 0.2, 10.4, id="SOIL-04"),
        pytest.param(12.0, 60.0, 1.4, 0.0, 100.8, id="SOIL-05"),
    ],
)
def test_a_concentration_becomes_the_handbook_amount(mg_kg, depth_cm, density, gravel, expected):
    found = mineral_nitrogen(
        [[mg_kg]],
        top_cm=0,
        bottom_cm=depth_cm,
        bulk_density_t_m3=density,
        gravel_fraction=gravel,
    )
    assert found.total_kg_ha == pytest.approx([expected], abs=0.001)


def test_stones_hold_no_nitrogen():
    found = mineral_nitrogen([[10.0]], top_cm=0, bottom_cm=60, bulk_density_t_m3=1.5,
                             gravel_fraction=0.2)  # fmt: skip
    assert found.total_kg_ha == pytest.approx([10 * 60 * 1.5 * 0.1 * 0.8])


def test_ammonium_that_was_not_measured_is_a_doubt_and_not_a_gap():
    found = mineral_nitrogen([[12.0, 12.0], [5.0, 5.0]], **TWO,
                             ammonium_n_mg_kg=[[2.0, np.nan], [1.0, 1.0]])  # fmt: skip
    assert found.total_kg_ha == pytest.approx([63.2, 60.6])
    assert found.doubt.tolist() == ["", "ammonium was not measured in all layers"]


def test_a_layer_without_nitrate_leaves_no_total():
    found = mineral_nitrogen([[12.0, 12.0], [np.nan, 5.0]], **TWO)
    assert np.isnan(found.total_kg_ha).tolist() == [True, False]
    assert [bool(text) for text in found.reason] == [True, False]


def test_a_shallow_sample_says_that_roots_go_deeper():
    found = mineral_nitrogen([[12.0]], top_cm=0, bottom_cm=30, bulk_density_t_m3=1.4)
    assert "30 cm only" in found.doubt[0]
    assert found.depth_cm == 30


@pytest.mark.parametrize(
    ("top", "bottom", "what"),
    [([0, 5], [10, 60], "overlap"), ([0, 20], [10, 60], "gap"), ([0, 60], [10, 30], "below")],
)
def test_layers_that_count_soil_twice_or_not_at_all_are_refused(top, bottom, what):
    with pytest.raises(SoilInputError, match=what):
        mineral_nitrogen([[1.0], [1.0]], top_cm=top, bottom_cm=bottom, bulk_density_t_m3=1.4)


@pytest.mark.parametrize(
    "wrong",
    [
        {"nitrate_n_mg_kg": [[1.0]]},
        {"nitrate_n_mg_kg": [[-1.0], [1.0]]},
        {"bulk_density_t_m3": [1.3, 1.4, 1.5]},
        {"bulk_density_t_m3": [0.0, 1.4]},
    ],
)
def test_values_that_do_not_fit_the_layers_are_refused(wrong):
    values = {"nitrate_n_mg_kg": [[1.0], [1.0]], **TWO, **wrong}
    with pytest.raises(SoilInputError):
        mineral_nitrogen(values.pop("nitrate_n_mg_kg"), **values)


def test_nitrate_as_the_ion_is_not_read_as_nitrogen():
    # ION-05; 62 mg NO3 hold 14 mg N
    assert nitrate_nitrogen(62.0) == pytest.approx(14.0061, abs=0.01)


@pytest.mark.parametrize(
    ("key", "amount", "expected"),
    [("legume_grain", 2.0, 36.0), ("legume_shoots", 4.0, 36.0), ("legume_fallow_rain", 200, 30.0)],
)
def test_a_legume_brings_what_the_experiments_found(key, amount, expected):
    # peoples-2017: 18 per t grain, 9 per t shoots, 0.15 per mm of summer rain
    by = figure(FigureTable.NITROGEN, key)
    assert legume_nitrogen(amount, by) == pytest.approx(expected)


@given(st.lists(st.tuples(concentrations, concentrations), min_size=1, max_size=8))
def test_cutting_a_layer_in_two_changes_nothing(places):
    top = np.array(places)[:, 0]
    whole = mineral_nitrogen([top], top_cm=0, bottom_cm=60, bulk_density_t_m3=1.4)
    parts = mineral_nitrogen(
        [top, top], top_cm=[0, 25], bottom_cm=[25, 60], bulk_density_t_m3=[1.4, 1.4]
    )
    assert parts.total_kg_ha == pytest.approx(whole.total_kg_ha)


@given(st.floats(0, 6), st.floats(0, 900), st.floats(0, 100))
def test_more_rain_never_sets_less_free(carbon, rain, more):
    less = in_crop_mineralisation(carbon, rain)
    assert 0 <= less <= in_crop_mineralisation(carbon, rain + more) <= 150
