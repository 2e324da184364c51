import numpy as np
import openpyxl
import pytest

from vrxapp.files.lab_sheets.preview import pasted_preview
from vrxapp.files.lab_sheets.reader import read_lab_sheet, read_opened
from vrxapp.soil.results_table import column_of

UNDER = ",,mg/kg,cmol(+)/kg,cmol(+)/kg,cmol(+)/kg,\nA,0-10,23,4.5,1.2,0.4,80\n"
LOWER_HOLDS_IDS = ",,,Exchangeable,,,\nSample,Depth,Colwell P,Ca,Mg,K,PBI\n"
UPPER_HOLDS_IDS = "Sample,Depth,Colwell P,Exchangeable,,,PBI\n,,,Ca,Mg,K,\n"
BOTH_HOLD_IDS = "Sample,Depth,Colwell P,Exchangeable,,,PBI\nSample,Depth,Colwell P,Ca,Mg,K,PBI\n"


@pytest.mark.parametrize("head", [LOWER_HOLDS_IDS, UPPER_HOLDS_IDS, BOTH_HOLD_IDS])
@pytest.mark.parametrize("title", ["", "Report 17,,,,,,\n\n"])
def test_a_name_over_several_columns_counts_for_each_of_them(read, title, head):
    table = read(title + head + UNDER)
    values = {column.analyte.key: column.values.tolist() for column in table.columns}
    assert values == {
        "colwell_p": [23.0],
        "exch_ca": [4.5],
        "exch_mg": [1.2],
        "exch_k": [0.4],
        "pbi": [80.0],
    }
    (note,) = table.notes
    assert "read together: Exchangeable Ca, Exchangeable Mg, Exchangeable K" in note.message
    assert note.row == 2 + title.count("\n")


@pytest.mark.parametrize(
    ("above", "below", "key"),
    [
        ("Phosphorus", "Colwell", "colwell_p"),
        ("Colwell", "P", "colwell_p"),
        ("pH", "CaCl2", "ph_cacl2"),
        ("pH", "1:5 water", "ph_water"),
        ("Exchangeable cations", "Na", "exch_na"),
        ("Exch. cations (cmol(+)/kg)", "Al", "exch_al"),
    ],
)
def test_a_method_or_an_element_may_stand_in_the_row_below(read, above, below, key):
    table = read(f"Sample,Zone,{above}\n,,{below}\nA,North,5\n")
    assert [column.analyte.key for column in table.columns] == [key]
    np.testing.assert_allclose(table.columns[0].values, [5.0])


def test_a_name_counts_no_further_than_a_column_that_is_known_by_itself(read):
    table = read(",Exchangeable,,\nSample,Ca,PBI,Mg\nA,4.5,80,1.2\n")
    assert [column.analyte.key for column in table.columns] == ["exch_ca", "pbi"]
    assert any("'Mg' does not say by which method" in note.message for note in table.notes)


@pytest.mark.parametrize(
    "content",
    [
        # a unit below, a sample below, an analyte that would stand there twice, an unknown pair
        "Sample,PBI,Ca\n,index,cmol(+)/kg\nA,80,4.5\n",
        "Sample,PBI,P\nA,80,Colwell\n",
        "Sample,Exch Ca,Exchangeable\n,,Ca\nA,4.5,4.6\n",
        "Sample,PBI,Total\n,,Ca\nA,80,4.6\n",
        # shares, and what is dissolved, are not what is exchangeable
        "Sample,PBI,Exchangeable cation percentage\n,,Ca\nA,80,65\n",
        "Sample,PBI,Water soluble cations (cmol(+)/kg)\n,,Ca\nA,80,4.6\n",
    ],
)
def test_what_is_not_clear_is_not_put_together(content):
    assert pasted_preview(content, "lab.csv").sheet.names == ()


def test_the_guess_that_is_shown_holds_the_names_of_both_rows_and_reads_the_sheet():
    preview = pasted_preview(LOWER_HOLDS_IDS + UNDER, "lab.csv")
    assert preview.layout.columns[3].name == "Exchangeable Ca"
    table = read_opened(preview.sheet, preview.layout)
    np.testing.assert_array_equal(column_of(table, "exch_k").values, [0.4])


def test_both_rows_of_names_at_a_page_break_are_skipped(read):
    table = read(LOWER_HOLDS_IDS + UNDER + LOWER_HOLDS_IDS + UNDER.replace("A,", "B,"))
    assert table.sample_ids == ("A", "B")
    assert table.notes[-1].message.endswith("rows alike: 6, 7")


def test_cells_merged_over_and_beside_each_other_are_understood(tmp_path):
    book = openpyxl.Workbook()
    tab = book.active
    for row in (["Sample", "Exchangeable", None], [None, "Ca", "Mg"], ["A", 4.5, 1.2]):
        tab.append(row)
    tab.merge_cells("A1:A2")
    tab.merge_cells("B1:C1")
    book.save(tmp_path / "lab.xlsx")
    table = read_lab_sheet(tmp_path / "lab.xlsx")
    assert table.sample_ids == ("A",)
    assert [column.analyte.key for column in table.columns] == ["exch_ca", "exch_mg"]
