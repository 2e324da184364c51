"""The nitrogen budget against the handbook's check values and its own limits."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.figures import FigureTable, figure, own_figure
from vrxapp.agronomy.nitrogen import (
    NitrogenChoices,
    NitrogenSupply,
    nitrogen_balance,
    nitrogen_need,
)
from vrxapp.agronomy.nitrogen_demand import grain_nitrogen
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade

HALF = NitrogenChoices(figure(FigureTable.NITROGEN, "efficiency_rule"))
# organic carbon 1.0 % and 300 mm set 45 kg N/ha free
SOIL = NitrogenSupply([42.0], organic_carbon_percent=1.0, growing_season_rain_mm=300.0)
WHEAT = grain_nitrogen([3.0], 11.5, protein_per_n=5.7)
amounts = st.lists(st.floats(0, 300), min_size=1, max_size=12)


def test_wheat_needs_what_the_soil_does_not_bring():
    # NBUD-01: 60.526 / 0.5 - 42 - 45
    need = nitrogen_need(WHEAT, SOIL, choices=HALF)
    assert need.need_kg_ha == pytest.approx([34.0526], abs=0.1)
    assert need.demand_kg_ha == pytest.approx([121.0526], abs=0.1)
    assert (need.mineral_n_kg_ha, need.mineralised_kg_ha) == (42.0, 45.0)
    assert need.surplus_kg_ha.tolist() == [0.0]
    assert not need.is_better_split[0]


def test_a_surplus_is_shown_and_no_rate_is_negative():
    # NBUD-04: demand 60, mineral nitrogen 50, mineralisation 40
    need, surplus = nitrogen_balance(60.0, 50.0 + 40.0)
    assert (float(need), float(surplus)) == (0.0, 30.0)
    rich = nitrogen_need(
        [30.0],
        NitrogenSupply([50.0], organic_carbon_percent=0.8, growing_season_rain_mm=1000 / 3),
        choices=HALF,
    )
    assert rich.need_kg_ha.tolist() == [0.0]
    assert rich.surplus_kg_ha == pytest.approx([30.0])
    assert rich.reason.tolist() == ["the soil brings all that the target asks for"]


def test_the_doubt_of_mineralisation_is_carried_into_the_need():
    # 45 half either way: 22.5 to 67.5
    need = nitrogen_need(WHEAT, SOIL, choices=HALF)
    assert need.low_kg_ha == pytest.approx([121.0526 - 42 - 67.5], abs=0.1)
    assert need.high_kg_ha == pytest.approx([121.0526 - 42 - 22.5], abs=0.1)
    assert "half either way" in need.doubt[0]


def test_a_poor_recovery_asks_for_far_more():
    poor = NitrogenChoices(figure(FigureTable.NITROGEN, "recovery_victoria"))
    need = nitrogen_need(WHEAT, SOIL, choices=poor)
    # 60.526 / 0.35 - 87
    assert need.need_kg_ha == pytest.approx([85.93], abs=0.01)
    assert need.is_better_split.tolist() == [True]
    assert (need.source, need.grade) == ("grdc-2021-n-rules", Grade.PUBLISHED)


def test_a_legume_is_not_counted_twice():
    after_pea = replace(SOIL, legume_n_kg_ha=27.0)
    tested = nitrogen_need(WHEAT, after_pea, choices=HALF)
    untested = nitrogen_need(WHEAT, after_pea, choices=replace(HALF, counts_legume=True))
    assert tested.need_kg_ha - untested.need_kg_ha == pytest.approx([27.0])
    assert tested.legume_n_kg_ha.tolist() == [0.0]
    assert "soil test after it has found" in tested.doubt[0]
    assert "no soil test was taken after it" in untested.doubt[0]


def test_what_others_bring_counts_and_mineralisation_may_be_left_out():
    given_some = replace(SOIL, other_n_kg_ha=10.0, organic_carbon_percent=np.nan)
    need = nitrogen_need(WHEAT, given_some, choices=replace(HALF, counts_mineralisation=False))
    assert need.need_kg_ha == pytest.approx([121.0526 - 42 - 10], abs=0.1)
    assert need.low_kg_ha.tolist() == need.high_kg_ha.tolist() == need.need_kg_ha.tolist()


@pytest.mark.parametrize(
    ("grain", "missing", "reason"),
    [
        ([np.nan], {}, "target"),
        (WHEAT, {"mineral_n_kg_ha": np.nan}, "mineral nitrogen"),
        (WHEAT, {"organic_carbon_percent": np.nan}, "organic carbon"),
        (WHEAT, {"growing_season_rain_mm": np.nan}, "rain"),
        (WHEAT, {"other_n_kg_ha": np.nan}, "others"),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_guessed(grain, missing, reason):
    need = nitrogen_need(grain, replace(SOIL, **missing), choices=HALF)
    assert np.isnan(need.need_kg_ha).all()
    assert np.isnan(need.surplus_kg_ha).all()
    assert reason in need.reason[0]
    assert need.doubt.tolist() == [""]


def test_every_number_that_was_used_tells_its_source():
    need = nitrogen_need(WHEAT, SOIL, choices=HALF)
    assert [f.key for f in need.figures] == [
        *("efficiency_rule", "mineralisation", "mineralisation_spread", "split_above"),
    ]


def test_an_efficiency_of_ones_own_is_marked_as_such():
    own = own_figure("efficiency", 0.45, unit="share", reason="strips")
    need = nitrogen_need(WHEAT, SOIL, choices=NitrogenChoices(own))
    assert (need.grade, need.where) == (Grade.YOURS, "strips")


@pytest.mark.parametrize(
    "wrong", [{"mineral_n_kg_ha": -1.0}, {"legume_n_kg_ha": -1.0}, {"other_n_kg_ha": np.inf}]
)
def test_a_value_out_of_range_is_refused_by_name(wrong):
    with pytest.raises(SoilInputError, match=next(iter(wrong))):
        nitrogen_need(WHEAT, replace(SOIL, **wrong), choices=HALF)


@given(amounts)
def test_more_in_the_soil_never_needs_more(mineral):
    mineral = np.sort(mineral)
    need = nitrogen_need(WHEAT, replace(SOIL, mineral_n_kg_ha=mineral), choices=HALF)
    assert (np.diff(need.need_kg_ha) <= 1e-9).all()
    assert (need.need_kg_ha >= 0).all()
    assert (need.low_kg_ha <= need.need_kg_ha).all()
    assert (need.need_kg_ha <= need.high_kg_ha).all()


@given(amounts, st.floats(0, 200))
def test_need_and_surplus_close_the_balance(mineral, grain):
    need = nitrogen_need(grain, replace(SOIL, mineral_n_kg_ha=mineral), choices=HALF)
    brought = need.mineral_n_kg_ha + need.mineralised_kg_ha + need.need_kg_ha
    assert brought == pytest.approx(need.demand_kg_ha + need.surplus_kg_ha)
    assert (np.minimum(need.need_kg_ha, need.surplus_kg_ha) == 0).all()


@given(amounts, st.randoms(use_true_random=False))
def test_the_order_of_places_changes_nothing(mineral, random):
    order = list(range(len(mineral)))
    random.shuffle(order)
    straight = nitrogen_need(WHEAT, replace(SOIL, mineral_n_kg_ha=mineral), choices=HALF)
    mixed = nitrogen_need(
        WHEAT, replace(SOIL, mineral_n_kg_ha=np.array(mineral)[order]), choices=HALF
    )
    assert np.array_equal(straight.need_kg_ha[order], mixed.need_kg_ha)
