import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.preview import sheet_preview


def test_a_preview_shows_the_cells_and_the_guess(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("A title\nSample,Zone,Colwell P (mg/kg),Boron\nA,N,23\nB,S,31,0.4\n", "utf-8")
    preview = sheet_preview(path, rows=3)
    assert preview.rows == (
        ("A title", "", "", ""),
        ("Sample", "Zone", "Colwell P (mg/kg)", "Boron"),
        ("A", "N", "23", ""),
    )
    assert (preview.header_row, preview.row_count) == (2, 4)
    assert preview.uses == ("sample", "zone", "Colwell P, mg/kg", "")


def test_the_header_is_always_shown(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("x\n" * 25 + "Sample,PBI\nA,80\n", "utf-8")
    assert sheet_preview(path, rows=5).rows[-1] == ("Sample", "PBI")


def test_a_sheet_that_cannot_be_used_is_shown_all_the_same(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("Mark,Phosphorus\nA,23\n", "utf-8")
    assert sheet_preview(path).uses == ("", "")


def test_an_empty_file_has_no_preview(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text("")
    with pytest.raises(InputFileError, match="empty"):
        sheet_preview(path)
