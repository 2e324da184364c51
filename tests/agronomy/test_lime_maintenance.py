"""Maintenance lime against the handbook's check values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime_maintenance import (
    lime_for_elemental_sulfur,
    lime_for_harvest,
    lime_for_nitrogen,
    lime_removals,
    nitrogen_acidities,
    nitrogen_acidity,
    printed_acidities,
)
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade

REMOVAL = {row.key: row.lime_kg_t for row in lime_removals()}


@pytest.mark.parametrize(
    ("source", "leached", "n_kg_ha", "expected"),
    [
        pytest.param("ammonium_sulphate", 0.0, 1.0, 3.57271, id="ACID-01"),
        pytest.param("ammonium_sulphate", 1.0, 1.0, 7.14543, id="ACID-02"),
        pytest.param("urea", 0.0, 1.0, 0.0, id="ACID-03"),
        pytest.param("urea", 1.0, 1.0, 3.57271, id="ACID-04"),
        pytest.param("nitrate", 0.0, 1.0, -3.57271, id="ACID-05"),
        pytest.param("dap", 0.0, 1.0, 1.78636, id="ACID-06"),
        pytest.param("urea", 0.25, 60.0, 53.5907, id="ACID-07"),
    ],
)
def test_nitrogen_takes_the_handbook_amount(source, leached, n_kg_ha, expected):
    acid = nitrogen_acidity(source).acid_mol_per_mol_n
    found = lime_for_nitrogen(n_kg_ha, acid, leached_fraction=leached)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("product", "yield_t_ha", "expected"),
    [
        pytest.param("wheat_grain", 3.0, 27.0, id="ACID-08"),
        pytest.param("lupin_grain", 2.0, 40.0, id="ACID-09"),
    ],
)
def test_a_harvest_takes_the_handbook_amount(product, yield_t_ha, expected):
    assert lime_for_harvest(yield_t_ha, REMOVAL[product]) == expected


def test_what_is_from_memory_says_so():
    by_key = {row.key: row.grade for row in (*lime_removals(), *nitrogen_acidities())}
    assert by_key["wheat_grain"] is by_key["urea"] is Grade.PUBLISHED
    assert by_key["lucerne_hay"] is by_key["map"] is Grade.UNVERIFIED


def test_what_cannot_be_is_refused():
    with pytest.raises(SoilInputError, match="leached_fraction"):
        lime_for_nitrogen(10.0, 0.0, leached_fraction=25.0)
    with pytest.raises(UnknownChoiceError, match="sand"):
        nitrogen_acidity("sand")


@given(st.floats(0, 300), st.floats(0, 0.5), st.floats(0, 0.5))
def test_more_leaching_never_needs_less_lime(n_kg_ha, leached, more):
    less = lime_for_nitrogen(n_kg_ha, 0.0, leached_fraction=leached)
    assert lime_for_nitrogen(n_kg_ha, 0.0, leached_fraction=leached + more) >= less


@pytest.mark.parametrize("expected", [pytest.param(3.12183, id="ACID-10")])
def test_elemental_sulfur_takes_the_handbook_amount(expected):
    assert lime_for_elemental_sulfur(1.0, oxidised_fraction=1.0) == pytest.approx(
        expected, abs=0.005
    )
    assert lime_for_elemental_sulfur(1.0, oxidised_fraction=0.0) == 0
    with pytest.raises(SoilInputError, match="oxidised_fraction"):
        lime_for_elemental_sulfur(1.0, oxidised_fraction=50.0)


@pytest.mark.parametrize(
    ("key", "n_percent", "acid", "expected"),
    [
        pytest.param("ammonium_sulphate", 21.0, 1.0, 110.0, id="ACID-11"),
        pytest.param("urea", 46.0, 0.0, 84.0, id="ACID-12"),
    ],
)
def test_a_printed_acidity_holds_half_of_the_nitrogens_acid(key, n_percent, acid, expected):
    printed = {row.key: row.lime_kg_per_100_kg for row in printed_acidities()}[key]
    assert printed == expected
    half_leached = lime_for_nitrogen(n_percent, acid, leached_fraction=0.5)
    assert half_leached == pytest.approx(printed, rel=0.03)
