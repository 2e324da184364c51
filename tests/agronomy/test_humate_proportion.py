"""A dose of humate beside what the soil holds, against the handbook's check values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.humate_proportion import (
    band_soil_mass,
    carbon_share_percent,
    charge_of_dose,
    charge_per_phosphorus,
    exchange_in_proportion,
    field_rate_of_pot_dose,
)
from vrxapp.agronomy.humates import cec_added
from vrxapp.agronomy.trail import told_for
from vrxapp.errors import SoilInputError

TOPSOIL = {"depth_cm": 10.0, "bulk_density_t_m3": 1.4}
CAP_KG_HA = 20.0


@pytest.mark.parametrize("expected", [pytest.param(0.129, id="HUM-02")])
def test_on_a_sand_the_capacity_added_is_a_thousandth(expected):
    found = exchange_in_proportion(20.0, 450.0, soil_cec_cmol_kg=5.0, **TOPSOIL)
    assert found.share_percent == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize("expected", [pytest.param(0.402, id="HUM-05")])
def test_even_in_a_band_it_is_below_half_a_unit(expected):
    # 22.4 t/ha of soil is a layer of 0.16 cm at 1.4 t/m3
    band_t_ha = band_soil_mass(width_cm=2, depth_cm=2, row_spacing_cm=25, bulk_density_t_m3=1.4)
    assert band_t_ha == pytest.approx(22.4)
    layer_cm = band_t_ha / 100 / 1.4
    added = cec_added(20.0, 450.0, depth_cm=layer_cm, bulk_density_t_m3=1.4)
    assert added == pytest.approx(expected, abs=0.001)


def test_one_unit_more_takes_tonnes():
    # HUM-06 the other way round
    found = exchange_in_proportion(20.0, 450.0, soil_cec_cmol_kg=5.0, **TOPSOIL)
    assert found.dose_for_one_cmol_kg_ha == pytest.approx(3111.0, abs=1.0)


@pytest.mark.parametrize("expected", [pytest.param(0.057, id="HUM-07")])
def test_the_carbon_added_is_the_handbook_value(expected):
    found = carbon_share_percent(20.0, 40.0, soil_carbon_percent=1.0, **TOPSOIL)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize("phosphorus_mol", [pytest.param(645.7, id="HUM-08")])
def test_the_charge_is_small_beside_the_phosphorus(phosphorus_mol):
    assert charge_of_dose(20.0, 450.0) == pytest.approx(90.0)
    found = charge_per_phosphorus(20.0, 450.0, p_kg_ha=20.0)
    assert 90.0 / found == pytest.approx(phosphorus_mol, abs=0.1)


@pytest.mark.parametrize("expected", [pytest.param(56_000.0, id="HUM-09")])
def test_exchangeable_calcium_is_the_handbook_value(expected):
    assert charge_of_dose(1_400_000.0, 4.0) == pytest.approx(expected, abs=1.0)


@pytest.mark.parametrize("expected", [pytest.param(3500.0, id="HUM-10")])
def test_a_pot_dose_in_the_paddock_is_the_handbook_value(expected):
    assert field_rate_of_pot_dose(2.5, **TOPSOIL) == pytest.approx(expected, abs=1.0)


def test_a_sand_and_a_clay_are_told_apart():
    found = exchange_in_proportion(
        CAP_KG_HA, 268.0, soil_cec_cmol_kg=[5.0, 30.0, np.nan], **TOPSOIL
    )
    sand, clay, unknown = found.share_percent
    assert sand == pytest.approx(6 * clay)
    assert np.isnan(unknown)
    assert np.all(found.added_cmol_kg == found.added_cmol_kg[0])
    told = " ".join(sentence.text for sentence in told_for(found.trail, 0))
    assert "0.77 thousandths" in told
    assert "no laboratory can see" in told
    assert not any("no laboratory" in s.text for s in told_for(found.trail, 2))


def test_enough_to_be_seen_is_not_called_invisible():
    found = exchange_in_proportion([40_000.0], 268.0, soil_cec_cmol_kg=5.0, **TOPSOIL)
    assert found.share_percent > 100
    assert not any("no laboratory" in s.text for s in told_for(found.trail, 0))


@pytest.mark.parametrize("expected", [pytest.param(12.74, id="HUM-11")])
def test_a_column_study_used_many_times_the_cap(expected):
    # 254.8 kg HA/ha; as a pot dose it is 0.182 g/kg of the topsoil
    field_rate = field_rate_of_pot_dose(0.182, **TOPSOIL)
    assert field_rate / CAP_KG_HA == pytest.approx(expected, abs=0.01)


@given(st.floats(0, 500), st.floats(50, 800), st.floats(1, 60))
def test_the_dose_for_one_unit_adds_one_unit(dose, charge, own):
    found = exchange_in_proportion(dose, charge, soil_cec_cmol_kg=own, **TOPSOIL)
    again = cec_added(found.dose_for_one_cmol_kg_ha, charge, **TOPSOIL)
    assert again == pytest.approx(1.0)
    assert found.added_cmol_kg == pytest.approx(found.share_percent * own / 100)


def test_what_cannot_be_is_refused():
    with pytest.raises(SoilInputError, match="soil_cec"):
        exchange_in_proportion(20.0, 268.0, soil_cec_cmol_kg=0.0, **TOPSOIL)
    with pytest.raises(SoilInputError, match="row_spacing"):
        band_soil_mass(width_cm=2, depth_cm=2, row_spacing_cm=0, bulk_density_t_m3=1.4)
