import numpy as np
import pytest

from vrxapp.errors import InputFileError
from vrxapp.soil.results_table import column_of


@pytest.mark.parametrize(
    "content",
    [
        "Sample,Depth,Colwell P (mg/kg)\nA,0-10,23\nB,0-10,12\na,0 - 10 cm,31\n",
        "Sample,Rep,Colwell P (mg/kg)\nA,1,23\nB,1,12\nA,1,31\n",
        "Sample,Analyte,Value,Unit\nA,Colwell P,23,ppm\nB,Colwell P,2,ppm\nA,Colwell P,31,ppm\n",
        "Sample,Colwell P (mg/kg)\nA,23\nB,12\nA,<23\n",
    ],
)
def test_two_rows_of_one_sample_that_disagree_are_refused(read, content):
    with pytest.raises(InputFileError, match="has two results of Colwell P") as caught:
        read(content)
    note = caught.value.note
    assert "23 in row 2" in note.message
    assert "in row 4" in note.message
    assert note.row == 4
    assert note.value in ("31", "<23")
    assert "'replicate' column" in note.mend


def test_replicates_that_say_so_are_rows_of_their_own(read):
    table = read("Sample,Replicate,Colwell P (mg/kg)\nA,1,23\nA,2,31\n")
    assert table.sample_ids == ("A", "A")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0, 31.0])
    assert table.notes == ()


def test_long_replicates_are_rows_of_their_own(read):
    table = read(
        "Sample,Replicate,Analyte,Value,Unit\nA,1,Colwell P,23,mg/kg\nA,2,Colwell P,31,mg/kg\n"
        "A,1,PBI,80,\nA,2,PBI,81,\n"
    )
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0, 31.0])
    np.testing.assert_array_equal(column_of(table, "pbi").values, [80.0, 81.0])


def test_a_row_that_is_there_twice_counts_once_and_is_told(read):
    table = read("Sample,Colwell P (mg/kg)\nA,23\nB,12\nA,23\nA,23\n")
    assert table.sample_ids == ("A", "B")
    (note,) = table.notes
    assert "repeats an earlier one of sample 'A'" in note.message
    assert "left out; rows alike: 5" in note.message
    assert (note.file, note.row, note.value) == ("lab.csv", 4, "A")


def test_a_long_result_that_is_there_twice_in_two_units_counts_once(read):
    table = read("Sample,Analyte,Value,Unit\nA,Colwell P,4.1,mg/kg\nA,Colwell P,0.0041,g/kg\n")
    np.testing.assert_allclose(column_of(table, "colwell_p").values, [4.1])
    (note,) = table.notes
    assert "left out" in note.message


def test_a_disagreement_across_units_is_told_at_the_later_row(read):
    with pytest.raises(InputFileError) as caught:
        read(
            "Sample,Analyte,Value,Unit\nB,Colwell P,12,mg/kg\nA,Colwell P,0.04,g/kg\n"
            "A,Colwell P,31,mg/kg\n"
        )
    assert caught.value.note.row == 4
    assert "40 in row 3 and 31 in row 4" in caught.value.note.message


def test_rows_that_add_to_each_other_are_put_together_and_told(read):
    table = read("Sample,Zone,Colwell P (mg/kg),PBI\nA,,23,\nA,North,,80\n")
    assert table.sample_ids == ("A",)
    assert table.zone_names == ("North",)
    np.testing.assert_array_equal(column_of(table, "pbi").values, [80.0])
    (note,) = table.notes
    assert "adds to an earlier one of sample 'A' and is put together" in note.message
    assert note.row == 3


@pytest.mark.parametrize(
    ("content", "column"),
    [
        ("Sample,Zone,PBI\nA,North,80\nA,South,80\n", "zone"),
        ("Sample,Lon,Lat,PBI\nA,147.2,-35.1,80\nA,147.3,-35.1,80\n", "longitude, latitude"),
    ],
)
def test_a_sample_in_two_places_is_refused(read, content, column):
    with pytest.raises(InputFileError, match="lies in two places") as caught:
        read(content)
    note = caught.value.note
    assert (note.row, note.column) == (3, column)
    assert "in row 2 and" in note.message


def test_one_zone_in_two_spellings_is_one_place(read):
    table = read("Sample,Zone,PBI\nA,North,80\nA,north ,80\n")
    assert table.zone_names == ("North",)


def test_samples_without_a_result_are_kept_and_told(read):
    table = read("Sample,Colwell P (mg/kg)\nA,23\nB,\nNorth flat,\n")
    assert table.sample_ids == ("A", "B", "North flat")
    (note,) = table.notes
    assert note.message.startswith("no result that is used stands beside 2 of the samples: B, ")
    assert note.row == 3


def test_a_remark_of_some_words_below_the_results_is_no_sample(read):
    table = read("Sample,Colwell P (mg/kg)\nA,23\nEnd of report,\n")
    assert table.sample_ids == ("A",)
    (note,) = table.notes
    assert "'End of report'" in note.message
    assert note.row == 3
