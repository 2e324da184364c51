from dataclasses import replace

import numpy as np
import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn
from vrxapp.files.lab_sheets.names import Role
from vrxapp.files.lab_sheets.preview import sheet_preview
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.soil.results_table import column_of


@pytest.fixture
def save(tmp_path):
    """A function that saves a sheet as text."""

    def text(content, name="lab.csv"):
        path = tmp_path / name
        path.write_text(content, "utf-8")
        return path

    return text


def guess(path):
    return sheet_preview(path).layout


def corrected(layout, index, **changes):
    columns = list(layout.columns)
    columns[index] = LayoutColumn(columns[index].name, **changes)
    return replace(layout, columns=tuple(columns))


SHEET = "A title\nMark,Where,Phosphorus\nA1,Creek,23\nB2,Rise,31\n"


def test_a_corrected_layout_reads_what_its_names_did_not_tell(save):
    path = save(SHEET)
    with pytest.raises(InputFileError):
        read_lab_sheet(path)
    layout = replace(
        guess(path),
        header_row=2,
        columns=tuple(map(LayoutColumn, ("Mark", "Where", "Phosphorus"))),
    )
    layout = corrected(layout, 0, role=Role.SAMPLE)
    layout = corrected(layout, 1, role=Role.PADDOCK)
    layout = corrected(layout, 2, analyte="colwell_p", unit="mg/kg")
    table = read_lab_sheet(path, layout)
    assert table.sample_ids == ("A1", "B2")
    assert table.paddock_names == ("Creek", "Rise")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0, 31.0])


@pytest.mark.parametrize(
    "content",
    [
        "Sample,Zone,Depth (cm),Colwell P (mg/kg),PBI\nA,N,0-10,23,80\n",
        "Sample,Analyte,Value,Unit\nA,Colwell P,23,mg/kg\n",
    ],
)
def test_a_certain_guess_reads_the_same_as_no_layout(save, content):
    path = save(content)
    one, other = read_lab_sheet(path), read_lab_sheet(path, guess(path))
    assert (one.sample_ids, one.zone_names, one.depths_cm) == (
        other.sample_ids,
        other.zone_names,
        other.depths_cm,
    )
    assert [c.analyte for c in one.columns] == [c.analyte for c in other.columns]
    assert [c.values.tolist() for c in one.columns] == [c.values.tolist() for c in other.columns]


def test_a_guess_says_where_it_is_in_doubt(save):
    layout = guess(save("Sample,Lab No,P,Boron,Colwell P (furlongs)\nA,1,2,3,4\n"))
    doubts = [column.doubt for column in layout.columns]
    assert doubts[0] == ""
    assert "'Sample' holds the same" in doubts[1]
    assert "Colwell or Olsen" in doubts[2]
    assert "nothing is known" in doubts[3]
    assert "'furlongs'" in doubts[4]


@pytest.mark.parametrize(
    ("decimal_comma", "values"), [(True, [1.234, 2.345]), (False, [1234.0, 2345.0])]
)
def test_what_a_comma_means_may_be_said_where_the_column_does_not_tell(save, decimal_comma, values):
    path = save("Sample;Chloride (mg/kg)\nA;1,234\nB;2,345\n")
    with pytest.raises(InputFileError, match="thousands separator") as caught:
        read_lab_sheet(path)
    assert "layout" in caught.value.note.mend
    layout = replace(guess(path), decimal_comma=decimal_comma)
    np.testing.assert_array_equal(
        column_of(read_lab_sheet(path, layout), "chloride").values, values
    )


def test_the_key_is_of_the_header_alone(save):
    one = guess(save("Sample,Colwell P (mg/kg)\nA,23\n", "one.csv")).key
    same = guess(save("Report 2\n\nSAMPLE , colwell  P (mg/kg)\nZ,9\n", "two.csv")).key
    other = guess(save("Sample,PBI\nA,23\n", "three.csv")).key
    assert one == same != other


def test_a_layout_finds_its_header_in_another_row(save):
    layout = guess(save("Sample,Colwell P (mg/kg)\nA,23\n", "one.csv"))
    table = read_lab_sheet(save("x\ny\nz\nSample,Colwell P (mg/kg)\nB,31\n", "two.csv"), layout)
    np.testing.assert_array_equal(table.file_rows, [5])


def test_the_layout_of_another_sheet_is_refused(save):
    layout = guess(save("Sample,Colwell P (mg/kg)\nA,23\n", "one.csv"))
    with pytest.raises(InputFileError, match="no such header") as caught:
        read_lab_sheet(save("Sample,PBI\nA,80\n", "two.csv"), layout)
    assert caught.value.note.file == "two.csv"
    assert "guessed from this sheet" in caught.value.note.mend


@pytest.mark.parametrize(
    "columns",
    [
        (LayoutColumn("a", Role.SAMPLE), LayoutColumn("b", Role.SAMPLE)),
        (LayoutColumn("a", analyte="pbi"), LayoutColumn("b", analyte="pbi")),
        (LayoutColumn("b", Role.ZONE, analyte="pbi"),),
    ],
)
def test_one_use_for_two_columns_and_two_for_one_are_refused(columns):
    with pytest.raises(InputFileError, match="only one column") as caught:
        LabLayout("k", 1, columns)
    assert caught.value.note.column == "b"
