from dataclasses import replace

import pytest

from vrxapp.errors import WriteError
from vrxapp.files.lab_sheets.layout import LayoutColumn
from vrxapp.files.lab_sheets.layout_memory import (
    forget_layout,
    remember_layout,
    remembered_layout,
)
from vrxapp.files.lab_sheets.names import Role
from vrxapp.files.lab_sheets.preview import sheet_preview


@pytest.fixture
def sheet(tmp_path):
    """A sheet whose third column has to be told."""
    path = tmp_path / "lab.csv"
    path.write_text("Sample,Zone,Phosphorus\nA,Föhre,23\n", "utf-8")
    return path


def kept_for(path, folder):
    """What is kept for the header of a sheet."""
    return remembered_layout(sheet_preview(path).layout.key, folder)


@pytest.fixture
def layout(sheet):
    """Its layout, corrected."""
    told = LayoutColumn("Phosphorus", analyte="olsen_p", unit="mg/kg")
    guess = sheet_preview(sheet).layout
    return replace(guess, columns=(*guess.columns[:2], told), decimal_comma=False)


def test_a_layout_comes_back_for_every_sheet_of_its_header(sheet, layout, tmp_path):
    folder = tmp_path / "kept" / "layouts"
    remember_layout(layout, folder)
    later = tmp_path / "later.csv"
    later.write_text("A title\nSample,Zone,Phosphorus\nZ,North,9\n", "utf-8")
    assert kept_for(sheet, folder) == (layout, ())
    assert kept_for(later, folder) == (layout, ())


def test_a_later_correction_takes_the_place_of_the_earlier(sheet, layout, tmp_path):
    remember_layout(layout, tmp_path / "kept")
    other = replace(layout, columns=(LayoutColumn("Sample", Role.SAMPLE), *layout.columns[1:]))
    other = replace(other, decimal_comma=None)
    remember_layout(other, tmp_path / "kept")
    assert kept_for(sheet, tmp_path / "kept")[0] == other
    assert len(list((tmp_path / "kept").iterdir())) == 1


def test_nothing_is_remembered_where_nothing_was_kept(sheet, tmp_path):
    assert kept_for(sheet, tmp_path / "none") == (None, ())


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"format": 1', '"format": 2'),
        ('"format": 1,', ""),
        ('"header_row": 1', '"header_row": "x"'),
        ('"header_row": 1', '"header_row": true'),
        ('"decimal_comma": false', '"decimal_comma": 0'),
        ('"olsen_p"', '"no_such"'),
        ('"olsen_p"', "7"),
        ('"mg/kg"', '"furlongs"'),
        ('"sample"', '"nonsense"'),
        ('"zone"', '"sample"'),
        ('"tab": ""', '"tab": 4'),
        ('"columns"', '"rows"'),
        ("{", "["),
    ],
)
def test_a_damaged_layout_is_ignored_and_told(sheet, layout, tmp_path, old, new):
    remember_layout(layout, tmp_path / "kept")
    (kept,) = (tmp_path / "kept").iterdir()
    text = kept.read_text("utf-8")
    assert old in text
    kept.write_text(text.replace(old, new, 1), "utf-8")
    found, (note,) = kept_for(sheet, tmp_path / "kept")
    assert found is None
    assert note.file == kept.name
    assert "not used" in note.message


@pytest.mark.parametrize("content", [b"", b"null", b"[]", b"\xff\xfe", b"[" * 100_000, b"{}"])
def test_a_file_that_is_no_layout_is_ignored_and_told(sheet, layout, tmp_path, content):
    remember_layout(layout, tmp_path / "kept")
    (kept,) = (tmp_path / "kept").iterdir()
    kept.write_bytes(content)
    found, (note,) = kept_for(sheet, tmp_path / "kept")
    assert found is None
    assert note.mend


def test_a_folder_that_cannot_be_made_is_told(layout, tmp_path):
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(WriteError) as caught:
        remember_layout(layout, tmp_path / "taken" / "layouts")
    assert caught.value.note.mend


def test_a_layout_whose_columns_are_no_columns_is_ignored_and_told(sheet, layout, tmp_path):
    remember_layout(layout, tmp_path / "kept")
    (kept,) = (tmp_path / "kept").iterdir()
    told = f'{{"format": 1, "key": "{layout.key}", "header_row": 1, "columns": ["Sample"]}}'
    kept.write_text(told, "utf-8")
    assert kept_for(sheet, tmp_path / "kept")[0] is None


def test_a_forgotten_layout_is_gone(sheet, layout, tmp_path):
    remember_layout(layout, tmp_path / "kept")
    assert forget_layout(layout.key, tmp_path / "kept")
    assert kept_for(sheet, tmp_path / "kept") == (None, ())
    assert not forget_layout(layout.key, tmp_path / "kept")
