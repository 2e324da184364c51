"""The buffering index from the laboratory's reading, in its three forms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.soil.phosphorus_buffering import (
    pbi_from_olsen,
    pbi_from_unadjusted,
    pbi_unadjusted,
    pbi_with_colwell,
    pbi_with_olsen,
)


@pytest.mark.parametrize(
    ("found", "expected", "tolerance"),
    [  # Burkitt et al. 2002 in Rayment and Lyons 2011, method 9I2a, which prints PBI-01
        pytest.param(pbi_with_colwell(6.2, 25.0), 455.77, 0.01, id="PBI-01"),
        pytest.param(pbi_with_olsen(6.2, 10.0), 465.662, 0.05, id="PBI-02"),
        pytest.param(pbi_unadjusted(6.2), 443.938, 0.05, id="PBI-03"),
        pytest.param(pbi_with_colwell(60.0, 40.0), 82.1128, 0.05, id="PBI-04"),
        pytest.param(pbi_with_olsen(60.0, 15.0), 87.4967, 0.05, id="PBI-05"),
    ],
)
def test_the_index_gives_the_handbook_value(found, expected, tolerance):
    assert found == pytest.approx(expected, abs=tolerance)


@given(st.floats(0.1, 99.0), st.floats(1.01, 10.0), st.floats(0.0, 500.0))
def test_more_left_in_solution_means_less_buffering(solution, more, colwell):
    higher = min(solution * more, 100.0)
    assert pbi_with_colwell(higher, colwell) <= pbi_with_colwell(solution, colwell)


@given(st.floats(0.1, 100.0))
def test_without_sorbed_phosphorus_all_three_agree(solution):
    plain = pbi_unadjusted(solution)
    assert pbi_with_colwell(solution, 0.0) == pbi_with_olsen(solution, 0.0) == plain


def test_a_missing_result_stays_missing():
    found = pbi_with_colwell([6.2, np.nan, 6.2], [25.0, 25.0, np.nan])
    assert np.isnan(found).tolist() == [False, True, True]


@pytest.mark.parametrize("solution", [0.0, -1.0, 120.0])
def test_a_solution_that_cannot_be_is_refused(solution):
    with pytest.raises(SoilInputError, match="left in solution"):
        pbi_unadjusted([solution])


def test_a_negative_soil_test_is_refused():
    with pytest.raises(SoilInputError, match="negative"):
        pbi_with_olsen([6.2], [-1.0])


@given(st.floats(0.01, 99.9), st.floats(0.0, 200.0), st.floats(0.0, 80.0))
def test_the_forms_of_the_index_lead_to_one_another(solution, colwell, olsen):
    expected = pbi_with_colwell(solution, colwell)
    assert pbi_from_unadjusted(pbi_unadjusted(solution), colwell) == pytest.approx(expected)
    by_olsen = pbi_from_olsen(pbi_with_olsen(solution, olsen), olsen, colwell)
    assert by_olsen == pytest.approx(expected)


def test_an_index_that_no_reading_gives_leads_nowhere():
    # with 80 mg/kg Olsen P already sorbed the index is never below 4.59 x 80 / 100^0.41 = 55.6
    assert np.isnan(pbi_from_olsen([50.0], [80.0], [40.0])[0])
    assert np.isnan(pbi_from_unadjusted([np.nan], [40.0])[0])
    with pytest.raises(SoilInputError, match="negative"):
        pbi_from_unadjusted([-1.0], [40.0])
