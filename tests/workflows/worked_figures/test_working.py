"""Figures worked as people type them: check values, tables, cautions, and one plain error."""

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.agronomy.lime_quality import SPLIT_ADVICE
from vrxapp.errors import MissingInputError, UnknownChoiceError, VrxError
from vrxapp.sources import Grade
from vrxapp.workflows.worked_figures.example import example_inputs
from vrxapp.workflows.worked_figures.figure_inputs import InputKind, figure_inputs
from vrxapp.workflows.worked_figures.registry import FIGURES, figure_called
from vrxapp.workflows.worked_figures.working import with_labels, worked


def work(name, /, **typed):
    return worked(figure_called(name), typed)


def first(name, /, **typed):
    return work(name, **typed).lines[0].values


@pytest.mark.parametrize(
    ("name", "typed", "expected"),
    [
        # Slavich and Petterson 1993, as the handbook prints it
        pytest.param("ece-by-texture", {"ec": "0.5", "texture": "loam"}, 4.75, id="ECE-01"),
        # Rayment and Lyons 2011, Table 14.2
        pytest.param("ece-by-line", {"ec": "0.5", "line": "talsma-1968"}, 3.2, id="ECE-03"),
        pytest.param("ece-by-line", {"ec": "0.5", "line": "Shaw 1981"}, 2.103, id="ECE-04"),
        # Richards 1954
        pytest.param("esp-from-sar", {"sar": "5"}, 5.76262, id="ESP-04"),
        # atomic masses
        pytest.param("mass-from-charge", {"charge": "5", "ion": "ca"}, 1001.95, id="UNIT-01"),
        pytest.param(
            "compound-from-element",
            {"amount": "1", "element": "P", "compound": "P2O5"},
            2.29132,
            id="OXID-02",
        ),
        # Burkitt et al. 2002
        pytest.param("pbi-with-olsen", {"sol": "60", "olsen": "15"}, 87.4967, id="PBI-05"),
        # DPIRD, Developing a liming program, Table 1
        pytest.param("lime-for-harvest", {"y": "2", "lime": "lupin_grain"}, 40.0, id="ACID-09"),
        pytest.param(
            "lime-for-nitrogen",
            {"n_kg_ha": "60", "nit": "urea", "leach": "0.25"},
            53.5907,
            id="ACID-07",
        ),
        # Rayment and Lyons 2011, method 16A1
        pytest.param("lime-fineness", {"mass": "78.8 10 2.4 7.8"}, 85.28, id="LIME-07"),
        # Cline 1944
        pytest.param("cores-needed", {"cv": "50", "error": "20"}, 25.0, id="SAMP-02"),
        # GRDC, sampling of banded fertiliser
        pytest.param("cores-between-bands", {"row": "0.25"}, 6.56, id="SMP-09"),
    ],
)
def test_a_published_check_value_comes_out_of_the_bench(name, typed, expected):
    (value,) = first(name, **typed)
    assert value == pytest.approx(expected, rel=1e-3)


@settings(deadline=None)  # the first reads tables
@given(
    st.lists(st.floats(0.0, 1e6), min_size=1, max_size=5),
    st.sampled_from(("Ca", "Mg", "K", "Na", "Al", "H")),
)
def test_charge_and_mass_are_the_way_back_of_each_other(charges, ion):
    typed = "; ".join(map(repr, charges))
    mass = first("mass-from-charge", charge=typed, ion=ion)
    back = first("charge-from-mass", mass="; ".join(map(repr, mass)), ion=ion)
    assert back == pytest.approx(charges, rel=1e-9, abs=1e-12)


@settings(deadline=None)  # the first reads tables
@given(
    st.floats(0.0, 1e4),
    st.sampled_from((("P", "P2O5"), ("K", "K2O"), ("Ca", "CaO"), ("N", "NO3"), ("S", "SO4"))),
)
def test_element_and_compound_are_the_way_back_of_each_other(amount, pair):
    element, compound = pair
    named = {"element": element, "compound": compound}
    (oxide,) = first("compound-from-element", amount=repr(amount), **named)
    (back,) = first("element-from-compound", amount=repr(oxide), **named)
    assert back == pytest.approx(amount, rel=1e-9)


@settings(deadline=None)  # the first reads tables
@given(st.floats(4.0, 8.5))
def test_both_ph_are_the_way_back_of_each_other(ph):
    (calcium,) = first("ph-in-calcium-chloride", ph=repr(ph))
    (water,) = first("ph-in-water", ph=repr(calcium))
    assert water == pytest.approx(ph)


@settings(deadline=None)  # the first reads tables
@given(st.floats(1.0, 99.0), st.floats(1.0, 500.0))
def test_relative_yield_and_soil_test_are_the_way_back_of_each_other(percent, critical):
    (test,) = first("soil-test-for-yield", rel=repr(percent), critical=repr(critical))
    (back,) = first("relative-yield", soil=repr(test), critical=repr(critical))
    assert back == pytest.approx(percent)


def test_a_number_out_of_a_table_brings_its_name_and_source():
    working = work("nitrogen-lost", urea="50", loss="vertosol_fallow")
    assert working.lines[0].values == (5.5,)
    assert working.with_inputs[1].endswith(
        "11 % (Urea on fallow, Vertosols of north-west New South Wales)"
    )
    assert "grdc-2014-volatilisation" in {cited.source.key for cited in working.sources}


def test_what_nobody_verified_is_said_beside_the_result():
    working = work("yield-under-salt", ece="8", crop="wheat")
    assert working.cautions[0] == "From memory and unverified: maas-hoffman-1977."
    known = work("yield-under-salt", ece="4", crop="potato")
    assert not any("unverified" in caution for caution in known.cautions)
    grades = {cited.source.key: cited.source.grade for cited in working.sources}
    assert grades["maas-hoffman-1977"] is Grade.UNVERIFIED


@pytest.mark.parametrize(
    ("name", "typed", "caution"),
    [
        ("humate-net-of-cut", dict.fromkeys(("fertiliser_o", "humate_k"), "1"), "not bought"),
        ("mixed-bulk-density", {"mass": "1, 1", "bulk": "900, 800"}, "Calibrate with the mix"),
        ("relative-yield", {"soil": "1", "crit": "2"}, "no rate follows"),
        ("salt-index", {"product": "map"}, "leaves out ammonia"),
    ],
)
def test_what_a_module_says_beside_its_figure_is_told(name, typed, caution):
    if name == "humate-net-of-cut":
        typed |= {"fertiliser_p": "1", "humate_p": "1"}
    assert any(caution in told for told in work(name, **typed).cautions)


def test_the_caution_of_a_yes_or_no_is_told_only_with_a_yes():
    assert SPLIT_ADVICE not in work("lime-too-much-on-top", pure="1", texture="sand").cautions
    assert SPLIT_ADVICE in work("lime-too-much-on-top", pure="9", texture="sand").cautions


def test_a_missing_value_says_why_and_stays_missing():
    line = work("ece-by-line", ec="0.5, 0.1, ?", line="shaw-1981").lines[0]
    assert line.told == ("2.103", "no value", "no value")
    assert math.isnan(line.values[2])
    assert line.text.endswith("(where the line would go below zero)")


def test_one_value_goes_with_any_number_of_places():
    assert first("soil-mass", depth="10", bulk="1, 1.3, 1.5") == pytest.approx((1000, 1300, 1500))


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("soil-mass", {"depth": "10"}, r"bulk_density_t_m3: not given yet\. Give.*\[t/m³\]"),
        ("soil-mass", {"width": "1"}, r"no input 'width'\. Use one of: .*depth_cm"),
        ("soil-mass", {"depth": "ten", "bulk": "1"}, r"depth_cm: 'ten' is no number\..*in cm"),
        ("soil-mass", {"depth": "-1", "bulk": "1"}, r"depth_cm must be above zero.*-1.*unit"),
        ("soil-mass", {"depth": "1,300", "bulk": "1"}, r"depth_cm: '1,300' may be one.*Write 1300"),
        ("soil-mass", {"depth": "1, 2", "bulk": "1, 2, 3"}, r"depth_cm 2 and bulk_density_t_m3 3"),
        ("soil-mass", {"depth": ",", "bulk": "1"}, r"depth_cm is empty\. Give numbers"),
        ("ece-by-line", {"ec": "1", "line": "shaw"}, r"line: there is no 'shaw'.*shaw-1981"),
        ("esp-from-sar", {"sar": "-2"}, r"sar must not be negative.*-2.*Check"),
        ("total-carbon", {"c": "1", "f": "1, 2"}, r"factor is one number, not 2.*1, 2"),
        ("humate-metals", {"content": "Cd"}, r"content_mg_kg: 'Cd' is no name.*Cd 2"),
        ("humate-metals", {"content": "Xx 2"}, r"content_mg_kg: there is no 'Xx'.*Cd"),
        (
            "humate-credits",
            {"material": "fulvic", "is": "maybe"},
            r"is_accepted is yes or no.*maybe",
        ),
        ("label-rate-check", {"rate": "5", "label": "9", "name": "It"}, r"It would.*below the 9"),
        (
            "humate-with-starter",
            {"starter_": "1", "starter": "calcium_nitrate", "humate": "x", "share": "5"},
            r"there is no 'x'",
        ),
    ],
)
def test_bad_input_gives_one_plain_error_with_input_value_and_mend(name, typed, told):
    with pytest.raises(VrxError) as caught:
        work(name, **typed)
    assert re.search(told, str(caught.value))
    assert caught.value.note.mend or "label" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_an_error_is_told_in_the_words_of_the_form_but_plain_words_stay():
    figure = figure_called("label-rate-check")
    with pytest.raises(VrxError) as caught:
        work("label-rate-check", rate="5", label="9", name="It")
    assert with_labels(figure, str(caught.value)) == str(caught.value)
    assert with_labels(figure, "rate is empty.") == "Rate that is to be sprayed is empty."
    mass = figure_called("soil-mass")
    told = with_labels(
        mass, "the lists differ in length: depth_cm 2 and bulk_density_t_m3 3 values."
    )
    assert "Thickness of the layer 2 and Dry mass per volume of fine earth 3" in told


def test_a_beginning_that_several_inputs_share_is_not_guessed():
    told = r"'fertiliser' may be several inputs.*fertiliser_off_kg_ha, fertiliser_price_per_kg"
    with pytest.raises(UnknownChoiceError, match=told):
        work("humate-net-of-cut", fertiliser="1")


def test_what_is_missing_is_told_all_at_once():
    with pytest.raises(MissingInputError, match="slope_t_kg, bend_t_ha_kg2, crop_price_t"):
        work("quadratic-optimum")


ODD = ("-1", "0", "?", "1e-9", "1e9", "99.5", "inf", "1, ?", "-0.5, 3")


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.name)
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_odd_numbers_give_a_result_or_one_plain_error(figure, data):
    typed = dict(example_inputs(figure))
    for entry in figure_inputs(figure):
        if entry.kind in (InputKind.NUMBER, InputKind.NUMBERS) and data.draw(st.booleans()):
            typed[entry.name] = data.draw(st.sampled_from(ODD))
    try:
        told = [line.text for line in worked(figure, typed).lines]
    except VrxError as error:
        told = [str(error)]
    assert all(told)
