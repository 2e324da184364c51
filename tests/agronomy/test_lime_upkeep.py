"""Maintenance lime by the handbook's check values, and in the need of a season."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime_upkeep import LimeUpkeep, upkeep_steps, upkeep_t_ha
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.need_plans import LimePlan, Purpose
from vrxapp.prescription.pipeline import needs

UREA = LimeUpkeep(nitrogen="urea", nitrogen_kg_ha=60.0, leached_fraction=0.25)


@pytest.mark.parametrize(
    ("upkeep", "yield_t_ha", "kg_ha"),
    [
        pytest.param(UREA, 3.0, 53.5907, id="ACID-07"),  # derived in the handbook
        pytest.param(LimeUpkeep("wheat_grain"), 3.0, 27.0, id="ACID-08"),  # dpird-lime-program
        pytest.param(LimeUpkeep("lupin_grain"), 2.0, 40.0, id="ACID-09"),  # dpird-lime-program
    ],
)
def test_a_year_of_maintenance_has_the_handbook_value(upkeep, yield_t_ha, kg_ha):
    assert upkeep_t_ha(upkeep, yield_t_ha) * 1000.0 == pytest.approx(kg_ha, abs=0.1)
    five = replace(upkeep, years=5.0)
    assert upkeep_t_ha(five, yield_t_ha) == pytest.approx(5 * upkeep_t_ha(upkeep, yield_t_ha))


def test_nitrate_saves_lime_but_asks_for_none_back():
    nitrate = LimeUpkeep(nitrogen="nitrate", nitrogen_kg_ha=60.0, leached_fraction=0.0)
    assert upkeep_t_ha(nitrate, 3.0) == 0.0
    with_wheat = replace(nitrate, harvest="wheat_grain", nitrogen_kg_ha=5.0)
    assert 0.0 < upkeep_t_ha(with_wheat, 3.0) < 0.027


def test_what_lists_print_is_told_and_added_to_nothing():
    told = " ".join(s.text for s in told_for(Trail(upkeep_steps(UREA, 3.0, 1)), 0))
    assert "Lists print 84 kg of lime for 100 kg of urea" in told
    assert "added to nothing" in told
    assert "balanced by 53.59 kg" in told


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"nitrogen": "urea"},
        {"nitrogen": "urea", "nitrogen_kg_ha": 60.0},
        {"nitrogen": "urea", "nitrogen_kg_ha": 60.0, "leached_fraction": 25.0},
        {"harvest": "wheat_grain", "years": 0.0},
    ],
)
def test_maintenance_that_is_not_whole_is_refused(given):
    with pytest.raises(MissingInputError):
        LimeUpkeep(**given)


def test_an_unknown_harvest_lists_those_there_are():
    with pytest.raises(UnknownChoiceError, match="no harvest has the key"):
        upkeep_t_ha(LimeUpkeep("thistles"), 3.0)


@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0))
def test_a_bigger_harvest_never_asks_for_less(first, second):
    low, high = sorted((first, second))
    upkeep = LimeUpkeep("wheat_grain")
    assert upkeep_t_ha(upkeep, low) <= upkeep_t_ha(upkeep, high)


def test_a_season_gets_it_on_top_where_the_method_can_be_told(season, sheet):
    tests = sheet([("1", "West", 5.8)], key="ph_cacl2")
    plan = LimePlan(LimeMethod.TEXTURE, LimeChoices(target_ph_cacl2=5.5), 1.4, "sand")
    plain = needs(replace(season, tests=tests, lime=plan), Purpose.LIME).amount
    kept = replace(plan, upkeep=LimeUpkeep("wheat_grain", years=5.0))
    found = needs(replace(season, tests=tests, lime=kept), Purpose.LIME)
    assert plain[0] == 0.0
    # 4 t/ha × 9 kg/t × 5 years = 0.18 t/ha; the east has no test and so no need at all
    assert found.amount[0] == pytest.approx(0.18)
    assert found.reasons[1]
    told = " ".join(s.text for s in told_for(found.trail, 0))
    assert "+ 0.18 = 0.18 t of pure lime" in told


def test_a_yield_that_is_not_known_gives_no_number():
    assert np.isnan(upkeep_t_ha(LimeUpkeep("wheat_grain"), np.nan))
