"""Calibrations: published defaults, the agronomist's own, and none for another test."""

import numpy as np
import pytest

from vrxapp.agronomy.critical_values import (
    critical_range,
    critical_value,
    critical_values,
    default_critical_value,
    is_awaited,
    own_critical_value,
)
from vrxapp.agronomy.crops import crops
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.soil.analytes import analyte
from vrxapp.sources import Grade, source


@pytest.mark.parametrize("crop", [c.key for c in crops()])
def test_each_crop_starts_with_the_published_value_or_awaits_ones_own(crop):
    defaults = [c for c in critical_values(crop) if c.default_for_crop == "yes"]
    first = default_critical_value(crop)
    assert [first] == (defaults or [first])
    assert is_awaited(first) is not bool(defaults)
    assert first.grade is (Grade.PUBLISHED if defaults else Grade.YOURS)
    assert np.isnan(first.low_mg_kg) is not bool(defaults)


def test_the_crops_of_the_sample_farm_have_a_published_value():
    published = {c.key for c in crops() if not is_awaited(default_critical_value(c.key))}
    assert published == {"wheat", "canola", "clover_hay"}


@pytest.mark.parametrize("critical", critical_values(), ids=lambda c: c.key)
def test_each_value_has_a_source_a_place_and_a_test(critical):
    # an unverified source never stands behind a row that calls itself published
    assert source(critical.source).grade is critical.grade
    assert critical.where
    assert analyte(critical.analyte).unit == "mg/kg"
    assert bool(critical.curve) == np.isnan(critical.low_mg_kg)


def test_southern_nsw_wheat_has_the_published_range():
    # grdc-2020-p-budget: 35 to 42 mg/kg for 90 to 95 % of maximum yield
    low, high = critical_range(critical_value("wheat-southern-nsw"), [np.nan, 80.0])
    assert low.tolist() == [35.0, 35.0]
    assert high.tolist() == [42.0, 42.0]


def test_a_curve_without_an_index_gives_nothing():
    low, _ = critical_range(critical_value("wheat-pbi-curve"), [100.0, np.nan])
    assert low[0] == pytest.approx(28.1, abs=0.05)
    assert np.isnan(low[1])


def test_a_value_of_ones_own_is_marked_as_such():
    own = own_critical_value("wheat", "colwell_p", 30.0, reason="ten years of strips")
    assert own.grade is Grade.YOURS
    assert own.where == "ten years of strips"
    assert own.low_mg_kg == own.high_mg_kg == 30.0


@pytest.mark.parametrize(("value", "reason"), [(0.0, "x"), (np.nan, "x"), (30.0, "  ")])
def test_a_value_of_ones_own_needs_a_number_and_a_reason(value, reason):
    with pytest.raises(MissingInputError):
        own_critical_value("wheat", "colwell_p", value, reason=reason)


def test_a_value_of_ones_own_is_for_the_layer_that_is_told():
    def own(layer):
        return own_critical_value("wheat", "mehlich3_p", 30.0, reason="x", depth_cm=layer)

    assert own("0 to 15 cm").depth_cm == "0-15"
    with pytest.raises(UnknownChoiceError, match="'topsoil' is not a layer"):
        own("topsoil")
    with pytest.raises(MissingInputError, match="one layer"):
        own(" ")


def test_an_unknown_key_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="wheat-southern-nsw"):
        critical_value("nowhere")
