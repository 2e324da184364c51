"""Results by charge and by mass, as elements and oxides, against the handbook and periodictable."""

import numpy as np
import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.conversions import (
    charge_from_mass,
    compound_from_element,
    element_from_compound,
    mass_from_charge,
)
from vrxapp.units import conversion_factor, known_unit

IONS = ["Ca", "Mg", "K", "Na", "Al", "H"]
OXIDES = [("P", "P2O5"), ("K", "K2O"), ("Ca", "CaO"), ("Mg", "MgO"), ("S", "SO3"), ("N", "NO3")]


@pytest.mark.parametrize(
    ("ion", "charge", "expected", "tolerance"),
    [  # arithmetic from IUPAC masses: 10 M / z
        pytest.param("Ca", 5.0, 1001.95, 0.1, id="UNIT-01"),
        pytest.param("Mg", 2.0, 243.05, 0.05, id="UNIT-02"),
        pytest.param("Al", 1.0, 89.94, 0.02, id="UNIT-05"),
        pytest.param("H", 1.0, 10.08, 0.01, id="UNIT-06"),
    ],
)
def test_charge_becomes_mass(ion, charge, expected, tolerance):
    assert mass_from_charge(charge, ion) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("ion", "mass", "expected", "tolerance"),
    [
        pytest.param("K", 195.49, 0.5, 0.0005, id="UNIT-03"),
        pytest.param("Na", 460.0, 2.00087, 0.001, id="UNIT-04"),
    ],
)
def test_mass_becomes_charge(ion, mass, expected, tolerance):
    assert charge_from_mass(mass, ion) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("value", "spelling", "unit"),
    [  # Rayment and Lyons 2011, Table App. 5.3
        pytest.param(3.7, "meq/100g", "cmol(+)/kg", id="UNIT-07"),
        pytest.param(42.0, "ppm", "mg/kg", id="UNIT-08"),
    ],
)
def test_two_names_of_one_unit_change_nothing(value, spelling, unit):
    assert value * conversion_factor(known_unit(spelling), unit) == value


@pytest.mark.parametrize(
    ("element", "compound", "expected", "tolerance"),
    [  # Rayment and Lyons 2011, Table App. 5.5; arithmetic for CaO, whose printed factor slips
        pytest.param("P", "P2O5", 0.436429, 0.001, id="OXID-01"),
        pytest.param("K", "K2O", 0.83015, 0.005, id="OXID-03"),
        pytest.param("Ca", "CaO", 0.714696, 0.001, id="OXID-05"),
        pytest.param("Mg", "MgO", 0.603042, 0.001, id="OXID-07"),
    ],
)
def test_an_oxide_becomes_its_element(element, compound, expected, tolerance):
    found = element_from_compound(1.0, element, compound=compound)
    assert found == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("element", "compound", "expected", "tolerance"),
    [  # Rayment and Lyons 2011, Tables App. 5.4 and 5.5; arithmetic for CaO, MgO and SO3
        pytest.param("P", "P2O5", 2.29132, 0.001, id="OXID-02"),
        pytest.param("K", "K2O", 1.2046, 0.006, id="OXID-04"),
        pytest.param("Ca", "CaO", 1.3992, 0.001, id="OXID-06"),
        pytest.param("Mg", "MgO", 1.65826, 0.001, id="OXID-08"),
        pytest.param("N", "NO3", 4.42664, 0.002, id="ION-01"),
        pytest.param("S", "SO4", 2.99613, 0.002, id="ION-02"),
        pytest.param("P", "PO4", 3.06612, 0.002, id="ION-03"),
        pytest.param("S", "SO3", 2.4971, 0.002, id="ION-04"),
    ],
)
def test_an_element_becomes_its_oxide_or_ion(element, compound, expected, tolerance):
    found = compound_from_element(1.0, element, compound=compound)
    assert found == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(("nitrate", "expected"), [pytest.param(62.0, 14.0061, id="ION-05")])
def test_nitrate_becomes_nitrate_nitrogen(nitrate, expected):
    found = element_from_compound(nitrate, "N", compound="NO3")
    assert found == pytest.approx(expected, abs=0.01)


@given(st.floats(0.0, 1e5), st.sampled_from(IONS))
def test_charge_comes_back_from_mass(charge, ion):
    assert charge_from_mass(mass_from_charge(charge, ion), ion) == pytest.approx(charge)


@given(st.floats(0.0, 1e5), st.sampled_from(OXIDES))
def test_an_element_comes_back_from_its_oxide(amount, pair):
    element, compound = pair
    there = compound_from_element(amount, element, compound=compound)
    assert there >= amount
    assert element_from_compound(there, element, compound=compound) == pytest.approx(amount)


@pytest.mark.parametrize(("element", "compound"), OXIDES)
def test_factors_agree_with_periodictable(element, compound):
    oracle = periodictable.formula(compound)
    share = {str(k): v for k, v in oracle.mass_fraction.items()}[element]
    found = element_from_compound(1.0, element, compound=compound)
    assert found == pytest.approx(share, rel=2e-4)


def test_a_missing_result_stays_missing():
    assert np.isnan(mass_from_charge([np.nan, 1.0], "Ca")).tolist() == [True, False]


@pytest.mark.parametrize("wrong", [-0.1, np.inf])
def test_what_cannot_be_an_amount_is_refused(wrong):
    with pytest.raises(SoilInputError, match="charge_cmol_kg"):
        mass_from_charge([1.0, wrong], "Ca")


def test_an_element_that_the_compound_lacks_is_refused():
    with pytest.raises(SoilInputError, match="K2O holds no P"):
        element_from_compound(1.0, "P", compound="K2O")


def test_an_ion_without_a_charge_is_refused():
    with pytest.raises(UnknownChoiceError, match="not an exchangeable ion"):
        mass_from_charge(1.0, "P")
