import numpy as np
import pytest

from vrxapp.errors import InputFileError
from vrxapp.soil.results_table import column_of


def test_units_may_stand_in_the_row_under_the_header(read):
    table = read("Sample,Colwell P,PBI,Organic carbon\n,mg/kg,,g/kg\nA,23,80,12\n")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0])
    # 12 g/kg is 1.2 %
    np.testing.assert_allclose(column_of(table, "organic_carbon").values, [1.2])
    np.testing.assert_array_equal(table.file_rows, [3])
    assert table.notes == ()


def test_a_row_of_results_is_never_taken_for_a_row_of_units(refusal):
    # the dash is a unit to some laboratories, and no result to others
    note = refusal("Sample,Colwell P (mg/kg),PBI\n,23,-\nA,24,80\n")
    assert note.message == "the sample id is missing"
    assert (note.row, note.column) == (2, "Sample")


def test_a_limit_is_converted_with_its_unit(read):
    table = read("Sample,Olsen P (g/kg)\nA,<0.005\n")
    column = column_of(table, "olsen_p")
    np.testing.assert_allclose(column.values, [5.0])
    assert column.limits.tolist() == ["<"]


def test_a_unit_that_is_not_told_is_assumed_with_a_note(read):
    table = read("Sample,Colwell P,PBI,pH (water)\nA,23,80,6.1\n")
    (note,) = table.notes  # PBI and pH have but one unit
    assert "no unit is told for Colwell P; mg/kg is assumed" in note.message
    assert (note.file, note.row, note.column) == ("lab.csv", 1, "Colwell P")


def test_a_long_unit_that_is_not_told_is_assumed_with_a_note(read):
    table = read("Sample,Analyte,Value\nA,PBI,80\nA,Colwell P,23\n")
    (note,) = table.notes
    assert "mg/kg is assumed" in note.message
    assert note.row == 3


@pytest.mark.parametrize(
    ("content", "row", "column"),
    [
        ("Sample,Colwell P (uS/cm)\nA,23\n", 1, "Colwell P (uS/cm)"),
        ("Sample,Colwell P,PBI\n,uS/cm,index\nA,23,80\n", 2, "Colwell P"),
        ("Sample,Analyte,Value,Unit\nA,PBI,80,\nA,Colwell P,23,uS/cm\n", 3, "Colwell P"),
    ],
)
def test_an_unknown_unit_is_refused_with_those_there_are(refusal, content, row, column):
    note = refusal(content)
    assert (note.row, note.column, note.value) == (row, column, "uS/cm")
    assert note.message == "'uS/cm' is not a unit known for Colwell P"
    assert note.mend == (
        "Write one of: mg/kg, g/kg, %, mg/L, ug/L, kg/ha, lb/ac, t/ha, t/ac, short ton/ac, "
        "long ton/ac"
    )


def test_a_unit_of_something_else_is_refused(refusal):
    assert refusal("Sample,Colwell P (dS/m)\nA,23\n").value == "dS/m"


def test_two_units_that_disagree_are_refused(refusal):
    note = refusal("Sample,Colwell P (mg/kg)\n,%\nA,23\n")
    assert "two units are told" in note.message
    assert (note.row, note.value) == (2, "%")


def test_two_spellings_of_one_unit_agree(read):
    table = read("Sample,Colwell P (mg/kg)\n,ppm\nA,23\n")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0])


@pytest.mark.parametrize(
    ("content", "row", "column"),
    [
        ("Sample,Colwell P (mg/kg)\nA,23\nB,high\n", 3, "Colwell P (mg/kg)"),
        ("Sample,Analyte,Value,Unit\nA,Colwell P,high,mg/kg\n", 2, "Value"),
    ],
)
def test_text_where_a_number_belongs_is_refused(refusal, content, row, column):
    note = refusal(content)
    assert note.message == "'high' is not a number"
    assert (note.row, note.column, note.value) == (row, column, "high")


def test_a_negative_result_is_refused(refusal):
    note = refusal("Sample,Colwell P (mg/kg)\nA,23\nB,-9\n")
    assert "negative" in note.message
    assert (note.row, note.column, note.value) == (3, "Colwell P (mg/kg)", "-9")


def test_an_impossible_ph_is_refused_and_asks_for_the_likely_one(read):
    with pytest.raises(InputFileError) as caught:
        read("Sample,pH (CaCl2)\nA,5.2\nB,65.0\n")
    assert str(caught.value) == (
        "lab.csv, row 3, column pH (CaCl2): 65.0 is not possible for pH in calcium chloride "
        "(0 to 14). Was it 6.5?"
    )


def test_an_impossible_value_in_another_unit_shows_both(refusal):
    note = refusal("Sample,Colwell P (%)\nA,23\n")
    assert note.message == "23 (230000 mg/kg) is not possible for Colwell P (0 to 2000 mg/kg)"
    assert note.mend == "Check the value and its unit"


def test_words_for_too_little_are_no_result_and_told_once_a_column(read):
    table = read("Sample,Colwell P (mg/kg),PBI\nA,ND,80\nB,trace,n/a\nC,12,-\n")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [np.nan, np.nan, 12.0])
    np.testing.assert_array_equal(column_of(table, "pbi").values, [80.0, np.nan, np.nan])
    limit, empty = table.notes
    assert "'ND' tells no detection limit" in limit.message
    assert "2 such" in limit.message
    assert (limit.row, limit.value) == (2, "ND")
    assert empty.message.endswith("samples: B")


@pytest.mark.parametrize(
    ("position", "message", "column"),
    [
        ("-35.1,147.2", "look swapped", "Latitude"),
        ("547200,6115000", "is not a longitude", "Longitude"),
        ("147.2,-95", "is not a latitude", "Latitude"),
        ("147.2,", "half of the position is missing", "Latitude"),
        (",-35.1", "half of the position is missing", "Longitude"),
        ("<147.2,-35.1", "is not a number", "Longitude"),
        ("147.2E,-35.1", "is not a number", "Longitude"),
    ],
)
def test_an_impossible_position_is_refused(refusal, position, message, column):
    note = refusal(f"Sample,Longitude,Latitude,PBI\nA,147.2,-35.1,80\nB,{position},80\n")
    assert message in note.message
    assert (note.row, note.column) == (3, column)


def test_a_sheet_with_only_half_of_the_positions_is_refused(refusal):
    note = refusal("Sample,Latitude,PBI\nA,-35.1,80\n")
    assert "only one of longitude and latitude" in note.message
    assert note.column == "Latitude"


def test_a_row_longer_than_the_header_is_refused(refusal):
    note = refusal("Sample,PBI\nA,80\nB,80,90\n")
    assert (note.row, note.column, note.value) == (3, "3", "90")
    assert "3 cells" in note.message


def test_a_shorter_row_and_empty_cells_at_its_end_do_no_harm(read):
    table = read("Sample,PBI,Zone\nA,80\nB,90,North,,\n")
    assert table.zone_names == ("", "North")


def test_a_missing_sample_id_is_refused(refusal):
    note = refusal("Sample,PBI\nA,80\n ,90\n")
    assert (note.row, note.column) == (3, "Sample")


def test_below_a_limit_that_is_not_told_is_missing_with_a_note(read):
    table = read("Sample,Colwell P (mg/kg),PBI\nA,<LOR,80\nB,12,< DL\n")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [np.nan, 12.0])
    np.testing.assert_array_equal(column_of(table, "pbi").values, [80.0, np.nan])
    assert [(note.row, note.value) for note in table.notes] == [(2, "<LOR"), (3, "< DL")]
    assert all("tells no detection limit" in note.message for note in table.notes)
