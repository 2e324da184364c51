"""Errors and notes say where, what, and what to do next."""

import pytest

from vrxapp.errors import InputFileError, Note, VrxError


def test_an_error_names_file_row_column_value_and_mend():
    error = InputFileError(
        "65.0 is not possible (0 to 14)",
        mend="Was it 6.5?",
        file="soil.csv",
        row=14,
        column="pH",
        value="65.0",
    )
    assert str(error) == "soil.csv, row 14, column pH: 65.0 is not possible (0 to 14). Was it 6.5?"
    assert isinstance(error, VrxError)


@pytest.mark.parametrize(
    ("note", "text"),
    [
        (Note("done"), "done."),
        (Note("done", "Look!"), "done. Look!"),
        (Note("odd", value="7"), "odd (found: 7)."),
        (Note("odd", file="a.csv", row=0), "a.csv, row 0: odd."),
    ],
)
def test_a_note_is_one_or_two_sentences(note, text):
    assert str(note) == text
