"""Humate of a season: splitting a rate into operations dodges no cap and no cut."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.humate_plan import humate_plan
from vrxapp.agronomy.humate_policy import FertiliserPolicy, HumatePolicy
from vrxapp.agronomy.season_load import season_load
from vrxapp.errors import SoilInputError

COMMON = {"share_percent": 5.0, "cap_kg_ha": 20.0}
KEEP = HumatePolicy(FertiliserPolicy.KEEP, **COMMON)
THIRD_OFF = HumatePolicy(FertiliserPolicy.SHARE_OFF, **COMMON, cut_fraction=1 / 3)
PAY = HumatePolicy(FertiliserPolicy.PAY_FROM, **COMMON, humate_price_per_kg=3.0)
SHARES = st.lists(st.floats(0.05, 1), min_size=1, max_size=5)


def split(total, shares):
    """A rate in several operations on one place."""
    return (total * np.asarray(shares) / np.sum(shares))[:, np.newaxis]


def test_each_operation_below_the_cap_is_still_warned_about_together():
    # twice 250 kg/ha would get 12.5 kg/ha each, and together more than 20
    load = season_load([[250.0], [250.0]], KEEP)
    assert load.humate_kg_ha[:, 0].tolist() == [12.5, 7.5]
    assert load.season.is_overload.all()
    assert load.season.is_capped.all()


def test_a_cut_falls_on_every_operation_alike():
    load = season_load([[300.0], [900.0]], THIRD_OFF, p_percent=[20.0, 0.0], least_p_kg_ha=10.0)
    assert load.fertiliser_kg_ha[:, 0] == pytest.approx([200.0, 600.0])


def test_phosphorus_is_counted_over_the_operations_that_bring_it():
    # 60 kg P/ha in the first alone; 54 must stay, so a tenth comes off both
    load = season_load([[300.0], [900.0]], THIRD_OFF, p_percent=[20.0, 0.0], least_p_kg_ha=54.0)
    assert load.fertiliser_kg_ha[:, 0] == pytest.approx([270.0, 810.0])
    assert load.season.is_held_by_phosphorus.all()


def test_humate_that_is_spread_alone_counts_for_the_cap():
    load = season_load([[0.0], [300.0]], KEEP, other_humate_kg_ha=[[12.0], [0.0]])
    assert load.humate_kg_ha[:, 0].tolist() == [12.0, 8.0]


def test_a_swap_counts_the_money_of_all_fertilisers():
    # 15 kg/ha of humate at 3.00 is 45; the fertilisers are worth 100 + 400
    load = season_load(
        [[100.0], [200.0]],
        PAY,
        price_per_kg=[1.0, 2.0],
        p_percent=[10.0, 10.0],
        least_p_kg_ha=0.0,
    )
    off = np.array([[100.0], [200.0]]) - load.fertiliser_kg_ha
    assert (off[:, 0] * [1.0, 2.0]).sum() == pytest.approx(45.0)


def test_an_operation_that_leaves_a_place_out_gives_it_nothing():
    load = season_load([[400.0, 0.0], [0.0, 400.0]], KEEP)
    assert load.humate_kg_ha.tolist() == [[20.0, 0.0], [0.0, 20.0]]


def test_a_missing_rate_makes_the_place_unknown_and_no_other():
    load = season_load([[np.nan, 100.0], [100.0, 100.0]], KEEP)
    assert np.isnan(load.humate_kg_ha[:, 0]).all()
    assert np.isnan(load.fertiliser_kg_ha[:, 0]).all()
    assert load.humate_kg_ha[:, 1].tolist() == [5.0, 5.0]


def test_a_column_without_operations_is_refused():
    with pytest.raises(SoilInputError, match="operations by places"):
        season_load([100.0, 200.0], KEEP)


@given(st.floats(1, 3000), SHARES, st.sampled_from([KEEP, THIRD_OFF, PAY]))
def test_splitting_never_raises_the_allowance_nor_dodges_a_cut(total, shares, policy):
    told = {"price_per_kg": [1.0] * len(shares), "p_percent": [10.0] * len(shares)}
    load = season_load(split(total, shares), policy, **told, least_p_kg_ha=0.0)
    whole = humate_plan(
        total, policy, p_kg_ha=0.1 * total, least_p_kg_ha=0.0, fertiliser_price_per_kg=1.0
    )
    assert load.humate_kg_ha.sum() == pytest.approx(float(whole.humate_kg_ha))
    assert load.fertiliser_kg_ha.sum() == pytest.approx(float(whole.fertiliser_kg_ha))
    assert bool(load.season.is_overload[0]) == bool(whole.is_overload)


@given(st.lists(st.lists(st.floats(0, 1000), min_size=3, max_size=3), min_size=1, max_size=5))
def test_no_operation_gets_more_than_its_share_and_none_less_than_nothing(rates):
    load = season_load(rates, KEEP)
    assert np.all(load.humate_kg_ha >= 0)
    assert np.all(load.humate_kg_ha <= 0.05 * np.asarray(rates) + 1e-9)
    assert np.all(load.humate_kg_ha.sum(axis=0) <= 20.0 + 1e-9)
    assert load.fertiliser_kg_ha == pytest.approx(np.asarray(rates))
