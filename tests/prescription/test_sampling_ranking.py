"""Where one more sample would pay: ranked by cost or by hectares, each with its reason."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.edits.budget import set_budget
from vrxapp.errors import MissingInputError
from vrxapp.need_plans import NutrientPlan, Purpose
from vrxapp.prescription.confidence_steps import CHANCE_BELOW
from vrxapp.prescription.pipeline import needs, prescription, why
from vrxapp.prescription.sampling_ranking import Stakes, first_line, ranked_zones
from vrxapp.season import SeasonBudget
from vrxapp.sources import Grade

FOUR = [("1", "West", 34.0), ("2", "West", 30.0), ("3", "West", 38.0), ("4", "West", 34.0)]


def chances(season):
    trail = prescription(season, season.operations[0]).trail
    return next(step.values for step in trail.steps if step.name == CHANCE_BELOW)


def test_the_chance_comes_from_the_samples_and_the_laboratories(season, with_results):
    # mean 34, standard error sqrt(32 / 12) = 1.633; laboratories 13.8 % of 34 = 4.692
    sampled = with_results(season, FOUR)
    error = (1.633**2 + 4.692**2) ** 0.5
    degrees = 3 * error**4 / 1.633**4
    expected = 100 * stats.t.cdf((35.0 - 34.0) / error, degrees)
    assert chances(sampled)[0] == pytest.approx(expected, abs=0.06)
    assert np.isnan(chances(sampled)[1])
    told = " ".join(s.text for s in why(prescription(sampled, sampled.operations[0]), "West"))
    assert "told from samples and laboratories" in told
    assert "true doubt is larger" not in told


def test_one_sample_is_told_from_laboratories_alone_and_as_a_bound(season):
    sentences = why(prescription(season, season.operations[0]), "West")
    chance = next(s for s in sentences if "The chance that it truly lies below" in s.text)
    assert "told from laboratories alone" in chance.text
    assert chance.source == "rayment-lyons-2011"
    assert any("true doubt is larger" in s.text for s in sentences)


def test_a_zone_without_a_result_is_told_no_chance_and_comes_first(season):
    first, second = ranked_zones(season, season.operations[0])
    assert first.zone == "East"
    assert "no result that can be read" in first.reason
    assert np.isnan(first.chance_wrong)
    assert second.reason.startswith("it is taken for short, with a chance of under 1 %")
    line = first_line((first, second))
    assert line == "Where one more sample would pay most: East (no chance known)"
    assert first_line(()) == ""


def test_the_expected_cost_is_area_by_chance_by_what_is_at_stake(season, with_results):
    sampled = with_results(season, [*FOUR, ("5", "East", 40.0), ("6", "East", 44.0)])
    plan = prescription(sampled, sampled.operations[0])
    stakes = Stakes(loss_if_short_t_ha=0.5, crop_price_t=300.0)
    by_zone = {zone.zone: zone for zone in ranked_zones(sampled, sampled.operations[0], stakes)}
    west, east = by_zone["West"], by_zone["East"]
    area = plan.totals.zone_area_ha
    # East is taken for enough: yield is at stake
    assert east.expected_cost == pytest.approx(area[1] * east.chance_wrong * 150.0)
    # West is taken for short: (38.5 - 34) x 3 / 3 = 4.5 of 16.5 kg P/ha is build-up
    waste = 4.5 / 16.5 * plan.rates_kg_ha[0] * 0.9
    assert west.expected_cost == pytest.approx(area[0] * west.chance_wrong * waste)


def test_without_stakes_hectares_are_ranked_and_no_money_is_told(season, with_results):
    sampled = with_results(season, [*FOUR, ("5", "East", 12.0), ("6", "East", 12.0)])
    first, second = ranked_zones(sampled, sampled.operations[0])
    assert (first.zone, second.zone) == ("West", "East")
    assert np.isnan(first.expected_cost)
    assert "chance of at least" not in first.reason


def test_the_budget_does_not_change_what_is_doubtful(season, with_results):
    sampled = with_results(season, FOUR)
    stakes = Stakes(0.5, 300.0)
    kept = set_budget(sampled, SeasonBudget(0.0, "AUD"))
    assert (
        ranked_zones(kept, kept.operations[0], stakes)[1]
        == (ranked_zones(sampled, sampled.operations[0], stakes)[1])
    )


def test_other_nutrients_tell_their_chance_too(season, with_results):
    critical = CriticalRange(
        "own", "own", "K", "wheat", "colwell_k", "0-10", 50.0, 70.0, "mg/kg", "", "", "mine",
        Grade.YOURS,
    )  # fmt: skip
    plan = NutrientPlan(Purpose.POTASSIUM, critical, bulk_density_t_m3=1.3)
    rows = [("1", "West", 40.0), ("2", "West", 44.0)]
    sampled = replace(with_results(season, rows, key="colwell_k"), nutrients=(plan,))
    trail = needs(sampled, Purpose.POTASSIUM).trail
    chance = next(step for step in trail.steps if step.name == CHANCE_BELOW)
    assert 50.0 < chance.values[0] <= 100.0
    assert np.isnan(chance.values[1])


def test_a_rule_without_a_critical_range_ranks_nothing(season):
    lime = replace(season.operations[0], purpose=Purpose.LIME)
    with pytest.raises(MissingInputError):
        ranked_zones(replace(season, operations=(lime,)), lime)
