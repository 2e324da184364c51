"""How sure a class is."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.confidence import (
    Blur,
    chance_below,
    chances_of_classes,
    class_chances,
    is_change,
    laboratory_cv_percent,
    least_change,
    mean_uncertainty,
)
from vrxapp.errors import SoilInputError

UNKNOWN = math.nan


def test_four_samples_follow_students_t_table():
    # one-sided 5 % point of t with 3 degrees of freedom is 2.353 (any table of t)
    known = mean_uncertainty(20.0, 2.0, 4, laboratory_cv_percent=UNKNOWN)
    assert known.degrees_of_freedom == pytest.approx(3.0)
    assert chance_below(20.0, known, critical=20.0 + 2.353 * 2.0) == pytest.approx(0.95, abs=1e-4)
    # two samples: t with 1 degree of freedom, 6.314
    two = mean_uncertainty(20.0, 2.0, 2, laboratory_cv_percent=UNKNOWN)
    assert chance_below(20.0, two, critical=20.0 + 6.314 * 2.0) == pytest.approx(0.95, abs=1e-4)


def test_one_sample_is_blurred_by_the_laboratory_alone():
    # Colwell P 20 mg/kg, CV 13.8 %: 2.76 mg/kg; 1.645 of them hold 95 % of the normal curve
    known = mean_uncertainty(20.0, UNKNOWN, 1, laboratory_cv_percent=13.8)
    assert known.standard_error == pytest.approx(2.76)
    assert known.blur == Blur.LABORATORY
    assert chance_below(20.0, known, critical=20.0 + 1.645 * 2.76) == pytest.approx(0.95, abs=1e-4)


def test_both_parts_add_up_as_squares():
    # 2² + 2.76² = 11.6176, root 3.408; degrees of freedom 3 x 11.6176² / 2⁴ = 25.3
    known = mean_uncertainty(20.0, 2.0, 4, laboratory_cv_percent=13.8)
    assert known.standard_error == pytest.approx(3.408, abs=0.001)
    assert known.degrees_of_freedom == pytest.approx(25.3, abs=0.05)
    assert known.blur == Blur.BOTH


def test_identical_replicates_still_have_the_laboratory_part():
    known = mean_uncertainty(20.0, 0.0, 4, laboratory_cv_percent=13.8)
    assert known.standard_error == pytest.approx(2.76)
    assert math.isinf(known.degrees_of_freedom)


def test_without_any_spread_the_mean_is_taken_at_its_word():
    known = mean_uncertainty([20.0, 30.0], 0.0, 4, laboratory_cv_percent=UNKNOWN)
    assert chance_below([20.0, 30.0], known, critical=25.0).tolist() == [1.0, 0.0]


@pytest.mark.parametrize(
    ("mean", "error", "count", "cv"),
    [
        (UNKNOWN, UNKNOWN, 0, 13.8),
        (UNKNOWN, 2.0, 4, 13.8),
        (20.0, UNKNOWN, 1, UNKNOWN),
        (20.0, UNKNOWN, 0, 13.8),
    ],
)
def test_nothing_known_stays_unknown(mean, error, count, cv):
    known = mean_uncertainty([mean], [error], [count], laboratory_cv_percent=cv)
    assert known.blur[0] == Blur.NONE
    assert np.isnan(known.standard_error[0])
    chances = class_chances([mean], known, low=19.0, high=27.0)
    assert np.isnan([chances.below[0], chances.within[0], chances.above[0]]).all()


def test_a_missing_critical_value_stays_missing():
    known = mean_uncertainty([20.0], [2.0], [4], laboratory_cv_percent=UNKNOWN)
    assert np.isnan(chance_below([20.0], known, critical=UNKNOWN)).all()
    sure = mean_uncertainty([20.0], [0.0], [4], laboratory_cv_percent=UNKNOWN)
    assert np.isnan(chance_below([20.0], sure, critical=UNKNOWN)).all()


def test_a_range_that_ends_before_it_begins_is_refused():
    known = mean_uncertainty([20.0], [2.0], [4], laboratory_cv_percent=UNKNOWN)
    with pytest.raises(SoilInputError, match="range"):
        class_chances([20.0], known, low=27.0, high=19.0)
    with pytest.raises(SoilInputError, match="standard_error"):
        mean_uncertainty([20.0], [-2.0], [4], laboratory_cv_percent=UNKNOWN)


def test_two_colwell_results_must_differ_by_38_percent():
    cv = laboratory_cv_percent("colwell_p")  # rayment-lyons-2011, Table App. 2.1
    assert least_change(100.0, cv) == pytest.approx(38.2516, rel=0.001)  # QA-05
    # 25 and 36: mean 30.5, least 11.7; 25 and 37: mean 31, least 11.9
    assert is_change([25.0, 25.0], [36.0, 37.0], laboratory_cv_percent=cv).tolist() == [
        False,
        True,
    ]


def test_an_analyte_without_a_published_spread_claims_nothing():
    assert math.isnan(laboratory_cv_percent("exch_al"))
    assert not is_change([1.0], [9.0], laboratory_cv_percent=laboratory_cv_percent("exch_al"))
    assert not is_change([UNKNOWN], [9.0], laboratory_cv_percent=10.0)


def test_the_classes_of_a_scale_share_out_what_lies_between_their_ends():
    # mean 20, standard error 2, 4 samples: t with 3 degrees of freedom has 5 % above 2.353
    known = mean_uncertainty([20.0], [2.0], [4], laboratory_cv_percent=UNKNOWN)
    wide = 2.353 * 2.0
    chances = chances_of_classes([20.0], known, boundaries=[20.0 - wide, 20.0, 20.0 + wide])
    assert chances[0] == pytest.approx([0.05, 0.45, 0.45, 0.05], abs=1e-4)
    nothing = mean_uncertainty([UNKNOWN], [2.0], [4], laboratory_cv_percent=UNKNOWN)
    assert np.isnan(chances_of_classes([UNKNOWN], nothing, boundaries=[19.0, 27.0])).all()


def test_classes_that_end_before_they_begin_are_refused():
    known = mean_uncertainty([20.0], [2.0], [4], laboratory_cv_percent=UNKNOWN)
    with pytest.raises(SoilInputError, match="before it begins"):
        chances_of_classes([20.0], known, boundaries=[27.0, 19.0])


means = st.floats(1, 200)
errors = st.one_of(st.just(UNKNOWN), st.floats(0, 50))
counts = st.integers(1, 30)
cvs = st.one_of(st.just(UNKNOWN), st.floats(0, 60))


@given(means, errors, counts, cvs, st.floats(1, 200), st.floats(0, 50))
def test_the_chances_of_a_place_add_up_to_one(mean, error, count, cv, low, wide):
    known = mean_uncertainty([mean], [error], [count], laboratory_cv_percent=cv)
    chances = class_chances([mean], known, low=low, high=low + wide)
    found = np.array([chances.below[0], chances.within[0], chances.above[0]])
    if known.blur[0] == Blur.NONE:
        assert np.isnan(found).all()
    else:
        assert found.sum() == pytest.approx(1.0)
        assert np.all(found >= -1e-12)
        # both ends of a critical range part three classes
        (parted,) = chances_of_classes([mean], known, boundaries=[low, low + wide])
        assert parted == pytest.approx(found)


@given(means, st.floats(0.1, 50), st.integers(2, 30), cvs, st.floats(1, 200), st.floats(0, 50))
def test_a_higher_critical_value_never_lessens_the_chance(mean, error, count, cv, critical, more):
    known = mean_uncertainty([mean], [error], [count], laboratory_cv_percent=cv)
    one, other = (chance_below([mean], known, critical=c)[0] for c in (critical, critical + more))
    assert one <= other + 1e-12
    # a mean on the critical value is as likely short as not
    assert chance_below([mean], known, critical=mean)[0] == pytest.approx(0.5)


@given(means, st.floats(0.1, 20), st.integers(2, 10), st.floats(0.1, 60))
def test_a_laboratory_never_makes_a_mean_surer(mean, error, count, cv):
    alone = mean_uncertainty(mean, error, count, laboratory_cv_percent=UNKNOWN)
    both = mean_uncertainty(mean, error, count, laboratory_cv_percent=cv)
    assert both.standard_error >= alone.standard_error
    assert both.degrees_of_freedom >= alone.degrees_of_freedom * (1 - 1e-9)
