import numpy as np
import pytest

from vrxapp.errors import InputFileError, UnknownChoiceError
from vrxapp.files.lab_sheets.column_use import column_use, with_use
from vrxapp.soil.results_table import column_of
from vrxapp.workflows.lab_sheets import (
    PastedCells,
    forget_layout_of,
    keep_layout,
    lab_results,
    open_lab_sheet,
    read_seen_sheet,
)
from vrxapp.workflows.open_files import results_of_paddock

TEXT = "Mark,P\nA,23\nB,31\n"


@pytest.fixture
def sheet(tmp_path):
    """A sheet whose columns have to be told."""
    path = tmp_path / "lab.csv"
    path.write_text(TEXT, "utf-8")
    return path


@pytest.fixture
def layout(sheet):
    """What the columns hold."""
    layout = open_lab_sheet(sheet).layout
    return with_use(with_use(layout, 0, column_use("sample")), 1, column_use("colwell_p [mg/kg]"))


def test_a_layout_put_right_once_reads_every_later_sheet(sheet, layout, tmp_path):
    kept = tmp_path / "kept"
    with pytest.raises(InputFileError):
        lab_results(sheet, layouts=kept)
    table = read_seen_sheet(open_lab_sheet(sheet, layouts=kept), layout)
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0, 31.0])
    keep_layout(layout, layouts=kept)
    sheet.write_text(TEXT.replace("23", "9"), "utf-8")
    later = lab_results(sheet, layouts=kept)
    np.testing.assert_array_equal(column_of(later, "colwell_p").values, [9.0, 31.0])
    assert "layout that was kept" in later.notes[0].message


def test_pasted_cells_are_read_by_the_layout_kept_for_the_sheet(layout, tmp_path):
    keep_layout(layout, layouts=tmp_path / "kept")
    pasted = PastedCells(TEXT.replace(",", "\t"))
    table = lab_results(pasted, layouts=tmp_path / "kept")
    assert (table.file, table.sample_ids) == ("pasted cells", ("A", "B"))


def test_a_forgotten_layout_is_not_used(sheet, layout, tmp_path):
    keep_layout(layout, layouts=tmp_path / "kept")
    assert forget_layout_of(open_lab_sheet(sheet), layouts=tmp_path / "kept")
    assert not open_lab_sheet(sheet, layouts=tmp_path / "kept").is_remembered


def test_a_damaged_layout_is_told_and_the_guess_used(sheet, layout, tmp_path):
    keep_layout(layout, layouts=tmp_path)
    (tmp_path / f"{layout.key}.json").write_text("{")
    seen = open_lab_sheet(sheet, layouts=tmp_path)
    assert not seen.is_remembered
    assert "damaged" in seen.notes[-1].message


def test_a_sheet_of_several_paddocks_gives_the_rows_of_one(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text(
        "Sample,Paddock,Zone,PBI\n1,Flat,West,80\n2,Ridge,West,200\n3,Flat,East,90\n", "utf-8"
    )
    table = lab_results(path)
    mine = results_of_paddock(table, "flat")
    assert mine.sample_ids == ("1", "3")
    assert "1 of its 3 rows" in mine.notes[0].message
    assert results_of_paddock(table, "Somewhere", wanted="Ridge").sample_ids == ("2",)
    with pytest.raises(UnknownChoiceError, match="Flat, Ridge"):
        results_of_paddock(table, "Somewhere")
