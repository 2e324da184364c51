"""Every need through the pipeline: from the lab sheet to the rate, by hand sums of the sources."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.cation_balance import FreeSalt
from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.crop_removal import Nutrient, default_removal
from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.gypsum_values import Dispersion, GypsumChoices, GypsumMethod
from vrxapp.agronomy.sufficiency_values import NeedChoices, NeedPolicy
from vrxapp.agronomy.trace_rates import trace_rates
from vrxapp.edits.need_plans import drop_need_plan, need_plan_of, set_need_plan
from vrxapp.edits.rates import set_crop
from vrxapp.errors import MissingInputError
from vrxapp.inputs.products import Material, Product, product_called, typical_products
from vrxapp.need_plans import (
    GypsumPlan,
    NitrogenPlan,
    NutrientPlan,
    Purpose,
    TracePlan,
)
from vrxapp.prescription.pipeline import needs, prescription, why
from vrxapp.prescription.rate_aims import aims_of
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn
from vrxapp.spreading.machine import Machine
from vrxapp.workflows.need_words import plan_words

MACHINE = Machine("Spreader", 24.0, 1.0, 0.0, 20_000.0)


@pytest.fixture
def with_tests(season, sheet):
    """A function that gives both zones the same results."""

    def made(results, depths=("0-10",)):
        rows = [(f"{zone}{depth}", zone, 1.0) for zone in ("West", "East") for depth in depths]
        table = sheet(rows)
        columns = tuple(
            AnalyteColumn(
                analyte(key),
                np.array([values[i % len(depths)] for i in range(len(rows))], dtype=float),
                np.full(len(rows), "", "<U1"),
            )
            for key, values in results.items()
        )
        tests = replace(table, columns=columns, depths_cm=tuple(depths) * 2)
        return replace(season, tests=tests)

    return made


def planned(season, purpose, product):
    """The season with one pass for a purpose, and its plan."""
    operation = replace(
        season.operations[0], id="op", purpose=purpose, product=product, machine=MACHINE
    )
    season = replace(season, operations=(operation,))
    return prescription(season, operation)


def typical(key):
    return product_called(key, typical_products())


def test_nitrogen_closes_the_gap_between_grain_and_soil(with_tests):
    # grain 4 t x 1000 x 11.5 % / 5.7 = 80.70; within reach 161.40; soil 12 mg x 1.3 + 5 mg x
    # 50 cm x 1.5 = 15.6 + 37.5 = 53.1; mineralisation 0.15 x 1.0 x 250 = 37.5 -> 70.80 kg N/ha
    season = with_tests(
        {"nitrate_n": (12.0, 5.0 * 1.5 / 1.3), "organic_carbon": (1.0, np.nan)},
        depths=("0-10", "10-60"),
    )
    half = figure(FigureTable.NITROGEN, "efficiency_rule")
    plan = NitrogenPlan(
        half,
        protein_percent=11.5,
        layers_cm=("0-10", "10-60"),
        bulk_density_t_m3=1.3,
        growing_season_rain_mm=250.0,
    )
    season = set_need_plan(season, plan)
    done = planned(season, Purpose.NITROGEN, typical("urea"))
    np.testing.assert_allclose(done.need, 70.80, atol=0.01)
    np.testing.assert_array_equal(done.rates_kg_ha, 154.0)  # 70.80 / 0.46
    told = " ".join(s.text for s in why(done, "West"))
    assert "161.4 − 53.1 − 37.5 − 0 − 0 = 70.8" in told


def test_nitrogen_without_a_layer_cannot_be_told(with_tests):
    season = with_tests({"nitrate_n": (12.0,), "organic_carbon": (1.0,)})
    half = figure(FigureTable.NITROGEN, "efficiency_rule")
    plan = NitrogenPlan(half, layers_cm=("0-10", "10-60"), bulk_density_t_m3=1.3)
    done = planned(set_need_plan(season, plan), Purpose.NITROGEN, typical("urea"))
    assert np.isnan(done.need).all()
    assert "nitrate or the density of a layer" in done.reasons[0]


def test_potassium_lifts_a_poor_layer_and_replaces_the_harvest(with_tests):
    # exchangeable K 0.08 to 0.12 in 10 cm at 1.3 t/m3: 0.04 x 391 x 1.3 = 20.33; 4 t x 4 kg
    season = with_tests({"exch_k": (0.08,)})
    plan = NutrientPlan(
        Purpose.POTASSIUM,
        critical_range_of("k-wheat-exchangeable"),
        bulk_density_t_m3=1.3,
        removal_kg_t=4.0,
    )
    done = planned(set_need_plan(season, plan), Purpose.POTASSIUM, typical("potassium_chloride"))
    np.testing.assert_allclose(done.need, 20.33 + 16.0, atol=0.01)
    np.testing.assert_array_equal(done.rates_kg_ha, 73.0)  # 36.33 / 0.498


def test_sulfur_of_0_30_cm_is_made_of_its_parts(with_tests):
    # (10 x 9 + 20 x 6) / 30 = 7.0 mg/kg, inside 6.8 to 7.5
    season = with_tests({"sulfur_kcl40": (9.0, 6.0)}, depths=("0-10", "10-30"))
    season = replace(season, crop=replace(season.crop, crop="canola"))
    plan = NutrientPlan(
        Purpose.SULFUR, critical_range_of("s-canola-30"), bulk_density_t_m3=1.4, removal_kg_t=5.0
    )
    done = planned(set_need_plan(season, plan), Purpose.SULFUR, typical("ammonium_sulphate"))
    # to the middle, 7.15: 0.15 x 1.4 x 3 = 0.63; harvest 4 x 5 = 20
    np.testing.assert_allclose(done.need, 20.63, atol=0.01)
    assert any("0-10 and 10-30" in str(note) for note in done.notes)


def test_replacement_reads_no_soil_test(with_tests):
    season = with_tests({"exch_k": (9.0,)})
    plan = NutrientPlan(
        Purpose.POTASSIUM,
        critical_range_of("k-wheat-exchangeable"),
        NeedChoices(NeedPolicy.REPLACEMENT),
        removal_kg_t=4.0,
    )
    np.testing.assert_allclose(needs(set_need_plan(season, plan), Purpose.POTASSIUM).amount, 16.0)


def test_a_range_of_the_crop_before_gives_no_rate_for_another_crop(with_tests):
    season = with_tests({"exch_k": (0.08,)})
    plan = NutrientPlan(
        Purpose.POTASSIUM,
        critical_range_of("k-wheat-exchangeable"),
        bulk_density_t_m3=1.3,
        removal_kg_t=4.0,
    )
    season = set_crop(set_need_plan(season, plan), "barley")  # none was published for barley
    found = needs(season, Purpose.POTASSIUM)
    assert np.isnan(found.amount).all()
    assert "made for wheat, not for barley" in found.reasons[0]
    assert "no rate: wheat, exchangeable K" in plan_words(season, Purpose.POTASSIUM)
    assert not [aim for aim in aims_of(season) if aim.purpose is Purpose.POTASSIUM]
    assert np.isfinite(needs(set_crop(season, "wheat"), Purpose.POTASSIUM).amount).all()


def test_replacement_of_another_crop_counts_its_own_harvest_and_no_range(with_tests):
    season = with_tests({"exch_k": (0.08,)})
    plan = NutrientPlan(
        Purpose.POTASSIUM,
        critical_range_of("k-wheat-exchangeable"),
        NeedChoices(NeedPolicy.REPLACEMENT),
        removal_kg_t=9.0,
    )
    season = set_crop(set_need_plan(season, plan), "barley")
    removed = default_removal("barley_grain", Nutrient.POTASSIUM).kg_per_unit
    np.testing.assert_allclose(needs(season, Purpose.POTASSIUM).amount, 4.0 * removed)


def test_the_protein_of_the_crop_before_is_not_aimed_at_in_another(season):
    plan = NitrogenPlan(figure(FigureTable.NITROGEN, "efficiency_rule"), protein_percent=11.5)
    after = set_crop(set_need_plan(season, plan), "canola")
    assert np.isnan(after.nitrogen.protein_percent)


def test_another_crop_brings_the_range_that_was_published_for_it(season):
    plan = NutrientPlan(Purpose.SULFUR, critical_range_of("s-wheat-30"), bulk_density_t_m3=1.4)
    after = set_crop(set_need_plan(season, plan), "canola")
    assert need_plan_of(after, Purpose.SULFUR).critical.key == "s-canola-30"


def test_cation_balance_lifts_to_the_share_and_says_what_is_known_of_it(with_tests):
    # BCSR: Mg to 10 % of CEC 10 from 0.5: 0.5 cmol x 121.5 mg x 1.3 = 79 kg/ha in 10 cm
    season = with_tests({"exch_mg": (0.5,), "cec": (10.0,)})
    plan = NutrientPlan(
        Purpose.MAGNESIUM,
        None,
        NeedChoices(NeedPolicy.CATION_BALANCE),
        bulk_density_t_m3=1.3,
        scheme="bear",
        free_salt=FreeSalt.NONE,
    )
    done = planned(set_need_plan(season, plan), Purpose.MAGNESIUM, typical("kieserite"))
    np.testing.assert_allclose(done.need, 0.5 * 121.525 * 1.3, atol=0.01)
    told = " ".join(s.text for s in why(done, "West"))
    assert "No yield benefit" in told
    assert ".." not in told


def test_cation_balance_without_a_scheme_is_refused(with_tests):
    season = with_tests({"exch_mg": (0.5,), "cec": (10.0,)})
    plan = NutrientPlan(Purpose.MAGNESIUM, None, NeedChoices(NeedPolicy.CATION_BALANCE))
    with pytest.raises(MissingInputError, match="none is the default"):
        needs(set_need_plan(season, plan), Purpose.MAGNESIUM)


def test_gypsum_replaces_sodium_and_is_divided_by_its_purity(with_tests):
    # GYP-06 in 10 cm: 0.086082 x 10 x 1.3 x 20 x (15 - 5) / 100 = 2.2381 t/ha
    season = with_tests({"exch_na": (3.0,), "cec": (20.0,)})
    plan = GypsumPlan(
        GypsumMethod.EXCHANGE, GypsumChoices(5.0), Dispersion.YES, bulk_density_t_m3=1.3
    )
    gypsum = Product("g", "Gypsum", 0.0, 0.0, 0.0, 14.9, material=Material.GYPSUM)
    done = planned(set_need_plan(season, plan), Purpose.GYPSUM, gypsum)
    np.testing.assert_allclose(done.need, 2.2381, atol=0.001)
    # 14.9 % S is 80 % pure: 2.2381 / 0.8002 = 2797 kg
    np.testing.assert_allclose(done.rates_kg_ha, 2797.0, atol=1.0)


def test_effective_cec_stands_in_for_cec_with_a_doubt(with_tests):
    season = with_tests({"exch_na": (3.0,), "ecec": (20.0,)})
    plan = GypsumPlan(
        GypsumMethod.EXCHANGE, GypsumChoices(5.0), Dispersion.YES, bulk_density_t_m3=1.3
    )
    gypsum = typical("gypsum")
    done = planned(set_need_plan(season, plan), Purpose.GYPSUM, gypsum)
    assert "effective CEC stands in" in " ".join(s.text for s in why(done, "West"))


def test_a_trace_element_is_a_class_until_a_rate_is_chosen(with_tests):
    season = with_tests({"dtpa_cu": (0.2,)})
    alone = set_need_plan(season, TracePlan(Purpose.COPPER, "dtpa_cu"))
    assert np.isnan(needs(alone, Purpose.COPPER).amount).all()
    (rate,) = (r for r in trace_rates() if r.key == "copper-worked-in")
    given = set_need_plan(season, TracePlan(Purpose.COPPER, "dtpa_cu", rate))
    done = planned(given, Purpose.COPPER, typical("copper_sulphate"))
    np.testing.assert_array_equal(done.rates_kg_ha, 8.0)  # 2 kg Cu / 25 %


def test_nitrogen_of_an_earlier_pass_counts_once(with_tests):
    season = with_tests({"nitrate_n": (12.0,), "organic_carbon": (1.0,), "colwell_p": (20.5,)})
    half = figure(FigureTable.NITROGEN, "efficiency_rule")
    plan = NitrogenPlan(half, 11.5, ("0-10",), 1.3)
    season = set_need_plan(season, plan)
    first = season.operations[0]
    second = replace(first, id="n", purpose=Purpose.NITROGEN, product=typical("urea"))
    both = replace(season, operations=(first, second))
    starter = prescription(both, first)
    alone = planned(season, Purpose.NITROGEN, typical("urea"))
    top_dress = prescription(both, second)
    np.testing.assert_allclose(
        alone.rates_kg_ha - top_dress.rates_kg_ha,
        starter.product_kg_ha * 0.11 / 0.46,
        atol=1.0,
    )


@pytest.mark.parametrize("purpose", [p for p in Purpose if p is not Purpose.PHOSPHORUS])
def test_a_need_whose_way_was_not_chosen_says_so(season, purpose):
    with pytest.raises(MissingInputError, match=r"chosen"):
        needs(season, purpose)


def test_a_plan_can_be_dropped_and_the_same_plan_changes_nothing(season):
    plan = TracePlan(Purpose.ZINC, "dtpa_zn")
    after = set_need_plan(season, plan)
    assert set_need_plan(after, TracePlan(Purpose.ZINC, "dtpa_zn")) is after
    assert need_plan_of(drop_need_plan(after, Purpose.ZINC), Purpose.ZINC) is None
    assert drop_need_plan(season, Purpose.ZINC) is season
