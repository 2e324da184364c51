"""What harvests carry away: each figure against its source, one default at most."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.crop_removal import (
    Nutrient,
    default_removal,
    harvests,
    nutrient_removal,
    own_removal,
    removals,
)
from vrxapp.agronomy.crops import crop, crops
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.units import mass_fraction


def figure_by(source, harvest, nutrient):
    (found,) = (row for row in removals(harvest, nutrient) if row.source == source)
    return found


@pytest.mark.parametrize(
    ("nutrient", "removed_t", "expected"),
    [
        pytest.param(Nutrient.NITROGEN, 95_880, 18.8, id="REM-01"),
        pytest.param(Nutrient.PHOSPHORUS, 11_730, 2.3, id="REM-02"),
        pytest.param(Nutrient.POTASSIUM, 18_355, 3.59902, id="REM-03"),
        pytest.param(Nutrient.CALCIUM, 2_040, 0.4, id="REM-04"),
        pytest.param(Nutrient.MAGNESIUM, 4_590, 0.9, id="REM-05"),
    ],
)
def test_western_australian_wheat_holds_what_its_harvest_removed(nutrient, removed_t, expected):
    # proudfoot-1989: tonnes removed with 5.1 million tonnes of grain
    found = figure_by("proudfoot-1989", "wheat_grain", nutrient).kg_per_unit
    assert found == pytest.approx(expected, abs=0.02)
    assert found == pytest.approx(removed_t / 5.1e6 * 1000, abs=0.02)


def test_potato_holds_the_potassium_of_its_printed_oxide():
    # REM-06; pda-2020 prints 5.8 kg K2O in a tonne of fresh tubers
    found = figure_by("pda-2020", "potato_tuber", Nutrient.POTASSIUM).kg_per_unit
    assert found == pytest.approx(4.81487, abs=0.03)


@pytest.mark.parametrize(
    ("kg_t", "expected", "tolerance"),
    [pytest.param(15.0, 133.5, 0.5, id="REM-07"), pytest.param(2.0, 17.8, 0.1, id="REM-08")],
)
def test_late_hay_takes_what_the_page_prints(kg_t, expected, tolerance):
    # agvic-pastures: 10 500 kg/ha at 85 % dry matter; the page rounds it to 8.9 t
    found = nutrient_removal(10.5, kg_t, dry_matter_share=0.85)
    assert found == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("harvest", "oxide", "printed"),
    [
        ("barley_grain", "P2O5", 8.0),
        ("oat_grain", "K2O", 5.5),
        ("faba_bean_grain", "MgO", 2.5),
        ("canola_seed", "K2O", 11.0),
        ("field_pea_grain", "P2O5", 9.0),
    ],
)
def test_british_figures_are_the_elements_of_the_printed_oxides(harvest, oxide, printed):
    element = "Mg" if oxide == "MgO" else oxide[0]
    found = figure_by("pda-2020", harvest, Nutrient(element)).kg_per_unit
    assert found == pytest.approx(printed * mass_fraction(element, oxide), rel=5e-3)


def test_each_harvest_starts_with_one_published_figure_a_nutrient_or_none():
    defaults = [row for row in removals() if row.default_for_harvest == "yes"]
    assert max(Counter((row.harvest, row.nutrient) for row in defaults).values()) == 1
    assert {row.grade for row in defaults} == {Grade.PUBLISHED}


def test_each_figure_belongs_to_a_harvest_and_lies_in_its_range():
    assert {row.harvest for row in removals()} == {known.key for known in harvests()}
    for row in removals():
        if np.isfinite(row.low_kg_per_unit):
            assert 0 < row.low_kg_per_unit <= row.kg_per_unit <= row.high_kg_per_unit, row
        assert row.moisture


def test_what_is_from_memory_is_offered_but_never_the_default():
    (lupin,) = removals("lupin_grain", Nutrient.PHOSPHORUS)
    assert lupin.grade is Grade.UNVERIFIED
    with pytest.raises(MissingInputError, match="lupin grain"):
        default_removal("lupin_grain", Nutrient.PHOSPHORUS)


def test_sources_that_disagree_five_fold_make_no_default():
    published = removals("canola_seed", Nutrient.MAGNESIUM)
    assert len(published) == 2
    assert max(r.kg_per_unit for r in published) > 4 * min(r.kg_per_unit for r in published)
    with pytest.raises(MissingInputError):
        default_removal("canola_seed", Nutrient.MAGNESIUM)


@pytest.mark.parametrize("grown", crops(), ids=lambda c: c.key)
def test_every_crop_is_harvested_as_the_table_counts_it(grown):
    assert grown.harvest in {known.key for known in harvests()}
    assert removals(grown.harvest, Nutrient.PHOSPHORUS)


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("wheat", (3.0, 2.7, 3.6)),  # ipni-2012; grdc-2020-p-budget
        ("canola", (5.0, 4.0, 6.5)),  # ipni-2011; grdc-2020-p-budget
        ("clover_hay", (2.75, 2.0, 3.5)),  # agvic-pastures
    ],
)
def test_crops_keep_the_phosphorus_they_had(key, expected):
    removal = default_removal(crop(key).harvest, Nutrient.PHOSPHORUS)
    assert (removal.kg_per_unit, removal.low_kg_per_unit, removal.high_kg_per_unit) == expected


def test_a_figure_of_ones_own_is_marked_as_such():
    own = own_removal("lupin_grain", Nutrient.PHOSPHORUS, 2.6, reason="grain test of May")
    assert (own.grade, own.where, own.source) == (Grade.YOURS, "grain test of May", "")


@pytest.mark.parametrize(("kg_t", "reason"), [(-1.0, "x"), (np.nan, "x"), (2000.0, "x"), (3, " ")])
def test_a_figure_of_ones_own_needs_a_number_and_a_reason(kg_t, reason):
    with pytest.raises(MissingInputError):
        own_removal("lupin_grain", Nutrient.PHOSPHORUS, kg_t, reason=reason)


def test_unknown_harvests_list_what_there_is():
    with pytest.raises(UnknownChoiceError, match="wheat_grain"):
        default_removal("tulip", Nutrient.NITROGEN)


def test_a_missing_yield_stays_missing():
    assert np.isnan(nutrient_removal([np.nan, 3.0], 3.0)).tolist() == [True, False]


@pytest.mark.parametrize("wrong", [{"dry_matter_share": 85.0}, {"dry_matter_share": -0.1}])
def test_a_share_of_dry_matter_that_cannot_be_is_refused(wrong):
    with pytest.raises(SoilInputError, match="dry_matter_share"):
        nutrient_removal(3.0, 3.0, **wrong)


@given(st.floats(0, 30), st.floats(0, 30), st.floats(0, 100))
def test_two_harvests_take_what_each_of_them_takes(first, second, kg_t):
    together = nutrient_removal(first + second, kg_t)
    assert together == pytest.approx(nutrient_removal([first, second], kg_t).sum(), abs=1e-9)
