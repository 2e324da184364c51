"""How far laboratories differ: published spreads, the least difference, the general curve."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.soil.analytes import analytes
from vrxapp.soil.laboratory_spread import (
    horwitz_cv_percent,
    laboratory_cv,
    laboratory_cvs,
    least_difference_percent,
)
from vrxapp.sources import Grade, source


@pytest.mark.parametrize(
    ("cv_percent", "expected"),
    [pytest.param(13.8, 38.2516, id="QA-05")],  # 1.96 x 1.41421 x 13.8
)
def test_two_colwell_results_must_differ_by_38_percent(cv_percent, expected):
    assert least_difference_percent(cv_percent) == pytest.approx(expected, abs=0.1)
    assert laboratory_cv("colwell_p").cv_percent == cv_percent


def test_each_spread_is_of_a_known_analyte_and_has_its_source():
    cvs = laboratory_cvs()
    assert len({cv.key for cv in cvs}) == len(cvs)
    assert {cv.key for cv in cvs} <= {known.key for known in analytes()}
    for cv in cvs:
        assert source(cv.source).grade is cv.grade is Grade.PUBLISHED
        assert cv.where
        assert 0 < cv.cv_percent < 100


def test_no_spread_stands_where_the_source_gives_two_that_are_far_apart():
    # chloride 19.2 and 47 % by two methods; exchangeable aluminium 75.8 % over all soils
    assert laboratory_cv("chloride") is laboratory_cv("exch_al") is None


@pytest.mark.parametrize(
    ("mass_fraction", "expected"),
    [  # Horwitz 1982 in Rayment and Lyons 2011, appendix 2
        pytest.param(1e-6, 16.0, id="QA-01"),
        pytest.param(1e-4, 8.0, id="QA-02"),
        pytest.param(1.0, 2.0, id="the pure substance"),
    ],
)
def test_horwitz_gives_the_published_spread(mass_fraction, expected):
    assert horwitz_cv_percent(mass_fraction) == pytest.approx(expected, abs=0.01)


@given(st.floats(1e-12, 0.5))
def test_the_spread_doubles_for_each_hundredth(mass_fraction):
    ratio = horwitz_cv_percent(mass_fraction / 100) / horwitz_cv_percent(mass_fraction)
    assert ratio == pytest.approx(2.0)


def test_a_missing_concentration_stays_missing():
    assert np.isnan(horwitz_cv_percent([np.nan, 1e-6])).tolist() == [True, False]


@pytest.mark.parametrize("mass_fraction", [0.0, -1e-6, 30.0])
def test_what_is_no_share_of_a_whole_is_refused(mass_fraction):
    with pytest.raises(SoilInputError, match="mass_fraction"):
        horwitz_cv_percent(mass_fraction)
