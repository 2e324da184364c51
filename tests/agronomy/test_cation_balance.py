"""Cation balance: the sum is right, the evidence is told, and it is never a default."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.cation_balance import (
    EVIDENCE_NOTE,
    Cation,
    CationSoil,
    cation_balance_need,
    cation_deficit,
    cation_target,
    cation_targets,
    published_span_percent,
)
from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.potassium import potassium_need
from vrxapp.agronomy.sufficiency_values import HarvestRemoval, LayerTest
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade

LAYER = {"depth_cm": 15.0, "bulk_density_t_m3": 1.3}
MILLIGRAMS = {Cation.CALCIUM: 200.39, Cation.MAGNESIUM: 121.525, Cation.POTASSIUM: 390.98}


def soil_of(present, **columns):
    base = {"cec_cmol_kg": 10.0, "free_salt": "none", **LAYER}
    return CationSoil(present, **{**base, **columns})


@pytest.mark.parametrize(
    ("cation", "present", "expected"),
    [
        # Eq. K1 with the shares of bear-1945: 65, 10 and 5 %
        pytest.param(Cation.CALCIUM, 5.0, 586.141, id="BCSR-01"),
        pytest.param(Cation.MAGNESIUM, 0.5, 118.487, id="BCSR-02"),
        pytest.param(Cation.POTASSIUM, 0.2, 228.723, id="BCSR-03"),
        pytest.param(Cation.POTASSIUM, 0.8, 0.0, id="BCSR-04"),
    ],
)
def test_deficit_gives_the_handbook_value(cation, present, expected):
    target = cation_target("bear", cation)
    found = cation_deficit(cation, present, 10.0, target_percent=target.low_percent, **LAYER)
    assert found == pytest.approx(expected, abs=0.5 if expected else 0.0)
    need = cation_balance_need(target, soil_of([present]))
    assert need.amount == pytest.approx([expected], abs=0.5 if expected else 0.0)


@pytest.mark.parametrize("present", [0.2, 0.8])
def test_the_evidence_is_told_with_every_result(present):
    need = cation_balance_need(cation_target("bear", Cation.POTASSIUM), soil_of([present]))
    assert need.doubt[0] == EVIDENCE_NOTE
    assert EVIDENCE_NOTE in need.cautions
    told = told_for(Trail(need.steps), 0)
    assert any(s.text == EVIDENCE_NOTE and s.source == "kopittke-menzies-2007" for s in told)


def test_the_span_of_published_targets_is_told():
    # bear-1945 65 %, crop-tech-cafe 60-75 %; the unverified 65-85 % is left out
    assert published_span_percent(Cation.CALCIUM) == (60.0, 75.0)
    need = cation_balance_need(cation_target("bear", Cation.CALCIUM), soil_of([5.0]))
    assert "from 60 to 75 %" in told_for(Trail(need.steps), 0)[0].text


def test_the_low_end_of_a_range_is_aimed_at():
    need = cation_balance_need(cation_target("albrecht", Cation.POTASSIUM), soil_of([0.3]))
    assert need.amount.tolist() == [0.0]


def test_the_difference_to_sufficiency_is_told():
    # bear asks (0.5 - 0.2) x 390.98 x 1950 / 1000 = 228.7; sufficiency leaves 0.2 alone
    sufficient = potassium_need(
        LayerTest("exch_k", "0-10", [0.2], bulk_density_t_m3=1.3),
        critical_range_of("k-wheat-exchangeable"),
        harvest=HarvestRemoval(3.0, 4.0),
    )
    need = cation_balance_need(
        cation_target("bear", Cation.POTASSIUM), soil_of([0.2]), sufficiency=sufficient
    )
    told = [sentence.text for sentence in told_for(Trail(need.steps), 0)]
    assert any("Sufficiency asks for 0 kg K/ha; this method for 228.72 more" in t for t in told)


def test_a_need_of_another_element_does_not_compare():
    need = cation_balance_need(cation_target("bear", Cation.POTASSIUM), soil_of([0.2]))
    with pytest.raises(SoilInputError, match="does not compare"):
        cation_balance_need(cation_target("bear", Cation.CALCIUM), soil_of([5.0]), sufficiency=need)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"present": [np.nan]}, "not measured"),
        ({"present": [0.2], "cec_cmol_kg": np.nan}, "no exchange capacity"),
        ({"present": [0.2], "free_salt": "present"}, "counted as exchangeable"),
        ({"present": [12.0]}, "counted as exchangeable"),
        ({"present": [0.2], "free_salt": ""}, "not told"),
        ({"present": [0.2], "bulk_density_t_m3": np.nan}, "no bulk density"),
    ],
)
def test_what_cannot_be_trusted_is_named(columns, words):
    need = cation_balance_need(cation_target("bear", Cation.POTASSIUM), soil_of(**columns))
    assert np.isnan(need.amount).tolist() == [True]
    assert words in need.reason[0]


def test_an_unknown_word_on_free_salt_is_refused():
    with pytest.raises(SoilInputError, match="free_salt"):
        cation_balance_need(
            cation_target("bear", Cation.POTASSIUM), soil_of([0.2], free_salt="some")
        )


def test_an_unknown_scheme_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="bear"):
        cation_target("nobody", Cation.CALCIUM)


@pytest.mark.parametrize("row", cation_targets(), ids=lambda row: f"{row.scheme} {row.cation}")
def test_an_unverified_target_says_so_in_its_name(row):
    assert ("(unverified)" in row.name) == (row.grade is Grade.UNVERIFIED)
    assert 0 < row.low_percent <= row.high_percent <= 100


@given(st.sampled_from(list(Cation)), st.floats(0.0, 10.0), st.floats(1.0, 100.0))
def test_the_deficit_brings_the_share_to_its_target_and_no_further(cation, present, target):
    lacking = cation_deficit(cation, present, 10.0, target_percent=target, **LAYER)
    after = present + lacking * 1000.0 / (1950.0 * MILLIGRAMS[cation])
    assert after == pytest.approx(max(present, target / 10.0), rel=1e-6)


@given(st.lists(st.floats(0.0, 10.0), min_size=2, max_size=10))
def test_a_fuller_exchange_never_asks_for_more(present):
    need = cation_balance_need(cation_target("bear", Cation.CALCIUM), soil_of(np.sort(present)))
    assert (np.diff(need.amount) <= 1e-9).all()
    assert (need.amount >= 0).all()


def test_one_place_without_a_dimension_is_worked_out_too():
    need = cation_balance_need(cation_target("bear", Cation.CALCIUM), soil_of(5.0))
    assert np.shape(need.amount) == np.shape(need.doubt) == ()
