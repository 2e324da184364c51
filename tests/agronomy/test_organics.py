"""Compost, manure and litter, against published worked figures."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.organics import (
    ORGANIC_CAUTIONS,
    OrganicMaterial,
    available_from_organic,
    carried_by_organic,
    dry_rate,
    organic_contents,
    organic_rate_for,
    organic_releases,
    wet_rate,
)
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade


def content(key, item):
    """One figure of the table."""
    return next(row.percent for row in organic_contents(key) if row.item == item)


@pytest.mark.parametrize(("item", "expected"), [("N", 171), ("P", 54), ("K", 81), ("S", 24)])
def test_six_tonnes_of_litter_carry_the_published_amounts(item, expected):
    # agrifutures-litter, uses and application: 6 t/ha as spread, on sawdust
    found = carried_by_organic(
        6.0,
        content("litter_sawdust", item),
        moisture_percent=content("litter_sawdust", "moisture"),
    )
    assert found == pytest.approx(expected, abs=0.5)


@pytest.mark.parametrize(
    ("key", "item", "expected"),
    # the survey's own kilograms in a tonne as supplied (Craddock and Hollitt 2010)
    [
        ("litter_straw", "N", 32.1),
        ("litter_straw", "P", 8.6),
        ("litter_sawdust", "N", 28.2),
        ("litter_sawdust", "P", 8.9),
        ("litter_shavings", "K", 14.0),
    ],
)
def test_a_tonne_of_litter_carries_what_the_survey_prints(key, item, expected):
    found = carried_by_organic(1.0, content(key, item), moisture_percent=content(key, "moisture"))
    assert found == pytest.approx(expected, rel=0.03)


def test_manure_told_as_supplied_carries_sixteen_kilograms_of_nitrogen():
    assert carried_by_organic(1.0, content("feedlot_fresh", "N")) == pytest.approx(16.0)


@pytest.mark.parametrize(
    ("element", "shares", "total"),
    # sask-feedlot, table 1
    [
        ("N", (10, 5, 5, 5), 25),
        ("P", (50, 10, 5, 5), 70),
        ("K", (90, 0, 0, 0), 90),
        ("S", (50, 10, 5, 0), 65),
    ],
)
def test_feedlot_manure_releases_what_the_table_says(element, shares, total):
    material = OrganicMaterial.FEEDLOT_MANURE
    found = [available_from_organic(100.0, material, element, year=y) for y in (1, 2, 3, 4)]
    assert [float(low) for low, _ in found] == pytest.approx(shares)
    assert sum(float(high) for _, high in found) == pytest.approx(total)


def test_later_years_of_compost_are_shares_of_what_is_left():
    # 5 to 15 % in the first year, then 2 to 8 % of the rest
    low, high = available_from_organic(100.0, OrganicMaterial.COMPOST, "N", year=2)
    assert (low, high) == pytest.approx((0.02 * 95, 0.08 * 85))


@pytest.mark.parametrize(
    ("material", "element", "year"),
    [
        (OrganicMaterial.COMPOST, "P", 1),
        (OrganicMaterial.LITTER, "N", 2),
        (OrganicMaterial.FEEDLOT_MANURE, "N", 9),
    ],
)
def test_where_nothing_was_published_nothing_is_known(material, element, year):
    low, high = available_from_organic(100.0, material, element, year=year)
    assert np.isnan(low)
    assert np.isnan(high)


def test_litter_is_known_from_the_laboratory_alone_and_says_so():
    (row,) = organic_releases(OrganicMaterial.LITTER, "N")
    assert "laboratory" in row.setting
    assert row.of == "organic nitrogen"


def test_what_is_from_memory_says_so():
    grades = {row.grade for row in organic_contents("garden_compost")}
    assert grades == {Grade.UNVERIFIED}


def test_the_cautions_name_stock_water_and_nitrate():
    told = " ".join(ORGANIC_CAUTIONS)
    for word in ("botulism", "21 days", "phosphorus", "nitrate", "setbacks", "mask"):
        assert word in told


def test_a_range_holds_its_figure():
    for row in organic_contents():
        assert not row.percent < row.low_percent
        assert not row.percent > row.high_percent
        assert not (math.isnan(row.percent) and math.isnan(row.low_percent))


@given(st.floats(0, 50), st.floats(0, 90))
def test_wet_and_dry_are_each_other_turned_round(rate, moisture):
    dry = dry_rate(rate, moisture_percent=moisture)
    assert dry <= rate
    assert wet_rate(dry, moisture_percent=moisture) == pytest.approx(rate)


@given(st.floats(0, 300), st.floats(0.1, 6), st.floats(0, 80), st.floats(5, 100))
def test_the_rate_for_a_need_brings_it(need, percent, moisture, available):
    rate = organic_rate_for(need, percent, moisture_percent=moisture, available_percent=available)
    carried = carried_by_organic(rate, percent, moisture_percent=moisture)
    assert carried * available / 100 == pytest.approx(need)


@given(st.floats(0, 500), st.sampled_from(list(OrganicMaterial)), st.sampled_from(list("NPKS")))
def test_no_more_is_released_than_was_spread(carried, material, element):
    years = [available_from_organic(carried, material, element, year=y)[1] for y in range(1, 5)]
    assert np.nansum(years) <= carried + 1e-9


def test_what_cannot_be_is_refused():
    with pytest.raises(SoilInputError, match="moisture_percent must be below 100"):
        dry_rate(5.0, moisture_percent=100.0)
    with pytest.raises(SoilInputError, match="content_percent"):
        carried_by_organic(5.0, 101.0)
    with pytest.raises(UnknownChoiceError, match="year 1"):
        available_from_organic(5.0, OrganicMaterial.COMPOST, "N", year=0)
