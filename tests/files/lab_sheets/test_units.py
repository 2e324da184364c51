from vrxapp.files.lab_sheets.units import is_unit_certain, units_of
from vrxapp.soil.analytes import analyte


def test_an_analyte_comes_in_every_unit_that_can_be_turned_into_its_own():
    assert units_of(analyte("exch_ca"))[0] == "cmol(+)/kg"
    assert {"cmol(+)/kg", "mg/kg", "%"} <= set(units_of(analyte("exch_ca")))
    assert "cmol(+)/kg" not in units_of(analyte("colwell_p"))
    assert units_of(analyte("ph_water")) == ("pH",)


def test_a_unit_is_certain_where_there_is_but_one():
    assert is_unit_certain(analyte("pbi"))
    assert not is_unit_certain(analyte("exch_ca"))
