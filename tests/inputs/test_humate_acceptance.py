"""A humate counts as soluble only when it was tested."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.humate_claims import HumicMaterial
from vrxapp.agronomy.humate_credits import Standing, humate_credits
from vrxapp.errors import MissingInputError
from vrxapp.inputs.humate_acceptance import (
    WATER_TEST,
    HumateTest,
    HumicMethod,
    humate_acceptance,
    humic_acid_dose,
)

TESTED = HumateTest(
    dissolves_in_own_water=True,
    method=HumicMethod.ISO_19822,
    humic_acid_percent=60.0,
    insoluble_percent=2.0,
    moisture_percent=12.0,
    potassium_percent=9.0,
)


def test_a_product_that_tells_all_and_dissolved_is_accepted():
    found = humate_acceptance(TESTED)
    assert found.is_accepted
    assert found.missing == found.doubts == ()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"dissolves_in_own_water": None}, "nobody has seen it dissolve"),
        ({"dissolves_in_own_water": False}, "did not dissolve"),
        ({"method": HumicMethod.COLOUR}, "by colour, not by the ISO method"),
        ({"method": HumicMethod.ACID_PRECIPITATE}, "acid precipitate"),
        ({"method": HumicMethod.NOT_TOLD}, "is not told"),
        ({"humic_acid_percent": np.nan}, "humic acid is not told"),
        ({"insoluble_percent": np.nan}, "does not dissolve is not told"),
        ({"moisture_percent": np.nan}, "moisture is not told"),
        ({"potassium_percent": np.nan}, "potassium is not told"),
    ],
)
def test_each_thing_missing_stands_in_the_way(change, said):
    found = humate_acceptance(replace(TESTED, **change))
    assert not found.is_accepted
    assert [said in sentence for sentence in found.missing] == [True]


def test_without_acceptance_nothing_is_credited():
    verdict = humate_acceptance(HumateTest())
    credits_now = humate_credits(HumicMaterial.SOLUBLE_HUMATE, is_accepted=verdict.is_accepted)
    assert {credit.standing for credit in credits_now} == {Standing.NOT_CREDITED}


def test_a_dose_is_told_as_humic_acid_by_the_iso_method_alone():
    assert humic_acid_dose(20.0, TESTED) == pytest.approx(12.0)
    assert np.isnan(humic_acid_dose(20.0, replace(TESTED, method=HumicMethod.COLOUR)))


def test_humic_acid_of_the_dry_matter_needs_the_moisture():
    dry = replace(TESTED, is_of_dry_matter=True)
    assert humic_acid_dose(20.0, dry) == pytest.approx(20 * 0.88 * 0.6)
    assert np.isnan(humic_acid_dose(20.0, replace(dry, moisture_percent=np.nan)))


def test_more_potassium_than_the_acid_can_hold_is_doubted():
    # HUM-14: at most 18.3 % of the pure salt, so 20 % beside 60 % of humic acid is too much
    (doubt,) = humate_acceptance(replace(TESTED, potassium_percent=20.0)).doubts
    assert "another salt, or free potash" in doubt


def test_more_humic_acid_than_dry_matter_is_doubted():
    found = humate_acceptance(replace(TESTED, humic_acid_percent=95.0))
    assert any("more humic acid than dry matter" in doubt for doubt in found.doubts)


def test_a_measurement_by_colour_is_doubted():
    found = humate_acceptance(replace(TESTED, method=HumicMethod.COLOUR))
    assert any("reads high" in doubt for doubt in found.doubts)


def test_the_water_test_says_how_and_warns():
    assert "your own water" in WATER_TEST
    assert "alkaline" in WATER_TEST


def test_a_share_that_cannot_be_is_refused():
    with pytest.raises(MissingInputError, match="moisture_percent"):
        HumateTest(moisture_percent=120.0)


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_no_dose_holds_more_humic_acid_than_it_weighs(dose, percent, moisture):
    told = replace(
        TESTED, humic_acid_percent=percent, moisture_percent=moisture, is_of_dry_matter=True
    )
    assert 0 <= humic_acid_dose(dose, told) <= dose
