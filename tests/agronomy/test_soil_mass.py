"""Soil mass: what stands between a concentration and an amount."""

import numpy as np
import pytest

from vrxapp.agronomy.soil_mass import soil_mass, typical_bulk_densities
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade


def test_ten_centimetres_at_density_one_weigh_a_thousand_tonnes():
    # Rayment and Lyons 2011, 16A1: 10 cm at 1.0 g/cm³ is 1 000 000 kg/ha
    assert soil_mass(10.0, 1.0) == pytest.approx(1000.0)


@pytest.mark.parametrize(
    ("depth_cm", "density", "expected"),
    [
        pytest.param(10.0, 1.0, 1000.0, id="SOIL-01"),
        pytest.param(10.0, 1.3, 1300.0, id="SOIL-02"),
        pytest.param(60.0, 1.4, 8400.0, id="SOIL-03"),
    ],
)
def test_a_layer_weighs_what_the_handbook_says(depth_cm, density, expected):
    assert soil_mass(depth_cm, density) == pytest.approx(expected)


def test_gravel_takes_its_share():
    # 100 x 10 x 1.3 = 1300 t/ha; a fifth of it is stones
    assert soil_mass(10.0, 1.3, gravel_fraction=0.2) == pytest.approx(1040.0)


def test_a_missing_density_stays_missing():
    assert np.isnan(soil_mass([10.0, 10.0], [np.nan, 1.3])).tolist() == [True, False]


@pytest.mark.parametrize(
    ("depth", "density", "gravel"), [(0.0, 1.3, 0.0), (10.0, -1.0, 0.0), (10.0, 1.3, 1.0)]
)
def test_what_cannot_be_is_refused(depth, density, gravel):
    with pytest.raises(SoilInputError):
        soil_mass(depth, density, gravel_fraction=gravel)


def test_typical_densities_are_marked_unverified():
    rows = typical_bulk_densities()
    assert {row.texture for row in rows} >= {"sand", "clay"}
    assert {row.grade for row in rows} == {Grade.UNVERIFIED}
    assert all(0.9 < row.low_t_m3 <= row.high_t_m3 < 1.8 for row in rows)
