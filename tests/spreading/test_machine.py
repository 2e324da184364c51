"""What a machine meters: its step, its lowest and highest rate, never above the cap."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import MissingInputError
from vrxapp.spreading.machine import Machine, metered_rate

SPREADER = Machine("Spreader", 24.0, 5.0, 40.0, 300.0)


@pytest.mark.parametrize(
    ("wanted", "cap", "metered"),
    [
        (103.0, np.inf, 105.0),
        (102.4, np.inf, 100.0),
        (500.0, np.inf, 300.0),
        (500.0, 152.0, 150.0),
        (31.0, np.inf, 40.0),
        (20.0, np.inf, 40.0),
        (19.9, np.inf, 0.0),
        (0.0, np.inf, 0.0),
        (60.0, 30.0, 0.0),  # the lowest rate would break the cap
    ],
)
def test_a_rate_is_metered_as_the_machine_can(wanted, cap, metered):
    assert metered_rate([wanted], SPREADER, cap_kg_ha=cap).tolist() == [metered]


def test_no_rate_stays_no_rate():
    assert np.isnan(metered_rate([np.nan], SPREADER, cap_kg_ha=100.0)).all()


@given(
    st.lists(st.floats(0, 2000), min_size=1, max_size=30),
    st.floats(1.0, 500.0),
    st.sampled_from([0.1, 0.5, 1.0, 2.5, 5.0, 7.0]),
    st.floats(0.0, 60.0),
)
def test_a_metered_rate_keeps_cap_and_step(wanted, cap, step, lowest):
    machine = Machine("m", 24.0, step, lowest, 400.0)
    rates = metered_rate(wanted, machine, cap_kg_ha=cap)
    assert (rates <= min(cap, 400.0) + 1e-6).all()
    assert np.allclose(rates / step, np.round(rates / step), atol=1e-6)
    assert ((rates == 0.0) | (rates >= lowest - 1e-6)).all()


@given(st.floats(45.0, 280.0))
def test_rounding_moves_a_rate_by_half_a_step_at_most(wanted):
    (rate,) = metered_rate([wanted], SPREADER, cap_kg_ha=np.inf)
    assert abs(rate - wanted) <= SPREADER.rate_step_kg_ha / 2 + 1e-9


@pytest.mark.parametrize(
    "wrong", [(0.0, 1.0, 0.0, 9.0), (24.0, 0.0, 0.0, 9.0), (24.0, 1.0, 9.0, 8.0)]
)
def test_a_machine_that_spreads_nothing_is_refused(wrong):
    with pytest.raises(MissingInputError, match="cannot spread"):
        Machine("m", *wrong)
