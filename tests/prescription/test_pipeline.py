"""From soil test to rate map: sums that can be done by hand, and what must always hold."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.agronomy.critical_values import critical_value
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.need_plans import PhosphorusPlan
from vrxapp.prescription.pipeline import prescription, why
from vrxapp.spreading.rate_map import GroundUse

BOTH = [("1", "West", 20.5), ("2", "East", 44.0)]
unbounded = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def planned(season):
    return prescription(season, season.operations[0])


def test_a_rate_follows_from_the_soil_test(season, with_results):
    # west: 4 x 3 + (38.5 - 20.5) x 3 / 3 = 30 kg P/ha; 30 / 0.22 = 136.36 -> 136
    # east: above the range, 4 x 3 = 12 kg P/ha; 12 / 0.22 = 54.5 -> 55
    plan = planned(with_results(season, BOTH))
    assert plan.need == pytest.approx([30.0, 12.0])
    assert plan.rates_kg_ha.tolist() == [136.0, 55.0]


def test_a_zone_without_a_result_gets_no_rate_and_a_reason(season):
    plan = planned(season)
    assert np.isnan(plan.rates_kg_ha).tolist() == [False, True]
    assert "no Colwell P result" in plan.reasons[1]
    east = np.array(plan.rate_map.labels) == "East"
    assert plan.rate_map.rates[east].tolist() == [0.0] * int(east.sum())
    assert GroundUse.NO_RATE in plan.rate_map.uses[east]
    assert plan.totals.no_rate_ha == pytest.approx(40.0 - 2.4, rel=2e-3)


def test_a_result_by_another_test_is_never_read_in_its_place(season, with_results):
    plan = planned(with_results(season, BOTH, key="olsen_p"))
    assert np.isnan(plan.rates_kg_ha).all()
    assert all("never read in its place" in reason for reason in plan.reasons)


def test_the_strip_and_the_exclusions_get_exactly_zero(season, with_results):
    rate_map = planned(with_results(season, BOTH)).rate_map
    idle = np.isin(rate_map.uses, [GroundUse.CHECK_STRIP, GroundUse.EXCLUDED])
    assert (rate_map.rates[idle] == 0.0).all()
    strip_ha = lon_lat_area_ha(rate_map.shapes[rate_map.uses == GroundUse.CHECK_STRIP]).sum()
    assert strip_ha == pytest.approx(4.8, rel=1e-3)


def test_the_map_covers_the_paddock_once(season, with_results):
    rate_map = planned(with_results(season, BOTH)).rate_map
    whole = shapely.union_all(rate_map.shapes)
    assert lon_lat_area_ha(rate_map.shapes).sum() == pytest.approx(
        lon_lat_area_ha([whole])[0], rel=1e-9
    )
    assert lon_lat_area_ha([whole])[0] == pytest.approx(80.0, rel=2e-3)


def test_totals_are_in_kilograms_and_money(season, with_results):
    plan = planned(with_results(season, BOTH))
    by_hand = (plan.totals.zone_area_ha * [136.0, 55.0]).sum()
    assert plan.totals.product_kg == pytest.approx(by_hand, rel=1e-9)
    assert plan.totals.cost == pytest.approx(by_hand / 1000 * 900.0, rel=1e-9)
    assert plan.totals.currency == "AUD"


def test_a_capped_rate_says_so(season, with_results):
    season = with_results(season, BOTH)
    operation = replace(season.operations[0], rate_cap_kg_ha=100.0)
    season = replace(season, operations=(operation,))
    plan = planned(season)
    assert plan.rates_kg_ha.tolist() == [100.0, 55.0]
    assert any("Capped at 100 kg/ha" in s.text for s in why(plan, "West"))
    assert not any("Capped" in s.text for s in why(plan, "East"))


def test_phosphorus_of_an_earlier_operation_is_not_counted_twice(season, with_results):
    season = with_results(season, BOTH)
    first = season.operations[0]
    second = replace(first, id="op-2", name="Top-up")
    season = replace(season, operations=(replace(first, rate_cap_kg_ha=100.0), second))
    top_up = prescription(season, season.operations[1])
    # west: 30 - 100 x 0.22 = 8 kg P/ha; 8 / 0.22 = 36.4 -> 36; east: 12 - 55 x 0.22 < 0 -> 0
    assert top_up.rates_kg_ha.tolist() == [36.0, 0.0]
    assert any("Earlier operations bring 22 kg P/ha" in s.text for s in why(top_up, "West"))


def test_the_sum_can_be_redone_from_the_printed_numbers(season, with_results):
    plan = planned(with_results(season, [("1", "West", 18.3), ("2", "West", 21.55)]))
    told = " ".join(s.text for s in why(plan, "west"))
    numbers = r"([0-9.]+)"
    target, test, factor, years, built_up = map(
        float,
        re.search(
            rf"\({numbers} − {numbers}\) mg/kg × {numbers} kg P/ha per mg/kg ÷ {numbers} years "
            rf"= {numbers} kg",
            told,
        ).groups(),
    )
    aimed, removal, replaced = map(
        float,
        re.search(rf"{numbers} t/ha × {numbers} kg P/t .*?= {numbers} kg P/ha", told).groups(),
    )
    need = float(re.search(rf"Need: .* = {numbers} kg P/ha", told).group(1))
    strength = float(re.search(rf"holds {numbers} % phosphorus", told).group(1))
    rate = float(re.search(rf"kg/ha: {numbers} kg/ha", told).group(1))
    assert (target - test) * factor / years == pytest.approx(built_up, abs=0.011)
    assert aimed * removal == pytest.approx(replaced, abs=0.006)
    assert built_up + replaced == pytest.approx(need, abs=0.011)
    assert need / (strength / 100) == pytest.approx(rate, abs=0.56)
    assert rate == plan.rates_kg_ha[0]


def test_two_samples_give_a_mean_and_an_error(season, with_results):
    plan = planned(with_results(season, [("1", "West", 18.0), ("2", "West", 22.0)]))
    first = why(plan, "West")[0].text
    assert first == "Colwell P is 20 mg/kg, the mean of 2 samples (standard error 2 mg/kg)."


def test_an_unverified_curve_says_that_it_is(season, with_results):
    season = with_results(season, BOTH)
    curve = PhosphorusPlan(critical_value("wheat-pbi-curve"), 3.0, 3.0)
    plan = planned(replace(season, phosphorus=curve))
    assert all("phosphorus buffering index" in reason for reason in plan.reasons)


def test_without_a_lab_sheet_the_mend_is_to_open_one(season):
    with pytest.raises(MissingInputError, match="lab sheet"):
        planned(replace(season, tests=None))


def test_a_product_without_phosphorus_is_refused(season):
    urea = replace(season.operations[0].product, name="Urea", p_percent=0.0)
    operation = replace(season.operations[0], product=urea)
    with pytest.raises(MissingInputError, match="Urea holds no phosphorus"):
        prescription(replace(season, operations=(operation,)), operation)


def test_an_unknown_zone_lists_the_zones(season):
    with pytest.raises(UnknownChoiceError, match="West, East"):
        why(planned(season), "North")


def test_the_same_season_is_worked_out_once(season):
    assert planned(season) is planned(season)


def test_a_narrow_strip_is_noted(season):
    narrow = replace(season.strips[0], width_m=12.0)
    plan = planned(replace(season, strips=(narrow,)))
    assert any("less than one swath" in str(note) for note in plan.notes)


@unbounded
@given(st.lists(st.floats(0, 120), min_size=2, max_size=2), st.floats(20.0, 300.0))
def test_totals_caps_and_strips_hold_for_any_soil(season, with_results, values, cap):
    rows = [("1", "West", values[0]), ("2", "East", values[1])]
    season = with_results(season, rows)
    operation = replace(season.operations[0], rate_cap_kg_ha=cap)
    plan = prescription(replace(season, operations=(operation,)), operation)
    rate_map = plan.rate_map
    assert (rate_map.rates <= cap + 1e-9).all()
    assert (rate_map.rates >= 0).all()
    by_area = (rate_map.rates * lon_lat_area_ha(rate_map.shapes)).sum()
    assert plan.totals.product_kg == pytest.approx(by_area, rel=1e-9)
    assert plan.totals.zone_product_kg.sum() == pytest.approx(by_area, rel=1e-9)
    assert (rate_map.rates[rate_map.uses == GroundUse.CHECK_STRIP] == 0.0).all()


@unbounded
@given(st.permutations([("1", "West", 12.0), ("2", "East", 44.0), ("3", "West", 30.0)]))
def test_the_order_of_rows_changes_nothing(season, with_results, rows):
    plan = planned(with_results(season, rows))
    straight = planned(with_results(season, sorted(rows)))
    assert np.array_equal(plan.rates_kg_ha, straight.rates_kg_ha)


def test_the_order_of_zones_changes_nothing(season, with_results):
    season = with_results(season, BOTH)
    zones = season.zones
    turned = replace(zones, ids=zones.ids[::-1], names=zones.names[::-1], shapes=zones.shapes[::-1])
    plan, other = planned(season), planned(replace(season, zones=turned))
    assert dict(zip(plan.zone_names, plan.rates_kg_ha, strict=True)) == dict(
        zip(other.zone_names, other.rates_kg_ha, strict=True)
    )
    assert plan.totals.product_kg == pytest.approx(other.totals.product_kg, rel=1e-9)
