"""Columns and results that look as if another unit were meant."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.soil.analytes import analyte, analytes
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable
from vrxapp.soil.unit_checks import unit_notes, usual_ranges
from vrxapp.sources import source

RANGES = {row.key: row for row in usual_ranges()}


def test_milligrams_told_for_centimoles_are_found_at_391_times(make_table):
    # 0.5 cmol(+)/kg of potassium read as 0.5 mg/kg: 0.5 / 391 = 0.00128
    table = make_table({"exch_k": ["0.00128", "0.00102", "0.00153"]})
    (note,) = unit_notes(table)
    assert "in cmol(+)/kg but read as mg/kg (factor 391)" in note.message
    assert note.row == 2
    assert "unit of the column" in note.mend


def test_centimoles_told_for_milligrams_are_found_at_391_times(make_table):
    # 60 mg/kg of potassium read as 0.153 cmol(+)/kg is usual; read as 60 it would be refused
    # at the door, but 8, 12 and 10 mg/kg pass there
    (note,) = unit_notes(make_table({"exch_k": ["8", "12", "10"]}))
    assert "in mg/kg but read as cmol(+)/kg (factor 391)" in note.message


def test_a_thousandfold_conductivity_is_found(make_table):
    (note,) = unit_notes(make_table({"ec_1_5": ["90", "75", "60"]}))
    assert "in uS/cm but read as dS/m (factor 1000)" in note.message


def test_nitrate_told_as_nitrogen_is_found_where_it_no_longer_looks_like_soil(make_table):
    (note,) = unit_notes(make_table({"nitrate_n": ["400", "350", "300"]}))
    assert "nitrate and not nitrate nitrogen (factor 4.43)" in note.message


def test_one_slipped_point_is_told_at_its_row(make_table):
    table = make_table({"ph_cacl2": ["5.1", "0.52", "5.3", "5.0"]})
    (note,) = unit_notes(table)
    assert (note.row, note.column, note.value) == (3, "pH in calcium chloride", "0.52")
    assert "ten times larger (a decimal point) (factor 10)" in note.message
    assert "decimal point" in note.mend


def test_parts_in_a_million_told_for_percent_are_found(make_table):
    # 1500 mg/kg of nitrogen is 0.15 %; 9 % is 90 000 mg/kg
    (note,) = unit_notes(make_table({"total_p": ["9000000", "8000000", "7000000"]}))
    assert "in mg/kg but read as % (factor 10000)" in note.message


def test_percent_told_for_grams_a_kilogram_is_found(make_table):
    (note,) = unit_notes(make_table({"total_n": ["9", "8", "6"]}))
    assert "factor 10)" in note.message


@pytest.mark.parametrize("key", sorted(RANGES))
def test_usual_results_are_not_queried(make_table, key):
    usual = RANGES[key]
    middle = f"{np.sqrt(usual.low * usual.high):.6g}"
    texts = [f"{usual.low:g}", middle, f"{usual.high:g}", "", "0"]
    assert not list(unit_notes(make_table({key: texts})))


def test_limits_and_missing_results_are_passed_over(make_table):
    assert not list(unit_notes(make_table({"exch_al": ["<0.0001", "", ">100"]})))


@pytest.mark.parametrize("key", sorted(RANGES))
def test_each_range_is_of_a_known_analyte_within_what_can_be(key):
    usual, known = RANGES[key], {a.key for a in analytes()}
    assert key in known
    assert analyte(key).lowest <= usual.low < usual.high <= analyte(key).highest
    assert source(usual.source).grade is usual.grade


def column_of_numbers(key, values):
    count = len(values)
    return ResultsTable(
        file="lab.csv",
        file_rows=np.arange(2, count + 2),
        sample_ids=tuple(f"S{i}" for i in range(count)),
        zone_names=("",) * count,
        longitude_degree=np.full(count, np.nan),
        latitude_degree=np.full(count, np.nan),
        depths_cm=("0-10",) * count,
        columns=(AnalyteColumn(analyte(key), np.array(values), np.full(count, "", dtype="<U1")),),
    )


@given(
    st.sampled_from(["exch_ca", "exch_mg", "exch_k", "exch_na"]),
    st.lists(st.floats(0.0, 1.0), min_size=3, max_size=8),
)
def test_no_usual_column_is_queried_whatever_its_spread(key, shares):
    usual = RANGES[key]
    values = [usual.low * (usual.high / usual.low) ** share for share in shares]
    values = np.clip(values, usual.low, usual.high)
    assert not list(unit_notes(column_of_numbers(key, values)))
