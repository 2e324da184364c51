import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.preview import (
    first_rows,
    pasted_preview,
    sheet_preview,
    use_of,
    with_header_row,
)


@pytest.fixture
def preview(tmp_path):
    """A function that opens a text as a sheet."""

    def opened(content):
        path = tmp_path / "lab.csv"
        path.write_text(content, "utf-8")
        return sheet_preview(path)

    return opened


def uses(preview):
    return tuple(map(use_of, preview.layout.columns))


def test_a_preview_shows_the_cells_and_the_guess(preview):
    seen = preview("A title\nSample,Zone,Colwell P (mg/kg),Boron\nA,N,23\nB,S,31,0.4\n")
    assert first_rows(seen.sheet, 3) == (
        ("A title", "", "", ""),
        ("Sample", "Zone", "Colwell P (mg/kg)", "Boron"),
        ("A", "N", "23", ""),
    )
    assert (seen.layout.header_row, len(seen.sheet.rows)) == (2, 4)
    assert uses(seen) == ("sample", "zone", "Colwell P, mg/kg", "")


def test_the_header_is_always_shown(preview):
    seen = preview("x\n" * 25 + "Sample,PBI\nA,80\n")
    assert first_rows(seen.sheet, 5)[-1] == ("Sample", "PBI")


def test_a_sheet_that_cannot_be_used_is_shown_all_the_same(preview):
    assert uses(preview("Mark,Phosphorus\nA,23\n")) == ("", "")


def test_an_empty_file_has_no_preview(preview):
    with pytest.raises(InputFileError, match="empty"):
        preview("")


def test_another_row_can_be_the_header_and_later_sheets_are_still_known(preview):
    seen = preview("Sample,PBI\nMark,Colwell P (mg/kg)\nA,80\n")
    other = with_header_row(seen, 2)
    assert uses(other) == ("", "Colwell P, mg/kg")
    assert (other.layout.header_row, other.layout.key) == (2, seen.layout.key)
    for row in (0, 4):
        with pytest.raises(InputFileError, match=f"no row {row}"):
            with_header_row(seen, row)


def test_pasted_cells_have_a_preview_too():
    seen = pasted_preview("Sample\tOlsen P (mg/kg)\nA\t9\n", "pasted cells")
    assert uses(seen) == ("sample", "Olsen P, mg/kg")
    assert seen.sheet.file == "pasted cells"
