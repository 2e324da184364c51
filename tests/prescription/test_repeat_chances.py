"""How likely each class is, from results that repeat each other."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.prescription.classes_by_zone import classes_of_rows, classes_of_zones
from vrxapp.prescription.repeat_chances import repeat_chances
from vrxapp.prescription.scale_choice import ClassChoices, choices_of


def known(table, key):
    return next(t.test for t in table.tests if t.test.analyte.key == key)


def replicates(with_columns, samples, **columns):
    table = with_columns(len(samples), **columns)
    return replace(table, sample_ids=samples)


def test_replicates_of_a_sample_tell_how_likely_a_class_is(with_columns):
    # exch_al has no published spread: replicates 1, 2, 3 have mean 2 and standard error 0.577;
    # one-sided t with 2 degrees of freedom has 5 % above 2.920
    table = replicates(with_columns, ("A", "a", "A", "B"), exch_al=[1.0, 2.0, 3.0, 2.0])
    test = known(classes_of_rows(table, ClassChoices()), "exch_al")
    found = repeat_chances(test, 0, boundaries=(2.0 + 2.920 * 0.57735,))
    assert found.chances == pytest.approx((0.95, 0.05), abs=1e-4)
    assert (found.mean, found.count, found.blur) == (2.0, 3, "samples alone")
    assert found.standard_error == pytest.approx(0.57735)
    assert repeat_chances(test, 2, boundaries=(2.0,)).mean == 2.0  # of the sample, at each row
    assert repeat_chances(test, 3, boundaries=(2.0,)) is None


def test_another_layer_is_no_replicate(with_columns):
    table = with_columns(2, depths=("0-10", "10-30"), exch_al=[1.0, 2.0])
    table = replace(table, sample_ids=("A", "A"))
    test = known(classes_of_rows(table, ClassChoices()), "exch_al")
    assert repeat_chances(test, 0, boundaries=(2.0,)) is None


def test_a_result_beyond_its_limit_is_no_repeat(with_columns):
    table = replicates(with_columns, ("A", "A"), exch_al=[1.0, ("<", 0.5)])
    test = known(classes_of_rows(table, ClassChoices()), "exch_al")
    assert repeat_chances(test, 0, boundaries=(2.0,)) is None


def test_the_spread_between_laboratories_widens_the_chances(with_columns):
    table = replicates(with_columns, ("A", "A"), colwell_p=[29.0, 31.0], exch_al=[29.0, 31.0])
    found = classes_of_rows(table, ClassChoices())
    laboratory, alone = (
        repeat_chances(known(found, key), 0, boundaries=(34.0,)) for key in ("colwell_p", "exch_al")
    )
    assert laboratory.blur == "samples and laboratories"
    # rayment-lyons-2011: CV 13.8 % of 30 is 4.14, with 1 from the replicates 4.26 mg/kg
    assert laboratory.chances[0] == pytest.approx(0.826, abs=0.005)
    assert alone.mean == laboratory.mean


def test_samples_of_a_zone_tell_it_too_and_one_alone_does_not(season, with_columns):
    table = with_columns(2, chloride=[200.0, 400.0])
    both = classes_of_zones(replace(season, tests=table), choices_of(season))
    assert repeat_chances(known(both, "chloride"), 0, boundaries=(300.0,)).chances == pytest.approx(
        (0.5, 0.5)
    )
    one = classes_of_zones(season, choices_of(season))
    assert repeat_chances(known(one, "colwell_p"), 0, boundaries=(30.0,)) is None
    assert np.isnan(known(one, "colwell_p").repeats.standard_error[1])
