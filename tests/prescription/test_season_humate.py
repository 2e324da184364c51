"""Humate with its policy: the rule's order of cap and cut, over all passes of a season."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.agronomy.humate_break_even import CUT_IS_NO_PROOF
from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.errors import MissingInputError, RefusedMixError
from vrxapp.files.job_note import job_note
from vrxapp.inputs.humate_acceptance import HumateTest, HumicMethod
from vrxapp.inputs.products import Product, typical_products
from vrxapp.need_plans import Purpose
from vrxapp.prescription.mix import mix_share_percent, spread_name
from vrxapp.prescription.pipeline import prescription, why
from vrxapp.season import HumateShare
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn
from vrxapp.spreading.rate_map import total_kg

TYPICAL = {product.key: product for product in typical_products()}
HUMATE = replace(TYPICAL["soluble_humate"], price_per_tonne=3000.0, currency="AUD")
COMPOUND = Product(
    "compound", "Compound", 10.0, 5.0, 10.0, 5.0, 900.0, "AUD", nitrate_n_percent=0.0
)
DAP = replace(TYPICAL["dap"], price_per_tonne=1000.0, currency="AUD")
KEPT = HumateShare(HUMATE, 5.0, 20.0)
CUT = replace(KEPT, policy=FertiliserPolicy.SHARE_OFF, cut_fraction=1 / 3)
PAID = replace(KEPT, policy=FertiliserPolicy.PAY_FROM)
ACCEPTED = HumateTest(
    dissolves_in_own_water=True,
    method=HumicMethod.ISO_19822,
    humic_acid_percent=60.0,
    insoluble_percent=1.0,
    moisture_percent=12.0,
    potassium_percent=8.0,
)


@pytest.fixture
def fed(season, with_results):
    """Both zones far above the critical range, so the need is what the harvest carries away."""

    def make(need_kg_ha, *passes, colwell=60.0):
        grown = replace(season.crop, target_yield_t_ha=need_kg_ha / 3.0)
        zones = [("1", "West", colwell), ("2", "East", colwell)]
        start = season.operations[0]
        machine = replace(start.machine, highest_rate_kg_ha=5000.0)
        operations = tuple(
            replace(start, id=f"op-{i}", name=f"Pass {i}", machine=machine, **changes)
            for i, changes in enumerate(passes, start=1)
        )
        return replace(with_results(season, zones), crop=grown, operations=operations)

    return make


def plan_of(season, number=1):
    return prescription(season, season.operations[number - 1])


def told(plan, zone="West"):
    return " ".join(sentence.text for sentence in why(plan, zone))


def noted(plan):
    return " ".join(str(note) for note in plan.notes)


def test_a_plain_share_keeps_the_fertiliser_and_counts_as_not_accepted():
    assert KEPT.policy is FertiliserPolicy.KEEP
    assert math.isnan(KEPT.cut_fraction)
    assert KEPT.test.dissolves_in_own_water is None


def test_humate_comes_of_the_uncut_rate_then_the_cap_then_the_cut(fed):
    # QTY-11, QTY-12: 2000 kg/ha, raw 100 capped to 20, a third off: 1333.3 + 20 = 1353.3;
    # QTY-13: 15 kg to a tonne. 100 kg P/ha less a third is above 12 that must stay
    season = fed(100.0, {"product": COMPOUND, "humate": CUT})
    plan = plan_of(season)
    assert plan.rates_kg_ha.tolist() == [1353.0, 1353.0]
    assert plan.humate_kg_ha == pytest.approx([20.0, 20.0], abs=0.01)
    assert plan.cut_kg_ha == pytest.approx([666.7, 666.7], abs=0.1)
    assert "15 kg to a tonne" in told(plan)
    assert "the crop forgoes 66.67 kg N/ha and 33.33 kg P/ha" in told(plan)
    assert "15 kg Soluble humate granules to each tonne" in job_note(season, plan, file_name="plan")


def test_a_small_rate_is_not_cut(fed):
    # QTY-14: 50 kg/ha of DAP with 5 % of humate is 52.5 kg/ha, nothing off
    plan = plan_of(fed(10.0, {"product": DAP, "humate": CUT}))
    assert plan.product_kg_ha == pytest.approx([50.0, 50.0], abs=0.5)
    assert plan.cut_kg_ha.tolist() == [0.0, 0.0]


def test_paying_from_the_fertiliser_takes_its_cost_off_and_tells_the_nutrients(fed):
    # QTY-15, QTY-17, QTY-18: 5 kg of humate at 3.00 a kg against DAP at 1.00: 15 kg DAP,
    # which is 2.7 kg N and 3.0 kg P; 100 kg DAP are 20 kg P
    plan = plan_of(fed(20.0, {"product": DAP, "humate": PAID}))
    assert plan.cut_kg_ha == pytest.approx([15.0, 15.0])
    assert "the crop forgoes 2.7 kg N/ha and 3 kg P/ha" in told(plan)
    assert "comes off is nitrogen and phosphorus" in noted(plan)
    assert CUT_IS_NO_PROOF in noted(plan)


def test_without_a_price_nothing_can_be_paid_from(fed):
    unpriced = replace(PAID, product=TYPICAL["soluble_humate"])
    season = fed(20.0, {"product": DAP, "humate": unpriced})
    with pytest.raises(MissingInputError, match="price is not known"):
        plan_of(season)


def test_prices_in_two_currencies_are_not_set_against_each_other(fed):
    foreign = replace(PAID, product=replace(HUMATE, currency="NZD"))
    with pytest.raises(MissingInputError, match="AUD and NZD"):
        plan_of(fed(20.0, {"product": DAP, "humate": foreign}))


def test_a_cut_without_its_size_is_refused():
    with pytest.raises(MissingInputError, match="no default"):
        HumateShare(HUMATE, 5.0, 20.0, FertiliserPolicy.SHARE_OFF)


def test_phosphorus_below_its_critical_value_is_not_cut_away(fed):
    # at 20 mg/kg, far below 35 to 42, all of the replacement stays and build-up is left out
    season = fed(100.0, {"product": COMPOUND, "humate": CUT}, colwell=20.0)
    unbuilt = replace(season.phosphorus, build_up_factor_kg_ha_per_mg_kg=math.nan)
    plan = plan_of(replace(season, phosphorus=unbuilt))
    assert plan.cut_kg_ha.tolist() == [0.0, 0.0]
    assert "less is cut than the policy asks" in noted(plan)
    assert "The phosphorus allows 0 % at most" in told(plan)


def test_a_zone_without_a_soil_test_gets_neither_rate_nor_cut(fed, with_results):
    season = fed(100.0, {"product": COMPOUND, "humate": CUT})
    season = with_results(season, [("1", "West", 60.0)])
    plan = plan_of(season)
    assert plan.cut_kg_ha[0] > 0
    assert np.isnan(plan.rates_kg_ha[1])
    assert plan.cut_kg_ha[1] == 0


def test_a_full_rate_at_the_cap_warns(fed):
    # QTY-10: 20 kg/ha of humate is reached at 400 kg/ha of fertiliser
    at_cap = plan_of(fed(88.0, {"humate": KEPT}))
    assert at_cap.product_kg_ha == pytest.approx([400.0, 400.0])
    assert "reaches its 20 kg/ha" in noted(at_cap)
    assert "Warning: the most humate" in told(at_cap)
    below = plan_of(fed(44.0, {"humate": KEPT}))
    assert "reaches its" not in noted(below)
    assert "Warning" not in told(below)


def test_splitting_a_rate_over_two_passes_lifts_no_cap(fed):
    # as the season's rule has it: 300 kg/ha twice, the second gets 5 of 20 kg/ha
    half = {"humate": KEPT, "rate_cap_kg_ha": 300.0}
    season = fed(132.0, half, half)
    first, second = plan_of(season, 1), plan_of(season, 2)
    assert first.humate_kg_ha == pytest.approx([15.0, 15.0])
    assert second.product_kg_ha == pytest.approx([300.0, 300.0])  # the fertiliser stays
    assert second.humate_kg_ha == pytest.approx([5.0, 5.0])
    assert "the season's cap of 20 kg/ha leaves 5 kg/ha" in told(second)
    for plan in (first, second):
        assert "lifts no cap" in noted(plan)
        assert "reaches its 20 kg/ha" in noted(plan)


def test_a_coarse_machine_takes_no_fertiliser_away_for_the_humate(fed):
    half = {"humate": KEPT, "rate_cap_kg_ha": 300.0}
    season = fed(110.0, half, half)
    coarse = replace(season.operations[1].machine, rate_step_kg_ha=50.0)
    second = replace(season.operations[1], machine=coarse)
    plan = plan_of(replace(season, operations=(season.operations[0], second)), 2)
    # 200 kg/ha and the 5 that the cap leaves: 200 is the nearest step, and no less
    assert plan.rates_kg_ha.tolist() == [200.0, 200.0]
    assert plan.humate_kg_ha == pytest.approx([4.88, 4.88], abs=0.01)
    lifted = replace(second, rate_cap_kg_ha=235.0)
    season = replace(fed(117.7, half, half), operations=(season.operations[0], lifted))
    plan = plan_of(season, 2)
    assert plan.rates_kg_ha.tolist() == [200.0, 200.0]  # 235 and 5 would round up past the cap
    assert np.all(plan.humate_kg_ha <= 5.0)


def test_without_any_need_the_mix_keeps_its_name(fed):
    plan = plan_of(fed(0.0, {"humate": KEPT}))
    assert plan.rates_kg_ha.tolist() == [0.0, 0.0]
    assert plan.rate_map.product == "MAP with 5 % Soluble humate granules"


def test_splitting_a_rate_dodges_no_cut_and_no_later_pass_makes_it_up(fed):
    half = {"product": COMPOUND, "humate": CUT, "rate_cap_kg_ha": 1000.0}
    season = fed(100.0, half, half)
    first, second = plan_of(season, 1), plan_of(season, 2)
    whole = plan_of(fed(100.0, {"product": COMPOUND, "humate": CUT}))
    together = first.product_kg_ha + second.product_kg_ha
    assert together == pytest.approx(whole.product_kg_ha, abs=2.0)
    assert first.humate_kg_ha + second.humate_kg_ha == pytest.approx([20.0, 20.0], abs=0.05)
    assert "does not make it up, and nothing replaces it" in told(second)


def test_a_pass_that_cannot_be_told_is_named_and_fails_no_other(fed):
    lime = {"purpose": Purpose.LIME, "humate": KEPT, "product": TYPICAL["lime"]}
    season = fed(44.0, {"humate": KEPT}, lime)
    plan = plan_of(season)
    assert plan.humate_kg_ha == pytest.approx([10.0, 10.0])
    assert "the humate of 'Pass 2' is not counted" in noted(plan)


def test_a_nitrate_is_refused_first_and_with_no_quantity(fed):
    can = TYPICAL["calcium_ammonium_nitrate"]
    for humate in (KEPT, CUT, replace(PAID, product=TYPICAL["soluble_humate"])):
        with pytest.raises(RefusedMixError) as raised:
            plan_of(fed(44.0, {"product": can, "humate": humate}))
        assert "kg" not in str(raised.value)


def test_zones_that_differ_are_no_one_mix_and_the_note_says_how(season, with_results):
    season = with_results(season, [("1", "West", 60.0), ("2", "East", 20.0)])
    grown = replace(season.crop, target_yield_t_ha=30.0)
    start = season.operations[0]
    machine = replace(start.machine, highest_rate_kg_ha=5000.0)
    operation = replace(start, product=COMPOUND, humate=CUT, machine=machine)
    season = replace(season, crop=grown, operations=(operation,))
    plan = plan_of(season)
    assert math.isnan(mix_share_percent(plan.product_kg_ha, plan.humate_kg_ha))
    assert "one mix cannot do this" in noted(plan)
    note = job_note(season, plan, file_name="plan")
    assert "differs by zone" in note
    assert "West: 1200.0 + 20.0 kg/ha, 17 kg to each tonne" in note
    assert plan.rate_map.product == spread_name(operation)


def test_totals_and_cost_follow_a_cut(season, with_results):
    season = with_results(season, [("1", "West", 60.0), ("2", "East", 20.0)])
    season = replace(season, crop=replace(season.crop, target_yield_t_ha=30.0))
    start = season.operations[0]
    machine = replace(start.machine, highest_rate_kg_ha=5000.0)
    operation = replace(start, product=COMPOUND, humate=CUT, machine=machine)
    plan = plan_of(replace(season, operations=(operation,)))
    share = plan.humate_kg_ha / plan.rates_kg_ha
    humate_kg = float(np.sum(plan.totals.zone_product_kg * share))
    assert total_kg(plan.rate_map) == pytest.approx(plan.totals.product_kg, rel=1e-9)
    assert plan.totals.humate_kg == pytest.approx(humate_kg, rel=1e-9)
    fertiliser_kg = plan.totals.product_kg - humate_kg
    assert plan.totals.cost == pytest.approx(fertiliser_kg * 0.9 + humate_kg * 3.0, rel=1e-9)


def test_acceptance_is_told_and_changes_no_rate(fed):
    plain = plan_of(fed(44.0, {"humate": KEPT}))
    accepted = plan_of(fed(44.0, {"humate": replace(KEPT, test=ACCEPTED)}))
    assert "nothing is credited to it as a soluble product" in noted(plain)
    assert "nothing is credited to it as a soluble product" not in noted(accepted)
    assert np.array_equal(plain.rates_kg_ha, accepted.rates_kg_ha)
    assert "6 kg/ha of humic acid by ISO 19822" in told(accepted)  # 60 % of 10 kg/ha
    assert "humic acid by ISO" not in told(plain)


def test_the_dose_is_told_in_proportion_to_the_soil_exchange(fed):
    season = fed(88.0, {"humate": KEPT})
    exchange = AnalyteColumn(analyte("ecec"), np.array([5.0, math.nan]), np.full(2, "", "<U1"))
    tests = replace(season.tests, columns=(*season.tests.columns, exchange))
    plan = plan_of(replace(season, tests=tests))
    # HUM-03: 20 kg/ha at 268 cmol/kg is 0.00383 cmol/kg, 0.077 % of a sand of 5
    assert "adds 0.77 thousandths to the soil's exchange capacity of 5 cmol(+)/kg" in told(plan)
    assert "It adds 3.83 thousandths of a cmol(+)/kg" in told(plan, "East")


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    need=st.floats(0.0, 120.0),
    caps=st.lists(st.floats(50.0, 900.0), min_size=1, max_size=3),
    share=st.sampled_from([2.0, 5.0, 10.0]),
    humate=st.sampled_from([KEPT, CUT, PAID]),
)
def test_no_season_carries_more_humate_than_its_cap(fed, need, caps, share, humate):
    passes = [
        {"product": COMPOUND, "humate": replace(humate, share_percent=share), "rate_cap_kg_ha": cap}
        for cap in caps
    ]
    season = fed(need, *passes)
    plans = [plan_of(season, number) for number in range(1, len(passes) + 1)]
    assert np.all(sum(plan.humate_kg_ha for plan in plans) <= 20.0 + 1e-6)
    for plan in plans:
        assert np.all(plan.humate_kg_ha >= 0)
        assert plan.product_kg_ha + plan.humate_kg_ha == pytest.approx(plan.rates_kg_ha)


def test_a_humate_on_top_tells_the_yield_that_pays_for_it(fed):
    # 20 kg P/ha of DAP with 20 % P = 100 kg/ha, 5 kg/ha of humate at 3 AUD = 15 AUD/ha;
    # at 300 AUD/t that is 50 kg/ha of wheat
    season = fed(20.0, {"product": DAP, "humate": KEPT})
    assert "The humate costs 15 AUD/ha" in told(plan_of(season))
    assert "would pay for it" not in told(plan_of(season))
    priced = replace(season, crop=replace(season.crop, price_t=300.0))
    assert "50 kg/ha more yield would pay for it" in told(plan_of(priced))


def test_a_cut_tells_its_money_the_loss_that_eats_it_and_that_it_proves_nothing(fed):
    # 20 kg P/ha of the compound with 5 % P = 400 kg/ha, of which a third comes off at the cap
    season = fed(20.0, {"product": COMPOUND, "humate": CUT}, colwell=500.0)
    season = replace(season, crop=replace(season.crop, price_t=400.0))
    plan = plan_of(season)
    sentences = told(plan)
    # 133.33 × 0.9 − 20 × 3 = 60 AUD/ha, and 60 ÷ 400 = 0.15 t/ha
    assert "133.33 kg/ha × 900 ÷ 1000 − 20 kg/ha × 3000 ÷ 1000 leaves 60 AUD/ha" in sentences
    assert "It does not show that the humate replaced it" in sentences
    assert "a loss of 0.15 t/ha eats it up" in sentences


def test_a_humate_without_a_price_tells_no_money(fed):
    free = replace(KEPT, product=replace(HUMATE, price_per_tonne=math.nan))
    season = fed(20.0, {"product": DAP, "humate": free})
    assert "humate costs" not in told(plan_of(season))


def test_a_dose_is_set_beside_the_soils_carbon_and_the_passes_phosphorus(fed, sheet):
    season = fed(20.0, {"product": DAP, "humate": KEPT})
    carbon = AnalyteColumn(analyte("organic_carbon"), np.array([1.0, np.nan]), np.full(2, ""))
    tests = replace(season.tests, columns=(*season.tests.columns, carbon))
    plan = plan_of(replace(season, tests=tests))
    # 5 kg/ha × 40 % ÷ (1 % × 1,400 t/ha): 2 kg of 14,000 kg = 0.14 thousandths
    assert "it adds 0.14 thousandths to the 1 % organic carbon" in told(plan)
    assert "thousandths to the" not in told(plan, "East").partition("carbon it adds")[2]
    assert "moles of charge for each mole of the 20 kg P/ha beside it" in told(plan)


def test_metals_of_the_humates_analysis_are_screened_and_their_load_is_told(fed):
    # eu-2019-1009: cadmium 1.5 and lead 120 mg/kg of dry matter
    test = replace(ACCEPTED, metals=(("Cd", 2.0), ("Pb", 40.0)))
    plan = plan_of(fed(20.0, {"product": DAP, "humate": replace(KEPT, test=test)}))
    assert "Cadmium: 2 mg/kg of the dry matter is above the limit of 1.5" in noted(plan)
    assert "do not spread it" in noted(plan)
    assert "Lead: 40 mg/kg of the dry matter is above" not in noted(plan)
    # 5 kg/ha with 12 % water is 4.4 kg dry: 4.4 × 40 = 0.18 g/ha, ÷ 1400 t/ha = 0.13 µg/kg
    assert "brings 0.18 g/ha, 0.13 µg/kg in 10 cm" in told(plan)
    assert "counted as dry" not in told(plan)
    untold = replace(test, moisture_percent=float("nan"))
    plan = plan_of(fed(20.0, {"product": DAP, "humate": replace(KEPT, test=untold)}))
    assert "all of it is counted as dry, for its moisture is not told" in told(plan)
