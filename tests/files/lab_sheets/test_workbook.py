import datetime
import zipfile

import numpy as np
import openpyxl
import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.soil.results_table import column_of

HEADER = ["Sample", "Zone", "Depth (cm)", "Colwell P (mg/kg)", "PBI"]
ROWS = [HEADER, ["A1", "North", "0-10", 23, 80.5], ["B2", "South", "10-20", "<5", None]]


@pytest.fixture
def save(tmp_path):
    """A function that saves tabs, each a list of rows, as a workbook."""

    def workbook(tabs, *, name="lab.xlsx", change=lambda book: None):
        book = openpyxl.Workbook()
        book.remove(book.active)
        for title, rows in tabs.items():
            tab = book.create_sheet(title)
            for row in rows:
                tab.append(row)
        change(book)
        path = tmp_path / name
        book.save(path)
        return path

    return workbook


def rewritten(path, change, *, extra=()):
    """The workbook with one part changed by a function of its name and bytes, and parts added."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, change(name, content))
        for name, content in extra:
            archive.writestr(name, content)
    return path


def same(name, content):
    return content


def refusal(path):
    with pytest.raises(InputFileError) as caught:
        read_lab_sheet(path)
    note = caught.value.note
    assert note.file == path.name
    assert note.mend
    return note


def test_a_workbook_holds_the_same_as_the_text_file(save, tmp_path):
    text = tmp_path / "lab.csv"
    text.write_text("\n".join(",".join(str(c or "") for c in row) for row in ROWS), "utf-8")
    one, other = read_lab_sheet(save({"Results": ROWS})), read_lab_sheet(text)
    assert one.sample_ids == other.sample_ids == ("A1", "B2")
    assert one.depths_cm == other.depths_cm == ("0-10", "10-20")
    np.testing.assert_array_equal(one.file_rows, other.file_rows)
    for key in ("colwell_p", "pbi"):
        np.testing.assert_array_equal(column_of(one, key).values, column_of(other, key).values)
        np.testing.assert_array_equal(column_of(one, key).limits, column_of(other, key).limits)
    assert one.notes == ()


def test_the_tab_with_results_is_read_below_its_header_block(save):
    results = [["Report 17"], [], ["Grower", "Invented"], [], *ROWS]
    path = save({"Cover": [["Thank you for your samples"]], "Soil": results, "Notes": [["end"]]})
    table = read_lab_sheet(path)
    assert table.sample_ids == ("A1", "B2")
    np.testing.assert_array_equal(table.file_rows, [6, 7])
    assert table.notes == ()


def test_a_second_tab_of_results_is_told(save):
    other = [HEADER[:4], ["C3", "West", "0-10", 9]]
    table = read_lab_sheet(save({"First": ROWS, "Second": other}))
    assert table.sample_ids == ("A1", "B2")
    (note,) = table.notes
    assert "'First' is read; 'Second' may hold results too" in note.message


def test_a_hidden_tab_is_not_read(save):
    def hide(book):
        book["Old"].sheet_state = "hidden"

    path = save(
        {"Old": [[*HEADER, "pH (CaCl2)"], ["X", "", "", 1, 2, 5]], "New": ROWS}, change=hide
    )
    table = read_lab_sheet(path)
    assert table.sample_ids == ("A1", "B2")
    assert table.notes == ()


def test_whole_numbers_have_no_point_and_stray_digits_are_gone(save):
    table = read_lab_sheet(save({"R": [HEADER, [1001, 4, "0-10", 0.1 + 0.2, 80]]}))
    assert table.sample_ids == ("1001",)
    assert table.zone_names == ("4",)
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [0.3])


def test_an_empty_first_column_and_row_keep_their_place(save):
    rows = [[], *[[None, *row] for row in ROWS]]
    np.testing.assert_array_equal(read_lab_sheet(save({"R": rows})).file_rows, [3, 4])


def test_a_sample_merged_over_its_layers_names_each_of_them(save):
    rows = [HEADER, ["A1", "North", "0-10", 23, 80], [None, None, "10-20", 12, 90]]

    def merge(book):
        book["R"].merge_cells("A2:A3")
        book["R"].merge_cells("B2:B3")

    table = read_lab_sheet(save({"R": rows}, change=merge))
    assert table.sample_ids == ("A1", "A1")
    assert table.zone_names == ("North", "North")
    assert table.depths_cm == ("0-10", "10-20")


@pytest.mark.parametrize(
    ("index", "column"), [(0, "Sample"), (2, "Depth (cm)"), (3, "Colwell P (mg/kg)")]
)
def test_a_date_where_an_id_a_layer_or_a_result_belongs_is_refused(save, index, column):
    row = ["B2", "South", "10-20", 9, 70]
    row[index] = datetime.datetime(2025, 10, 1)
    note = refusal(save({"R": [*ROWS, row]}))
    assert (note.row, note.column, note.value) == (4, column, "2025-10-01")
    assert "holds the date or time 2025-10-01" in note.message
    assert "Format the column as text" in note.mend


def test_a_date_below_row_forty_is_refused_too(save):
    rows = [[f"S{i}", "North", "0-10", i + 1, 80] for i in range(60)]
    rows[50][2] = datetime.date(2025, 10, 1)
    assert refusal(save({"R": [HEADER, *rows]})).row == 52


def test_dates_in_a_column_of_dates_are_in_nobodys_way(save):
    rows = [[*row, datetime.datetime(2026, 3, i + 1)] for i, row in enumerate(ROWS)]
    rows[0][-1] = "Date sampled"
    table = read_lab_sheet(save({"R": rows}))
    assert table.sample_ids == ("A1", "B2")
    assert "Date sampled" in table.notes[0].message


def test_a_formula_without_its_value_is_refused_where_it_is_needed(save):
    note = refusal(save({"R": [HEADER, ["A1", "North", "0-10", "=20+3", 80]]}))
    assert (note.row, note.column) == (2, "Colwell P (mg/kg)")
    assert "formula without its value" in note.message
    assert "save it again" in note.mend


def test_a_formula_without_its_value_in_a_column_that_nothing_reads_is_left(save):
    rows = [[*HEADER, "Price"], ["A1", "North", "0-10", 23, 80, "=20+3"]]
    assert read_lab_sheet(save({"R": rows})).sample_ids == ("A1",)


def test_a_formula_with_its_value_is_read(save):
    path = save({"R": [HEADER, ["A1", "North", "0-10", "=20+3", 80]]})
    rewritten(
        path,
        lambda name, content: (
            content.replace(b"<v></v>", b"<v>23</v>")
            .replace(b"<v />", b"<v>23</v>")
            .replace(b"<v/>", b"<v>23</v>")
        ),
    )
    np.testing.assert_array_equal(column_of(read_lab_sheet(path), "colwell_p").values, [23.0])


def test_an_error_value_is_refused_and_not_read_as_nothing(save):
    def spoil(book):
        book["R"]["E2"].value, book["R"]["E2"].data_type = "#REF!", "e"

    note = refusal(save({"R": ROWS}, change=spoil))
    assert (note.row, note.column, note.value) == (2, "PBI", "#REF!")


def test_a_workbook_with_macros_is_refused_by_name_part_or_type(save):
    for name, extra, mark in (
        ("lab.xlsm", [("xl/vbaProject.bin", b"macro")], b""),
        ("other.xlsx", [("xl/vbaProject.bin", b"macro")], b""),
        ("third.xlsx", [], b"macroEnabled."),
    ):
        path = save({"R": ROWS}, name=name)

        def change(part, content, mark=mark):
            if part == "[Content_Types].xml" and mark:
                return content.replace(b"spreadsheetml.sheet.main", mark + b"main")
            return content

        note = refusal(rewritten(path, change, extra=extra))
        assert "macros" in note.message
        assert "CSV" in note.mend


def test_a_workbook_that_looks_into_others_is_refused(save):
    path = rewritten(
        save({"R": ROWS}), same, extra=[("xl/externalLinks/externalLink1.xml", b"<x/>")]
    )
    assert "other workbooks" in refusal(path).message


def test_a_renamed_workbook_is_read_and_told(save):
    table = read_lab_sheet(save({"R": ROWS}, name="lab.csv"))
    assert table.sample_ids == ("A1", "B2")
    assert "is a workbook, whatever its name says" in table.notes[0].message


def test_a_text_file_named_as_a_workbook_is_read_and_told(tmp_path):
    path = tmp_path / "lab.xlsx"
    path.write_text("Sample,Colwell P (mg/kg)\nA1,23\n", "utf-8")
    table = read_lab_sheet(path)
    assert table.sample_ids == ("A1",)
    assert "is a text file, whatever its name says" in table.notes[0].message


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_a_workbook_cut_off_is_refused(save, share):
    path = save({"R": ROWS})
    content = path.read_bytes()
    path.write_bytes(content[: int(share * len(content))])
    assert "damaged" in refusal(path).message


def test_a_workbook_without_a_byte_is_told_to_be_empty(tmp_path):
    path = tmp_path / "lab.xlsx"
    path.touch()
    assert refusal(path).message == "the file is empty"


def test_a_workbook_with_a_wrecked_middle_is_refused(save):
    path = save({"R": [HEADER, *[[f"S{i}", "N", "0-10", i, 5] for i in range(500)]]})
    content = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        start = archive.getinfo("xl/worksheets/sheet1.xml").header_offset
    content[start + 200 : start + 260] = bytes(60)
    path.write_bytes(bytes(content))
    assert "damaged" in refusal(path).message


@pytest.mark.parametrize(
    "part", ["xl/workbook.xml", "[Content_Types].xml", "xl/worksheets/sheet1.xml"]
)
def test_a_workbook_without_one_of_its_parts_is_refused(save, part):
    path = save({"R": ROWS})
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist() if name != part}
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    assert refusal(path).mend


def test_an_empty_workbook_and_an_older_one_are_refused(save, tmp_path):
    assert "is empty" in refusal(save({"R": []})).message
    older = tmp_path / "lab.xls"
    older.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512))
    note = refusal(older)
    assert "older or a locked workbook" in note.message
    assert "XLSX" in note.mend


def test_a_zip_that_is_no_workbook_is_refused(tmp_path):
    path = tmp_path / "lab.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("boundary.geojson", "{}")
    assert "no XLSX workbook" in refusal(path).message


def test_a_workbook_that_swells_when_unpacked_is_refused(save):
    path = rewritten(save({"R": ROWS}), same, extra=[("xl/media/zeros.bin", bytes(60_000_000))])
    assert "unpacks to 60 MB" in refusal(path).message


@pytest.mark.parametrize(
    "cell",
    [
        b'r="XFD1"',
        b'r="A1048576"',
        b"r='XFD1'",
        b'r = "A1048576"',
        b'r\n=\t"XFD1048576"',
        b'r="JA1"',
        b'r="xfd1"',
        b'r="Ja1"',
    ],
)
def test_a_cell_far_away_is_refused_before_a_table_of_that_size_is_made(save, cell):
    path = save({"R": ROWS})

    def change(name, content):
        far = b'<row r="4"><c ' + cell + b"><v>1</v></c></row></sheetData>"
        return content.replace(b"</sheetData>", far) if "sheet1" in name else content

    assert "cells beyond row 99999 or column 260" in refusal(rewritten(path, change)).message


def test_a_workbook_with_entities_of_its_own_is_refused(save):
    path = save({"R": ROWS})
    head = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x "y">]>'

    def change(name, content):
        return head + content.split(b"?>", 1)[-1] if name == "xl/workbook.xml" else content

    assert "entities" in refusal(rewritten(path, change)).message


def test_entities_hidden_in_another_encoding_are_refused(save):
    path = save({"R": ROWS})

    def change(name, content):
        text = content.decode("utf-8").split("?>", 1)[-1]
        hidden = f'<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE a [<!ENTITY x "y">]>{text}'
        return hidden.encode("utf-16") if name == "xl/workbook.xml" else content

    assert "entities" in refusal(rewritten(path, change)).message


def test_decimal_commas_typed_as_text_are_decided_for_the_column(save):
    rows = [HEADER, ["A1", "North", "0-10", "12,5", 80], ["B2", "South", "0-10", "9,25", 70]]
    table = read_lab_sheet(save({"R": rows}))
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [12.5, 9.25])


def test_a_part_that_unpacks_to_more_than_it_says_is_refused(save):
    path = rewritten(
        save({"Results": ROWS}), same, extra=[("xl/notes.xml", b"<notes>" + b" " * 4321)]
    )
    content = path.read_bytes()
    size, smaller = (4328).to_bytes(4, "little"), (328).to_bytes(4, "little")
    assert content.count(size) == 2  # before the part, and in the list of contents
    path.write_bytes(content.replace(size, smaller))
    assert "damaged" in refusal(path).message


def test_true_is_never_read_as_one(save):
    rows = [["Sample", "PBI", "Colwell P (mg/kg)"], ["A", 80, 1], ["B", True, 5]]
    note = refusal(save({"Results": rows}))
    assert (note.row, note.column, note.value) == (3, "PBI", "TRUE")


def test_a_formula_without_its_value_is_found_by_a_reference_in_small_letters(save):
    path = save({"Results": [HEADER, ["A1", "North", "0-10", "=20+3", 80]]})
    rewritten(path, lambda _, content: content.replace(b'r="D2"', b'r="d2"'))
    assert "formula without its value" in refusal(path).message
