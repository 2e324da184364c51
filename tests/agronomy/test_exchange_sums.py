"""Sums of the exchange against the handbook's check values and their own limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.exchange_sums import (
    base_saturation_class,
    calcium_magnesium_ratio,
    effective_cec,
    exchangeable_bases,
    saturation_percent,
)
from vrxapp.errors import SoilInputError

cations = st.floats(0.01, 40.0)


@pytest.mark.parametrize(
    ("ca", "mg", "k", "na", "al", "h", "expected"),
    [
        # rayment-lyons-2011, Method 15J1
        pytest.param(5.0, 1.5, 0.4, 0.3, 0.6, 0.2, 8.0, id="ECEC-01"),
        pytest.param(1.2, 0.4, 0.1, 0.1, 0.9, 0.3, 3.0, id="ECEC-02"),
    ],
)
def test_effective_cec_gives_the_handbook_value(ca, mg, k, na, al, h, expected):
    bases = exchangeable_bases(ca, mg, potassium_cmol_kg=k, sodium_cmol_kg=na)
    found = effective_cec(bases, aluminium_cmol_kg=al, hydrogen_cmol_kg=h)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("part", "whole", "expected"),
    [
        # rayment-lyons-2011, Methods 15O1 and 15L1
        pytest.param(0.6, 8.0, 7.5, id="ALSAT-01"),
        pytest.param(0.9, 3.0, 30.0, id="ALSAT-02"),
        pytest.param(7.2, 8.0, 90.0, id="BSP-01"),
        pytest.param(1.8, 3.0, 60.0, id="BSP-02"),
    ],
)
def test_saturation_gives_the_handbook_value(part, whole, expected):
    assert saturation_percent(part, whole) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("ca", "mg", "expected"),
    [
        # rayment-lyons-2011, Method 15M1
        pytest.param(5.0, 1.5, 3.33333, id="CAMG-01"),
        pytest.param(1.2, 0.4, 3.0, id="CAMG-02"),
    ],
)
def test_calcium_to_magnesium_gives_the_handbook_value(ca, mg, expected):
    assert calcium_magnesium_ratio(ca, mg) == pytest.approx(expected, abs=0.01)


def test_base_saturation_is_classed_as_printed():
    # under 20 low, 20 to 60 medium, above 60 high; BSP-01 is high
    found = base_saturation_class([19.9, 20.0, 60.0, 90.0, np.nan])
    assert found.tolist() == ["low", "medium", "medium", "high", "unknown"]


def test_a_cation_that_was_not_measured_leaves_the_sum_missing():
    bases = exchangeable_bases([5.0, np.nan], 1.5, potassium_cmol_kg=0.4, sodium_cmol_kg=0.3)
    found = effective_cec(bases, aluminium_cmol_kg=[0.1, 0.1], hydrogen_cmol_kg=0.0)
    assert np.isnan(found).tolist() == [False, True]


def test_more_than_the_whole_exchange_is_no_share():
    # free lime or salt counted as exchangeable
    assert np.isnan(saturation_percent([9.0, 4.0], 8.0)).tolist() == [True, False]


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: saturation_percent(1.0, 0.0), "capacity_cmol_kg"),
        (lambda: saturation_percent(-1.0, 5.0), "part_cmol_kg"),
        (lambda: calcium_magnesium_ratio(1.0, 0.0), "magnesium_cmol_kg"),
        (
            lambda: exchangeable_bases(1.0, 1.0, potassium_cmol_kg=-0.1, sodium_cmol_kg=0.1),
            "potassium_cmol_kg",
        ),
    ],
)
def test_a_value_out_of_range_is_refused_by_name(call, named):
    with pytest.raises(SoilInputError, match=named):
        call()


@given(cations, cations, cations, cations)
def test_bases_and_acids_share_out_the_whole_exchange(calcium, magnesium, aluminium, hydrogen):
    bases = exchangeable_bases(calcium, magnesium, potassium_cmol_kg=0.3, sodium_cmol_kg=0.2)
    whole = effective_cec(bases, aluminium_cmol_kg=aluminium, hydrogen_cmol_kg=hydrogen)
    shares = [saturation_percent(part, whole) for part in (bases, aluminium, hydrogen)]
    assert sum(shares) == pytest.approx(100.0)


@given(st.lists(cations, min_size=1, max_size=5))
def test_columns_keep_their_shape_and_a_number_stays_a_number(calcium):
    assert calcium_magnesium_ratio(calcium, 1.0).shape == (len(calcium),)
    assert np.shape(calcium_magnesium_ratio(calcium[0], 1.0)) == ()
