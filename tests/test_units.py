"""Units and formulas against independent libraries and the handbook's check values."""

import periodictable
import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from vrxapp.errors import UnknownChoiceError
from vrxapp.units import (
    KG_HA_PER_POUND_ACRE,
    conversion_factor,
    known_unit,
    laboratory_units,
    mass_fraction,
    milligrams_per_cmol,
)

REGISTRY = pint.UnitRegistry()
# pint's own acre is that of the old surveys, 4 parts in a million larger
REGISTRY.define("ordinary_acre = 4840 * yard ** 2")


@pytest.mark.parametrize(
    ("element", "formula", "expected", "tolerance"),
    [  # Rayment and Lyons 2011, Tables App. 5.4 and 5.5, and arithmetic where they slip
        pytest.param("P", "P2O5", 0.436429, 1e-3, id="OXID-01"),
        pytest.param("K", "K2O", 0.83015, 5e-3, id="OXID-03"),
        pytest.param("Ca", "CaO", 0.714696, 1e-3, id="OXID-05"),
        pytest.param("Mg", "MgO", 0.603042, 1e-3, id="OXID-07"),
        pytest.param("N", "NO3", 1 / 4.42664, 1e-4, id="ION-01"),
        pytest.param("S", "SO4", 1 / 2.99613, 1e-4, id="ION-02"),
        pytest.param("P", "PO4", 1 / 3.06612, 1e-4, id="ION-03"),
        pytest.param("S", "SO3", 1 / 2.4971, 1e-4, id="ION-04"),
    ],
)
def test_mass_fraction_gives_the_handbook_value(element, formula, expected, tolerance):
    assert mass_fraction(element, formula) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    "formula",
    [
        *("P2O5", "K2O", "CaO", "MgO", "SO3", "NO3", "CaCO3", "KCl", "Ca(NO3)2", "CO(NH2)2"),
        *("Ca5(PO4)3F", "CaMg(CO3)2", "(NH4)2SO4", "FeSO4", "Na2MoO4", "CdSO4"),
    ],
)
def test_mass_fraction_agrees_with_periodictable(formula):
    oracle = periodictable.formula(formula)
    for element, fraction in oracle.mass_fraction.items():
        assert mass_fraction(str(element), formula) == pytest.approx(fraction, rel=2e-4)


@pytest.mark.parametrize(
    ("formula", "written_out"),
    [
        ("CaSO4.2H2O", "CaSO4H4O2"),
        ("5Ca(NO3)2.NH4NO3.10H2O", "Ca5N10O30NH4NO3H20O10"),
        ("Na2B4O7.10H2O", "Na2B4O7H20O10"),
    ],
)
def test_water_of_crystals_counts_as_often_as_it_stands(formula, written_out):
    for element in ("Ca", "S", "N", "B", "H", "O"):
        assert mass_fraction(element, formula) == pytest.approx(
            mass_fraction(element, written_out), rel=1e-12
        )


@pytest.mark.parametrize(
    ("ion", "charge", "expected", "tolerance"),
    [
        pytest.param("Ca", 2, 200.39, 0.02, id="UNIT-01"),
        pytest.param("Mg", 2, 121.525, 0.02, id="UNIT-02"),
        pytest.param("K", 1, 390.98, 0.02, id="UNIT-03"),
        pytest.param("Na", 1, 229.90, 0.02, id="UNIT-04"),
        pytest.param("Al", 3, 89.94, 0.02, id="UNIT-05"),
        pytest.param("H", 1, 10.08, 0.01, id="UNIT-06"),
    ],
)
def test_a_centimole_of_charge_weighs_what_the_handbook_says(ion, charge, expected, tolerance):
    assert milligrams_per_cmol(ion) == pytest.approx(expected, abs=tolerance)
    oracle_mg = 10.0 * getattr(periodictable, ion).mass / charge
    assert milligrams_per_cmol(ion) == pytest.approx(oracle_mg, rel=2e-4)


@pytest.mark.parametrize(
    ("spelling", "unit"),
    [("ppm", "mg/kg"), ("MEQ/100g", "cmol(+)/kg"), ("mS/cm", "dS/m"), ("µS/cm", "uS/cm")],
)
def test_laboratory_spellings_are_known(spelling, unit):
    # UNIT-07 and UNIT-08: meq/100 g = cmol(+)/kg, ppm = mg/kg (Rayment and Lyons, App. 5.3)
    assert known_unit(spelling) == unit


@pytest.mark.parametrize(
    ("start", "end", "pint_start", "pint_end"),
    [
        ("%", "mg/kg", "percent", "mg/kg"),
        ("g/kg", "mg/kg", "g/kg", "mg/kg"),
        ("g/kg", "%", "g/kg", "percent"),
        ("uS/cm", "dS/m", "uS/cm", "dS/m"),
        ("mS/m", "dS/m", "mS/m", "dS/m"),
        ("ug/L", "mg/L", "ug/L", "mg/L"),
        ("lb/ac", "kg/ha", "pound/ordinary_acre", "kg/hectare"),
        ("t/ac", "kg/ha", "metric_ton/ordinary_acre", "kg/hectare"),
        ("short ton/ac", "t/ha", "short_ton/ordinary_acre", "metric_ton/hectare"),
        ("long ton/ac", "t/ha", "long_ton/ordinary_acre", "metric_ton/hectare"),
    ],
)
def test_factors_agree_with_pint(start, end, pint_start, pint_end):
    oracle = REGISTRY.Quantity(1.0, pint_start).to(pint_end).magnitude
    assert conversion_factor(start, end) == pytest.approx(oracle, rel=1e-12)


@pytest.mark.parametrize(
    ("amount", "start", "end", "expected", "tolerance"),
    [  # the international pound and acre; an extension page prints AREA-03
        pytest.param(100.0, "lb/ac", "kg/ha", 112.085, 0.01, id="AREA-01"),
        pytest.param(1.0, "t/ac", "t/ha", 2.47105, 1e-4, id="AREA-02"),
        pytest.param(1.0, "t/ha", "short ton/ac", 0.44609, 2e-5, id="AREA-03"),
    ],
)
def test_areas_give_the_handbook_value(amount, start, end, expected, tolerance):
    assert amount * conversion_factor(start, end) == pytest.approx(expected, abs=tolerance)


def test_a_bare_percent_beside_a_saturation_is_a_share_of_the_exchange_capacity():
    assert conversion_factor("%", "% of CEC") == 1.0
    with pytest.raises(UnknownChoiceError, match="cannot be turned"):
        conversion_factor("mg/kg", "% of CEC")


@pytest.mark.parametrize("by_area_or_volume", ["lb/ac", "kg/ha", "mg/L"])
def test_an_amount_by_area_or_volume_is_no_concentration(by_area_or_volume):
    with pytest.raises(UnknownChoiceError, match="cannot be turned"):
        conversion_factor(by_area_or_volume, "mg/kg")


_UNITS = [row.unit for row in laboratory_units()]


@given(st.floats(1e-6, 1e6), st.sampled_from(_UNITS), st.sampled_from(_UNITS))
def test_a_value_comes_back_from_any_unit_it_can_be_turned_into(value, start, end):
    try:
        there = value * conversion_factor(start, end, ion="K")
    except UnknownChoiceError:
        assume(False)
    if {start, end} != {"%", "% of CEC"}:
        assert there * conversion_factor(end, start, ion="K") == pytest.approx(value, rel=1e-12)


@given(st.floats(0.0, 1e6), st.sampled_from(["Ca", "Mg", "K", "Na", "Al"]))
def test_charge_and_mass_convert_there_and_back(value, ion):
    there = value * conversion_factor("cmol(+)/kg", "mg/kg", ion=ion)
    back = there * conversion_factor("mg/kg", "cmol(+)/kg", ion=ion)
    assert back == pytest.approx(value, rel=1e-12)


def test_a_hundred_pounds_by_the_acre_are_112_kilograms_by_the_hectare():
    # AREA-01, and an oracle of its own, whose acre is the survey acre
    found = 100 * KG_HA_PER_POUND_ACRE
    oracle = REGISTRY.Quantity(100.0, "pound / acre").to("kg / hectare").magnitude
    assert found == pytest.approx(112.085, abs=0.01)
    assert found == pytest.approx(oracle, rel=1e-5)


def test_different_quantities_do_not_convert():
    with pytest.raises(UnknownChoiceError, match="cannot be turned"):
        conversion_factor("mg/kg", "dS/m")


@pytest.mark.parametrize(
    "formula", ["", "Xx", "P2(O5", "p2o5", "P2O5)", "()", "5", "CaSO4.", ".2H2O"]
)
def test_a_formula_that_cannot_be_read_is_refused(formula):
    with pytest.raises(UnknownChoiceError):
        mass_fraction("P", formula)
