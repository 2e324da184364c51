"""The need for lime by each method: what it reads, what it lacks, where it stops."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime import lime_need
from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.agronomy.lime_values import (
    LimeChoices,
    LimeMethod,
    LimeSoil,
    lime_method,
    lime_methods,
)
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.soil.estimated_results import ph_cacl2_from_water
from vrxapp.sources import Grade

TO_5_5 = LimeChoices(target_ph_cacl2=5.5)
WHOLE = LimeSoil(
    ph_cacl2=4.7,
    ph_water=5.3,
    buffer_ph=5.5,
    organic_carbon_percent=1.5,
    clay_percent=20.0,
    texture="clay loam",
    aluminium_cmol_kg=1.5,
    ecec_cmol_kg=5.0,
    buffer_capacity_cmol_kg_ph=2.0,
    bulk_density_t_m3=1.3,
)
CHOICES = LimeChoices(
    target_ph_cacl2=5.5,
    target_ph_water=6.5,
    buffer_function=BufferFunction.AITKEN_1990,
    tolerated_aluminium_percent=10.0,
)


@pytest.mark.parametrize(
    ("method", "expected", "printed"),
    [
        # 0.8 pH x 2.0 x 0.50043 g/kg x 1300 t/ha
        (LimeMethod.MEASURED_BUFFERING, 1.0409, 1.0409),
        # the same with 1.6542 cmol/kg/pH
        (LimeMethod.ESTIMATED_BUFFERING, 0.8609, 0.8609),
        # 0.8 / 0.37, and 0.4 for carbon above 1.2 %
        (LimeMethod.TEXTURE, 2.5622, 2.5622),
        # 750 x 1.5 x 1.3 kg/ha
        (LimeMethod.ALUMINIUM, 1.4625, 1.4625),
        # 1300 x (1.5 - 0.5) kg/ha of lime of 90 %
        (LimeMethod.TOLERATED_ALUMINIUM, 1.17, 1.3),
        # BAC 4.4: 6.336 t/ha of lime of 90 % for 20 cm, so half of it for 10 cm
        (LimeMethod.MEHLICH_BUFFER, 2.8512, 3.168),
        (LimeMethod.QUEENSLAND_BUFFER, 5.7, 5.7),
        # CEC 5 from 4.7: 1.1 to 5.2 and 0.7 to 5.5
        (LimeMethod.ECEC_TABLE, 1.8, 1.8),
    ],
)
def test_each_method_gives_pure_lime_for_ten_centimetres(method, expected, printed):
    need = lime_need(method, WHOLE, choices=CHOICES)
    assert need.need_t_ha == pytest.approx(expected, abs=1e-3)
    assert need.as_printed_t_ha == pytest.approx(printed, abs=1e-3)
    assert need.as_printed_t_ha * need.pure_share == pytest.approx(float(need.need_t_ha))
    assert need.reason == ""


@pytest.mark.parametrize("method", LimeMethod)
def test_a_place_without_what_the_method_reads_is_told_what_it_lacks(method):
    need = lime_need(method, LimeSoil(), choices=CHOICES)
    assert np.isnan(need.need_t_ha)
    assert str(need.reason).startswith("no ")


@pytest.mark.parametrize(
    ("method", "column"), [(row.key, name) for row in lime_methods() for name in row.needs]
)
def test_each_column_that_a_method_names_is_needed(method, column):
    blank = "" if column == "texture" else np.nan
    columns = {name: getattr(WHOLE, name) for name in LimeSoil.__dataclass_fields__}
    need = lime_need(method, LimeSoil(**columns | {column: blank}), choices=CHOICES)
    assert np.isnan(need.need_t_ha)
    assert need.reason != ""


@pytest.mark.parametrize(
    "method",
    [
        LimeMethod.MEASURED_BUFFERING,
        LimeMethod.ESTIMATED_BUFFERING,
        LimeMethod.TEXTURE,
        LimeMethod.ECEC_TABLE,
    ],
)
def test_a_ph_in_water_never_meets_a_calibration_in_calcium_chloride(method):
    columns = {name: getattr(WHOLE, name) for name in LimeSoil.__dataclass_fields__}
    need = lime_need(method, LimeSoil(**columns | {"ph_cacl2": np.nan}), choices=CHOICES)
    assert np.isnan(need.need_t_ha)
    assert "pH in water does not stand in" in str(need.reason)
    with pytest.raises(MissingInputError, match="calcium chloride"):
        lime_need(method, WHOLE, choices=LimeChoices(target_ph_water=6.0))


def test_a_target_in_calcium_chloride_never_meets_the_table_in_water():
    with pytest.raises(MissingInputError, match="pH in water"):
        lime_need(LimeMethod.QUEENSLAND_BUFFER, WHOLE, choices=TO_5_5)


@pytest.mark.parametrize("method", LimeMethod)
def test_from_5_5_on_there_is_no_lime_but_maintenance(method):
    columns = {name: getattr(WHOLE, name) for name in LimeSoil.__dataclass_fields__}
    need = lime_need(method, LimeSoil(**columns | {"ph_cacl2": [5.5, 6.4]}), choices=CHOICES)
    assert need.need_t_ha.tolist() == [0, 0]
    assert all("maintenance" in text for text in need.reason)


def test_a_place_that_needs_no_lime_need_not_tell_its_density():
    soil = LimeSoil(ph_cacl2=5.6)
    assert lime_need(LimeMethod.MEASURED_BUFFERING, soil, choices=TO_5_5).need_t_ha == 0


def test_a_target_above_six_is_refused():
    with pytest.raises(SoilInputError, match="above pH 6") as caught:
        lime_need(LimeMethod.TEXTURE, WHOLE, choices=LimeChoices(target_ph_cacl2=6.1))
    assert "Over" in caught.value.note.mend or "over" in caught.value.note.mend


def test_no_way_of_estimating_is_the_default():
    with pytest.raises(MissingInputError, match="none is the default"):
        lime_need(LimeMethod.ESTIMATED_BUFFERING, WHOLE, choices=TO_5_5)
    with pytest.raises(MissingInputError, match="the crop bears"):
        lime_need(LimeMethod.TOLERATED_ALUMINIUM, WHOLE, choices=TO_5_5)


def test_the_spread_of_all_estimates_stands_beside_the_need():
    need = lime_need(LimeMethod.ESTIMATED_BUFFERING, WHOLE, choices=CHOICES)
    # 4.375 / 1.6542: the estimates differ 2.6-fold
    assert need.high_t_ha / need.low_t_ha == pytest.approx(2.645, abs=0.001)
    assert need.low_t_ha <= need.need_t_ha <= need.high_t_ha
    assert np.isnan(lime_need(LimeMethod.ALUMINIUM, WHOLE, choices=CHOICES).low_t_ha)


def test_an_estimate_that_reads_clay_asks_for_it():
    soil = LimeSoil(ph_cacl2=4.7, organic_carbon_percent=1.5, bulk_density_t_m3=1.3)
    need = lime_need(LimeMethod.ESTIMATED_BUFFERING, soil, choices=CHOICES)
    assert need.reason == "no clay"


@pytest.mark.parametrize(
    ("method", "column", "value", "words"),
    [
        (LimeMethod.ESTIMATED_BUFFERING, "organic_carbon_percent", 7.0, "above 6 %"),
        (LimeMethod.TEXTURE, "texture", "loam", "clay loam"),
        (LimeMethod.MEHLICH_BUFFER, "ph_water", 6.5, "under pH 6.5"),
        (LimeMethod.QUEENSLAND_BUFFER, "buffer_ph", 4.2, "outside the table"),
        (LimeMethod.ECEC_TABLE, "ecec_cmol_kg", 20.0, "outside the table"),
    ],
)
def test_outside_a_method_nothing_is_made_up(method, column, value, words):
    columns = {name: getattr(WHOLE, name) for name in LimeSoil.__dataclass_fields__}
    choices = LimeChoices(5.5, 6.5, BufferFunction.WONG_2013, 10.0)
    need = lime_need(method, LimeSoil(**columns | {column: value}), choices=choices)
    assert np.isnan(need.need_t_ha)
    assert words in str(need.reason)


def test_very_acid_soil_is_told_to_be_less_sure():
    soil = LimeSoil(ph_cacl2=[4.2, 4.4], buffer_capacity_cmol_kg_ph=2.0, bulk_density_t_m3=1.3)
    need = lime_need(LimeMethod.MEASURED_BUFFERING, soil, choices=TO_5_5)
    assert [bool(text) for text in need.doubt] == [True, False]
    assert np.all(need.need_t_ha > 0)


def test_the_texture_rule_says_when_carbon_was_not_known():
    soil = LimeSoil(ph_cacl2=4.7, texture="sand")
    assert "carbon" in str(lime_need(LimeMethod.TEXTURE, soil, choices=TO_5_5).doubt)


def test_methods_from_memory_or_in_doubt_are_marked():
    grades = {row.key: row.grade for row in lime_methods()}
    assert set(grades) == set(LimeMethod)
    assert {key for key, grade in grades.items() if grade is Grade.UNVERIFIED} == {
        LimeMethod.ESTIMATED_BUFFERING,
        LimeMethod.TEXTURE,
        LimeMethod.ECEC_TABLE,
    }
    need = lime_need(LimeMethod.ESTIMATED_BUFFERING, WHOLE, choices=CHOICES)
    assert (need.source, need.grade) == ("aitken-1990", Grade.UNVERIFIED)
    assert lime_method(LimeMethod.ALUMINIUM).source == "rayment-lyons-2011"


@pytest.mark.parametrize(("column", "value"), [("ph_cacl2", 47.0), ("clay_percent", -1.0)])
def test_a_result_that_cannot_be_is_refused(column, value):
    with pytest.raises(SoilInputError, match=column):
        lime_need(LimeMethod.TEXTURE, LimeSoil(**{column: value}), choices=TO_5_5)


def test_many_places_are_worked_out_as_one_by_one():
    ph = np.array([4.2, 4.8, np.nan, 5.4, 5.8])
    density = np.array([1.3, 1.5, 1.4, np.nan, 1.2])
    soil = LimeSoil(ph_cacl2=ph, buffer_capacity_cmol_kg_ph=2.5, bulk_density_t_m3=density)
    together = lime_need(LimeMethod.MEASURED_BUFFERING, soil, choices=TO_5_5).need_t_ha
    for place, need in enumerate(together):
        alone = LimeSoil(
            ph_cacl2=ph[place], buffer_capacity_cmol_kg_ph=2.5, bulk_density_t_m3=density[place]
        )
        single = lime_need(LimeMethod.MEASURED_BUFFERING, alone, choices=TO_5_5)
        assert single.need_t_ha == pytest.approx(need, nan_ok=True)


@given(st.floats(3.5, 7.0), st.floats(0.2, 8), st.floats(0, 5), st.floats(5.0, 6.0))
def test_more_buffering_never_needs_less_lime(ph, capacity, more, target):
    soil = LimeSoil(
        ph_cacl2=ph, buffer_capacity_cmol_kg_ph=[capacity, capacity + more], bulk_density_t_m3=1.3
    )
    choices = LimeChoices(target_ph_cacl2=target)
    less, much = lime_need(LimeMethod.MEASURED_BUFFERING, soil, choices=choices).need_t_ha
    assert 0 <= less <= much
    if ph >= min(target, 5.5):
        assert much == 0


@given(st.sampled_from(list(LimeMethod)), st.floats(3.6, 7.0), st.floats(0, 1))
def test_a_higher_ph_never_needs_more_lime(method, ph, more):
    columns = {name: getattr(WHOLE, name) for name in LimeSoil.__dataclass_fields__}
    soil = LimeSoil(**columns | {"ph_cacl2": [ph, ph + more]})
    acid, milder = lime_need(method, soil, choices=CHOICES).need_t_ha
    assert np.isnan(acid) or milder <= acid + 1e-9


def test_a_ph_worked_out_from_the_other_test_is_refused():
    soil = LimeSoil(
        ph_cacl2=ph_cacl2_from_water([5.5]), buffer_capacity_cmol_kg_ph=2.0, bulk_density_t_m3=1.3
    )
    with pytest.raises(SoilInputError, match="ph_cacl2 is an estimate") as caught:
        lime_need(LimeMethod.MEASURED_BUFFERING, soil, choices=TO_5_5)
    assert "measured" in caught.value.note.mend
