"""Chloride against conductivity, by both published equations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.soil.salt_checks import ec_of_chloride, ec_of_chloride_shaw, salt_notes


@pytest.mark.parametrize(
    ("found", "expected"),
    [  # Queensland salinity conversions, eqs 38 and 39
        pytest.param(ec_of_chloride(600.0), 0.3984, id="QA-03"),
        pytest.param(ec_of_chloride_shaw(600.0), 0.419003, id="QA-06"),
    ],
)
def test_chloride_gives_the_published_conductivity(found, expected):
    assert found == pytest.approx(expected, abs=0.002)


@given(st.floats(10.0, 3000.0))
def test_the_two_equations_agree_within_a_third(chloride):
    ratio = ec_of_chloride_shaw(chloride) / ec_of_chloride(chloride)
    assert 0.75 < ratio < 1.5


@given(st.floats(0.0, 1e4), st.floats(0.0, 1e4))
def test_more_chloride_conducts_more(chloride, more):
    for equation in (ec_of_chloride, ec_of_chloride_shaw):
        low, high = equation([chloride, chloride + more])
        assert low <= high


def test_no_chloride_conducts_nothing_and_a_missing_one_stays_missing():
    for equation in (ec_of_chloride, ec_of_chloride_shaw):
        found = equation([0.0, np.nan])
        assert found[0] == 0.0
        assert np.isnan(found[1])


def test_a_negative_chloride_is_refused():
    with pytest.raises(SoilInputError, match="chloride_mg_kg"):
        ec_of_chloride([-1.0])


@pytest.mark.parametrize(
    ("conductivity", "chloride", "reason"),
    [
        ("0.45", "600", ""),
        ("0.34", "600", ""),  # 0.85 x 0.398 is 0.339
        ("0.33", "600", "more than the whole conductivity"),
        ("0.04", "101", "more than the whole conductivity"),
        ("2.2", "600", "gypsum, sulfate or nitrate"),  # over 3 x 0.419
        ("0.4", "10", ""),  # far above its chloride, but hardly any salt
        ("0.30", "<600", ""),
        ("", "600", ""),
    ],
)
def test_a_conductivity_that_does_not_fit_its_chloride_is_queried(
    make_table, conductivity, chloride, reason
):
    notes = list(salt_notes(make_table({"ec_1_5": [conductivity], "chloride": [chloride]})))
    assert bool(notes) is bool(reason)
    for note in notes:
        assert reason in note.message
        assert (note.row, note.column, note.value) == (2, "Electrical conductivity", conductivity)
        assert "unit" in note.mend
