"""Sheets of American laboratories tell their layers in inches."""

import pytest

from vrxapp.errors import InputFileError
from vrxapp.workflows.lab_sheets import lab_results


@pytest.fixture
def read(tmp_path):
    """A function that reads a sheet out of its text."""

    def made(text):
        path = tmp_path / "sheet.csv"
        path.write_text(text)
        return lab_results(path)

    return made


@pytest.mark.parametrize("name", ["Depth (in)", "Depth (inches)", "Sample depth [Inch]"])
def test_layers_in_inches_become_whole_centimetres_and_that_is_told(read, name):
    table = read(f"Sample,{name},Mehlich-3 P (ppm)\nA,0-6,18\nB,6 to 12,9\nC,0-8,11\n")
    assert table.depths_cm == ("0-15", "15-30", "0-20")
    (note,) = [note for note in table.notes if "inches" in note.message]
    assert note.column == name


def test_both_ends_may_be_in_inches_but_not_one_of_them(read):
    table = read("Sample,Depth from (in),Depth to (in),Mehlich-3 P (ppm)\nA,0,6,18\n")
    assert table.depths_cm == ("0-15",)
    with pytest.raises(InputFileError, match="in two units"):
        read("Sample,Depth from (in),Depth to (cm),Mehlich-3 P (ppm)\nA,0,15,18\n")


def test_a_layer_in_cm_under_a_name_that_says_inches_is_refused(read):
    with pytest.raises(InputFileError, match="says inches"):
        read("Sample,Depth (in),Mehlich-3 P (ppm)\nA,0-15 cm,18\n")


def test_layers_in_centimetres_stay_as_they_are(read):
    table = read("Sample,Depth (cm),Mehlich-3 P (ppm)\nA,0-6,18\n")
    assert table.depths_cm == ("0-6",)
    assert not [note for note in table.notes if "inches" in note.message]
