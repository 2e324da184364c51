"""Soil phosphorus over the years, and the unverified build-up factor."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.phosphorus import build_up_phosphorus, critical_colwell_for_cropping
from vrxapp.agronomy.phosphorus_outlook import build_up_factor_from_pbi, soil_phosphorus_after
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade, source


# Tyson and co-workers 2020, the form of the equation; inputs are the check's own
@pytest.mark.parametrize(
    ("now", "given_kg", "rise", "decline", "years", "then"),
    [
        pytest.param(40.0, 20.0, 0.30, 0.08, 2.0, 39.1986, id="PDEC-01"),
        pytest.param(25.0, 0.0, 0.30, 0.10, 3.0, 18.5205, id="PDEC-02"),
    ],
)
def test_a_soil_test_rises_with_fertiliser_and_fades(now, given_kg, rise, decline, years, then):
    found = soil_phosphorus_after(
        now, given_kg, rise_per_kg=rise, decline_per_year=decline, years=years
    )
    assert float(found) == pytest.approx(then, abs=0.01)


# seen without an author in public code; unverified
@pytest.mark.parametrize(
    ("pbi", "factor", "within"), [pytest.param(60.0, 2.672, 0.001, id="PCAP-04")]
)
def test_the_factor_from_the_index_lies_inside_one_published_range(pbi, factor, within):
    found = float(build_up_factor_from_pbi(pbi))
    assert found == pytest.approx(factor, abs=within)
    assert 2.0 <= found <= 4.0
    assert source("build-up-from-pbi").grade is Grade.UNVERIFIED


@pytest.mark.parametrize(
    ("pbi", "test", "capital"), [pytest.param(280.0, 25.0, 50.2651, id="PCAP-03")]
)
def test_capital_phosphorus_to_the_curve_by_the_factor_from_the_index(pbi, test, capital):
    target = critical_colwell_for_cropping(pbi)
    found = build_up_phosphorus(test, target, factor_kg_ha_per_mg_kg=build_up_factor_from_pbi(pbi))
    assert float(found) == pytest.approx(capital, abs=0.3)


@given(st.floats(0, 200), st.floats(0, 100), st.floats(0, 2), st.floats(0, 1), st.floats(0, 30))
def test_more_time_never_leaves_more(now, given_kg, rise, decline, years):
    def after(time):
        return float(
            soil_phosphorus_after(
                now, given_kg, rise_per_kg=rise, decline_per_year=decline, years=time
            )
        )

    assert after(years + 1) <= after(years) <= after(0.0) + 1e-9
    assert after(0.0) == pytest.approx(now + rise * given_kg)


def test_what_is_missing_stays_missing_and_nonsense_is_refused():
    assert np.isnan(build_up_factor_from_pbi(np.nan))
    with pytest.raises(SoilInputError, match="decline_per_year"):
        soil_phosphorus_after(30.0, 0.0, rise_per_kg=0.3, decline_per_year=-0.1, years=1.0)
    with pytest.raises(SoilInputError, match="pbi"):
        build_up_factor_from_pbi(0.0)
