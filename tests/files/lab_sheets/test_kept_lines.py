import numpy as np
import pytest

from vrxapp.soil.results_table import column_of

HEAD = "Sample,Colwell P,PBI\n,mg/kg,index\n"


def test_a_header_that_stands_again_at_a_page_break_is_skipped_and_told(read):
    table = read(f"{HEAD}A,23,80\n{HEAD}B,31,90\n\n{HEAD}C,12,70\n")
    assert table.sample_ids == ("A", "B", "C")
    np.testing.assert_array_equal(table.file_rows, [3, 6, 10])
    (note,) = table.notes
    assert note.message == "the header stands here again and is skipped; rows alike: 5, 8, 9"
    assert note.row == 4


def test_a_long_header_that_stands_again_is_skipped_and_told(read):
    head = "Sample,Analyte,Value\n"
    table = read(f"{head}A,PBI,80\n{head}B,PBI,90\n")
    assert table.sample_ids == ("A", "B")
    assert "stands here again" in table.notes[0].message


@pytest.mark.parametrize("blank", ["", "\n"])
def test_titles_above_results_are_no_samples(read, blank):
    table = read(
        f"Sample,Depth,PBI\nHome block,,\n{blank}A,0-10,80\nCreek block,,\nflats,,\n"
        "B,0-10,90\nC,0-10,\n"
    )
    assert table.sample_ids == ("A", "B", "C")
    title = next(note for note in table.notes if "title" in note.message)
    assert title.message.startswith("'Home block', 'Creek block', 'flats' alone in a row")
    assert title.row == 2
    assert "dash" in title.mend


def test_a_sample_with_a_dash_for_its_results_is_no_title(read):
    table = read("Sample,PBI\nA,80\nB,-\nC,90\n")
    assert table.sample_ids == ("A", "B", "C")


def test_a_sample_with_a_layer_and_no_results_is_no_title(read):
    table = read("Sample,Depth,PBI\nA,0-10,\nB,0-10,90\n")
    assert table.sample_ids == ("A", "B")
    np.testing.assert_array_equal(column_of(table, "pbi").values, [np.nan, 90.0])
