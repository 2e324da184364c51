"""Rates of trace elements: caps on boron and copper, and a reason for one's own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.trace_rates import (
    Placement,
    TraceElement,
    own_trace_rate,
    require_safe_rate,
    trace_caps,
    trace_rates,
)
from vrxapp.errors import MissingInputError, RefusedMixError, SoilInputError
from vrxapp.sources import Grade

CAPS = {cap.element: cap.most_kg_ha for cap in trace_caps()}


def own(element, rate, placement=Placement.BROADCAST, reason="leaf tests"):
    return own_trace_rate(element, rate, placement=placement, reason=reason)


def test_boron_and_copper_are_capped():
    # boron-memory: 2 kg B/ha, a guard; brennan-2006-copper: no more than was tried
    assert {TraceElement.BORON: 2.0, TraceElement.COPPER: 4.75} == CAPS


@given(st.sampled_from(sorted(CAPS)), st.floats(0.01, 50.0))
def test_a_rate_passes_up_to_its_cap_and_no_further(element, rate):
    if rate <= CAPS[element]:
        assert own(element, rate).rate_kg_ha == rate
    else:
        with pytest.raises(SoilInputError, match="not given in one season"):
            own(element, rate)


def test_the_rates_of_the_table_are_safe():
    for rate in trace_rates():
        require_safe_rate(rate)
    assert trace_rates()


def test_boron_never_goes_with_seed():
    with pytest.raises(RefusedMixError, match="seed"):
        own(TraceElement.BORON, 0.3, Placement.IN_FURROW)


@pytest.mark.parametrize(
    ("rate", "reason"), [(0.0, "x"), (-1.0, "x"), (np.nan, "x"), (np.inf, "x"), (1.0, " ")]
)
def test_a_rate_of_ones_own_needs_a_number_and_a_reason(rate, reason):
    with pytest.raises(MissingInputError):
        own(TraceElement.ZINC, rate, reason=reason)


def test_a_rate_of_ones_own_is_marked_as_such():
    assert own(TraceElement.ZINC, 1.0).grade is Grade.YOURS
