"""What a dose of humate really adds, against the handbook's check values."""

import numpy as np
import pytest

from vrxapp.agronomy.humates import CHARGE_AT_PH_6_CMOL_KG, carried_by_dose, cec_added
from vrxapp.errors import SoilInputError
from vrxapp.units import mass_fraction

TOPSOIL = {"depth_cm": 10.0, "bulk_density_t_m3": 1.4}


@pytest.mark.parametrize(
    ("dose", "charge", "expected"),
    [
        # 20 kg x 450 cmol/kg over 1 400 000 kg of soil
        pytest.param(20.0, 450.0, 0.00643, id="HUM-01"),
        pytest.param(20.0, CHARGE_AT_PH_6_CMOL_KG["humic"], 0.00383, id="HUM-03"),
        pytest.param(3.0, 1400.0, 0.003, id="HUM-04"),
        pytest.param(3111.0, 450.0, 1.0, id="HUM-06"),
    ],
)
def test_the_exchange_capacity_added_is_the_handbook_value(dose, charge, expected):
    assert cec_added(dose, charge, **TOPSOIL) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("expected", [pytest.param(1.99, id="HUM-15")])
def test_the_potassium_carried_is_the_handbook_value(expected):
    k_percent = 12.0 * mass_fraction("K", "K2O")
    assert carried_by_dose(20.0, k_percent) == pytest.approx(expected, abs=0.01)


def test_a_content_that_is_not_told_carries_nothing_known():
    assert np.isnan(carried_by_dose(20.0, np.nan))


def test_what_cannot_be_is_refused():
    with pytest.raises(SoilInputError, match="dose_kg_ha"):
        cec_added(-1.0, 450.0, **TOPSOIL)
    with pytest.raises(SoilInputError, match="above 100"):
        carried_by_dose(1.0, 101.0)
