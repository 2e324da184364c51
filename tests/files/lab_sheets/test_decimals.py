from dataclasses import replace

import numpy as np
import openpyxl
import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.preview import pasted_preview, sheet_preview
from vrxapp.files.lab_sheets.reader import read_opened
from vrxapp.soil.results_table import column_of


def test_a_decimal_comma_between_commas_is_refused_with_the_way_out(refusal):
    note = refusal('Sample,Colwell P (mg/kg)\nA,23\nB,"12,5"\n')
    assert (note.row, note.column, note.value) == (3, "Colwell P (mg/kg)", "12,5")
    assert "semicolons" in note.mend


def test_a_comma_that_may_part_thousands_is_refused(refusal):
    note = refusal("Sample;Colwell P (mg/kg)\nA;23\nB;1,234\n")
    assert "decimal comma or a thousands separator" in note.message
    assert (note.row, note.value) == (3, "1,234")


@pytest.mark.parametrize("clear", ["12,5", "0,123"])
def test_one_clear_decimal_comma_decides_for_the_column(read, clear):
    table = read(f"Sample;Colwell P (mg/kg)\nA;1,234\nB;{clear}\n")
    assert column_of(table, "colwell_p").values[0] == 1.234


def test_a_column_that_mixes_points_and_commas_is_refused(refusal):
    note = refusal("Sample;Colwell P (mg/kg)\nA;12,5\nB;12.5\n")
    assert "mixes decimal points and commas" in note.message
    assert (note.row, note.value) == (3, "12.5")


def test_each_column_decides_for_itself(read):
    table = read("Sample;Colwell P (mg/kg);PBI\nA;12,5;80.5\n")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [12.5])
    np.testing.assert_array_equal(column_of(table, "pbi").values, [80.5])


POINTS = "Sample;Colwell P (mg/kg);PBI\nA;1.234;80\nB;2.500;90\n"


@pytest.fixture
def with_decimal_commas():
    """A function that reads a text whose commas are said to be decimal."""

    def read(text):
        preview = pasted_preview(text, "lab.csv")
        return read_opened(preview.sheet, replace(preview.layout, decimal_comma=True))

    return read


@pytest.mark.parametrize(
    "text", [POINTS, "Sample;Analyte;Value;Unit\nA;Colwell P;1.234;mg/kg\nA;PBI;80;\n"]
)
def test_points_that_may_part_thousands_are_asked_about_under_decimal_commas(
    with_decimal_commas, text
):
    with pytest.raises(InputFileError, match="decimal point or a thousands separator") as caught:
        with_decimal_commas(text)
    note = caught.value.note
    assert (note.row, note.value) == (2, "1.234")
    assert "Write 1,234 or 1234" in note.mend


def test_points_that_may_part_thousands_are_asked_about_beside_a_column_of_decimal_commas(refusal):
    note = refusal("Sample;Colwell P (mg/kg);PBI\nA;12,5;1.234\n")
    assert "decimal point or a thousands separator" in note.message
    assert (note.row, note.column, note.value) == (2, "PBI", "1.234")


def test_the_same_points_are_decimals_where_no_comma_is_decimal(read):
    table = read(POINTS)
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [1.234, 2.5])


@pytest.mark.parametrize("clear", ["0.500", "12.5", ".250", "1234.125"])
def test_one_clear_decimal_point_decides_for_the_column(with_decimal_commas, clear):
    table = with_decimal_commas(f"Sample;Colwell P (mg/kg)\nA;1.234\nB;{clear}\n")
    assert column_of(table, "colwell_p").values.tolist() == [1.234, float(clear)]


def test_a_workbook_keeps_its_points_and_the_doubt_is_told(tmp_path):
    book = openpyxl.Workbook()
    for row in (["Sample", "Colwell P (mg/kg)"], ["A", 1.234], ["B", 2.567]):
        book.active.append(row)
    book.save(tmp_path / "lab.xlsx")
    preview = sheet_preview(tmp_path / "lab.xlsx")
    table = read_opened(preview.sheet, replace(preview.layout, decimal_comma=True))
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [1.234, 2.567])
    (note,) = table.notes
    assert "may be a decimal point or a thousands separator" in note.message
    assert (note.row, note.value) == (2, "1.234")


@pytest.mark.parametrize(
    ("cells", "values"),
    [
        (("1,234.5", "12.5"), [1234.5, 12.5]),
        (("1,234.5", "1,234"), [1234.5, 1234.0]),
        (("<1,234.5", "5"), [1234.5, 5.0]),
    ],
)
@pytest.mark.parametrize("delimiter", [",", ";"])
def test_commas_part_thousands_where_the_point_is_plainly_decimal(read, delimiter, cells, values):
    rows = [f'{name}{delimiter}"{cell}"' for name, cell in zip("AB", cells, strict=True)]
    table = read("\n".join([f"Sample{delimiter}EC 1:5 (uS/cm)", *rows]))
    np.testing.assert_allclose(column_of(table, "ec_1_5").values, np.array(values) / 1000)


def test_thousands_commas_are_refused_where_the_commas_of_the_sheet_are_decimal(
    refusal, with_decimal_commas
):
    note = refusal("Sample;Colwell P (mg/kg);PBI\nA;12,5;1,234.5\n")
    assert "though the commas of the sheet are decimal" in note.message
    assert (note.row, note.column, note.value) == (2, "PBI", "1,234.5")
    assert "without thousands separators" in note.mend
    with pytest.raises(InputFileError, match="though the commas of the sheet are decimal"):
        with_decimal_commas("Sample;PBI\nA;1,234.5\n")


def test_thousands_commas_and_decimal_commas_in_one_column_are_refused(refusal):
    note = refusal("Sample;PBI\nA;1,234.5\nB;12,5\n")
    assert "mixes decimal points and commas" in note.message
    assert (note.row, note.value) == (2, "1,234.5")
