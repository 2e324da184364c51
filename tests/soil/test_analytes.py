"""Analytes by method: each name stands for one, and a name without its method for none."""

import pytest

from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import analyte_called, analytes
from vrxapp.units import conversion_factor, known_unit, laboratory_units


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Bray 1 P", "bray1_p"),
        ("Phosphorus (Bray-1)", "bray1_p"),
        ("Mehlich 3 Potassium", "mehlich3_k"),
        ("K (Mehlich-3)", "mehlich3_k"),
        ("M3-P", "mehlich3_p"),
        ("BSES P", "bses_p"),
        ("DGT-P", "dgt_p"),
        ("Colwell Potassium", "colwell_k"),
        ("Potassium (Colwell)", "colwell_k"),
        ("Bicarb K", "bicarbonate_k"),
        ("NH4-N", "ammonium_n"),
        ("Total Nitrogen (Kjeldahl)", "total_n"),
        ("Sulfur (MCP)", "mcp_s"),
        ("DTPA Zinc", "dtpa_zn"),
        ("Copper (DTPA)", "dtpa_cu"),
        ("Manganese (EDTA)", "edta_mn"),
        ("Boron (hot CaCl2)", "boron_cacl2"),
        ("Boron (hot water)", "boron_water"),
        ("Organic Matter", "organic_matter"),
        ("ECe", "ec_e"),
        ("ESP", "esp"),
        ("Ca saturation", "ca_saturation"),
        ("Base saturation - Mg", "mg_saturation"),
        ("K % of CEC", "k_saturation"),
        ("Na % of cations", "esp"),
        ("Aluminium (CaCl2)", "al_cacl2"),
        ("Clay (<2 µm)", "clay"),  # the micro sign and the Greek letter are one
        ("Gravel (>2 mm)", "gravel"),
        ("Bulk density", "bulk_density"),
        ("Total P", "total_p"),
        ("PBI (unadjusted)", "pbi_unadjusted"),
    ],
)
def test_a_laboratorys_name_stands_for_one_analyte_by_one_method(name, key):
    assert analyte_called(name).key == key


@pytest.mark.parametrize(
    "name",
    [
        *("Phosphorus", "P", "Potassium", "K", "Calcium", "Magnesium", "Sulfur", "Zinc", "Cu"),
        *("Boron", "B", "Manganese", "Nitrogen", "Aluminium", "Conductivity", "Texture"),
    ],
)
def test_a_name_without_its_method_stands_for_none(name):
    assert analyte_called(name) is None


def test_no_spelling_stands_for_two_analytes():
    owners = {}
    for known in analytes():
        for text in {known.key, comparable(known.name), *known.spellings}:
            assert owners.setdefault(text, known.key) == known.key
    assert len({known.key for known in analytes()}) == len(analytes())


@pytest.mark.parametrize("known", analytes(), ids=lambda a: a.key)
def test_each_analyte_is_whole(known):
    assert known.method
    assert known.lowest < known.highest
    assert known.unit in {row.unit for row in laboratory_units()}
    # a sheet without a unit is read in the default one, which must be one of the analyte's
    assert conversion_factor(known_unit(known.default_unit), known.unit, ion=known.ion) > 0
    # spellings are looked up as they are compared
    assert [comparable(text) for text in known.spellings] == list(known.spellings)
