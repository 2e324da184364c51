"""Charge of humic and fulvic acids, against the handbook's check values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.humates import CHARGE_AT_PH_6_CMOL_KG
from vrxapp.agronomy.humic_charge import (
    HumicKind,
    charge_at_ph,
    potassium_when_neutralised,
    site_total,
)
from vrxapp.errors import SoilInputError
from vrxapp.units import mass_fraction

CARBOXYL_SHARE = 3.15 / 5.70  # milne-2001: carboxyl-type sites of humic acid, of all


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        pytest.param(HumicKind.HUMIC, 570.0, id="HUM-12 humic"),
        pytest.param(HumicKind.FULVIC, 774.0, id="HUM-12 fulvic"),
    ],
)
def test_the_sites_add_up_to_the_published_total(kind, expected):
    assert site_total(kind) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(
    ("kind", "ph", "expected"),
    [
        pytest.param(HumicKind.HUMIC, 6.0, 268.0, id="HUM-18"),
        pytest.param(HumicKind.FULVIC, 6.0, 480.0, id="HUM-19"),
        # handbook 1.2, from the same generic parameters
        (HumicKind.HUMIC, 5.0, 194.0),
        (HumicKind.HUMIC, 7.0, 323.0),
        (HumicKind.FULVIC, 5.0, 391.0),
        (HumicKind.FULVIC, 7.0, 537.0),
    ],
)
def test_the_charge_at_a_ph_is_the_handbook_value(kind, ph, expected):
    assert charge_at_ph(kind, ph) == pytest.approx(expected, abs=1.0)


def test_the_charge_that_is_offered_is_the_one_at_ph_6():
    for kind in HumicKind:
        assert charge_at_ph(kind, 6.0) == pytest.approx(CHARGE_AT_PH_6_CMOL_KG[kind], abs=1.0)


@pytest.mark.parametrize(
    ("share", "k_percent", "koh_g_per_kg"),
    [
        pytest.param(CARBOXYL_SHARE, 11.0, 176.7, id="HUM-13 HUM-16"),
        pytest.param(1.0, 18.3, 319.8, id="HUM-14 HUM-17"),
    ],
)
def test_the_potassium_that_fits_is_the_handbook_value(share, k_percent, koh_g_per_kg):
    found = potassium_when_neutralised(HumicKind.HUMIC, share_of_sites=share)
    assert found == pytest.approx(k_percent, abs=0.05)
    # each site trades one proton for one potassium, so a kilogram of acid weighs more as salt
    hydrogen_by_potassium = mass_fraction("H", "HK") / mass_fraction("K", "HK")
    k_share = found / 100
    k_g_per_kg_acid = 1000 * k_share / (1 - k_share * (1 - hydrogen_by_potassium))
    assert k_g_per_kg_acid / mass_fraction("K", "KOH") == pytest.approx(koh_g_per_kg, abs=0.1)


@given(st.sampled_from(list(HumicKind)), st.floats(3, 9), st.floats(0.01, 1.0))
def test_the_charge_rises_with_ph_and_stays_below_all_sites(kind, ph, more):
    low, high = charge_at_ph(kind, [ph, ph + more])
    assert 0 < low < high < site_total(kind)


def test_a_missing_ph_stays_missing_and_an_impossible_one_is_refused():
    assert np.isnan(charge_at_ph(HumicKind.HUMIC, [np.nan, 6.0])).tolist() == [True, False]
    with pytest.raises(SoilInputError, match="ph"):
        charge_at_ph(HumicKind.HUMIC, 65.0)
    with pytest.raises(SoilInputError, match="share_of_sites"):
        potassium_when_neutralised(HumicKind.HUMIC, share_of_sites=2.0)
