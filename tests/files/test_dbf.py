import io
import struct
from datetime import date

import numpy as np
import pytest
import shapefile
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import WriteError
from vrxapp.files.dbf import DbfField, FieldKind, ascii_labels, dbf_content, write_dbf

ZONE = DbfField("ZONE", FieldKind.TEXT, 16)
RATE = DbfField("RATE", FieldKind.NUMBER, 10, 2)
DAY = date(2025, 4, 30)


def table(zones, rates):
    return dbf_content([ZONE, RATE], [zones, rates], written_on=DAY, file="rates.dbf")


def read_by_pyshp(content):
    with shapefile.Reader(dbf=io.BytesIO(content)) as reader:
        return [tuple(record) for record in reader.records()]


def test_three_rows_of_zone_and_rate_take_179_bytes():  # SHP-07
    content = table(["North", "Middle", "South"], [120.0, 80.5, 0.0])
    rows, header, record = struct.unpack("<IHH", content[4:12])
    assert (rows, header, record, len(content)) == (3, 97, 27, 179)
    assert content[:4] == bytes([3, 125, 4, 30])
    assert content[96:97] == b"\r"
    assert content[-1:] == b"\x1a"


def test_each_field_is_described_by_name_kind_width_and_decimals():
    content = table(["North"], [120.0])
    assert struct.unpack("<11sc4xBB14x", content[32:64]) == (b"ZONE" + bytes(7), b"C", 16, 0)
    assert struct.unpack("<11sc4xBB14x", content[64:96]) == (b"RATE" + bytes(7), b"N", 10, 2)


def test_a_record_holds_text_to_the_left_and_numbers_to_the_right():
    content = table(["North"], [80.5])
    assert content[97:-1] == b" North                80.50"


def test_another_reader_finds_the_same_values():
    content = table(["North", "Middle", "South"], [120.0, 80.5, 0.0])
    assert read_by_pyshp(content) == [("North", 120.0), ("Middle", 80.5), ("South", 0.0)]


def test_the_same_table_and_date_give_the_same_bytes(tmp_path):
    for name in ("a.dbf", "b.dbf"):
        write_dbf(tmp_path / name, [RATE], [[1.0, 2.0]], written_on=DAY)
    assert (tmp_path / "a.dbf").read_bytes() == (tmp_path / "b.dbf").read_bytes()


def test_zero_below_nothing_is_stored_as_plain_zero():
    assert read_by_pyshp(table(["North"], [-0.0])) == [("North", 0.0)]
    assert b"-" not in table(["North"], [-0.0])[97:]


@given(st.lists(st.integers(0, 999_999_999), min_size=1, max_size=20))
def test_every_number_of_two_decimals_comes_back_as_it_was(hundredths):
    rates = [n / 100 for n in hundredths]
    assert [rate for _, rate in read_by_pyshp(table(["x"] * len(rates), rates))] == rates


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (np.nan, "finite"),
        (np.inf, "finite"),
        (-np.inf, "finite"),
        (None, "finite"),
        ("120", "finite"),
        (1e30, "characters"),
        (10_000_000.0, "characters"),
        (0.125, "2 decimals"),
        (120.001, "2 decimals"),
    ],
)
def test_a_number_that_does_not_fit_is_refused_with_field_and_row(rate, words):  # SHP-08
    with pytest.raises(WriteError, match=words) as caught:
        table(["North", "South"], [80.0, rate])
    note = caught.value.note
    assert (note.file, note.row, note.column, note.value) == ("rates.dbf", 2, "RATE", str(rate))
    assert note.mend


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("Böschung", "ASCII"),
        ("a\nb", "ASCII"),
        ("seventeen letters", "17 characters"),
        (7, "not a text"),
    ],
)
def test_a_text_that_does_not_fit_is_refused_with_field_and_row(zone, words):
    with pytest.raises(WriteError, match=words) as caught:
        table([zone, "South"], [80.0, 90.0])
    assert (caught.value.note.row, caught.value.note.column) == (1, "ZONE")


@pytest.mark.parametrize(
    "name", ["rate", "1RATE", "RATE KG", "TOO_LONG_NAME", "", "RÄTE", "RATE\n"]
)
def test_a_field_name_that_no_reader_takes_is_refused(name):
    with pytest.raises(WriteError, match="cannot be a field name"):
        DbfField(name, FieldKind.NUMBER, 10, 2)


@pytest.mark.parametrize(
    ("kind", "width", "decimals"),
    [
        (FieldKind.NUMBER, 0, 0),
        (FieldKind.NUMBER, 20, 2),
        (FieldKind.NUMBER, 3, 2),
        (FieldKind.NUMBER, 10, -1),
        (FieldKind.TEXT, 255, 0),
        (FieldKind.TEXT, 16, 1),
    ],
)
def test_a_field_without_room_is_refused(kind, width, decimals):
    with pytest.raises(WriteError, match="cannot be"):
        DbfField("RATE", kind, width, decimals)


def test_a_field_name_may_stand_only_once():
    with pytest.raises(WriteError, match="stands twice"):
        dbf_content([RATE, RATE], [[1.0], [2.0]], written_on=DAY)


@pytest.mark.parametrize("columns", [[["x"]], [["x"], [1.0, 2.0]]])
def test_columns_that_do_not_match_the_fields_are_refused(columns):
    with pytest.raises(WriteError, match="no table"):
        dbf_content([ZONE, RATE], columns, written_on=DAY)


def test_more_than_255_fields_are_refused():
    fields = [DbfField(f"F{n}", FieldKind.NUMBER, 4) for n in range(256)]
    with pytest.raises(WriteError, match="no table"):
        dbf_content(fields, [[1.0]] * 256, written_on=DAY)


def test_a_table_in_a_missing_folder_is_a_write_error(tmp_path):
    with pytest.raises(WriteError, match="its folder does not exist") as caught:
        write_dbf(tmp_path / "nowhere" / "rates.dbf", [RATE], [[1.0]], written_on=DAY)
    assert caught.value.note.file == "rates.dbf"


def test_a_plain_short_label_stays_as_it_is():
    assert ascii_labels(["North", "check strip", "Zone 2"], 16) == (
        "North",
        "check strip",
        "Zone 2",
    )


def test_a_changed_label_ends_in_a_visible_mark():
    labels = ["Böschung", "Löß", "北", "The slope along the creek", " North", "", "a\tb"]
    assert ascii_labels(labels, 16) == (
        "Boschung~1",
        "Lo?~1",
        "?~1",
        "The slope alon~1",
        "North~1",
        "~1",
        "a?b~1",
    )


def test_labels_that_start_alike_are_told_apart():
    labels = ["The slope along the creek", "The slope along the road", "The slope along the dam"]
    assert ascii_labels(labels, 16) == ("The slope alon~1", "The slope alon~2", "The slope alon~3")


def test_a_changed_label_gives_way_to_one_that_is_called_that_already():
    assert ascii_labels(["Böschung", "Boschung~1"], 16) == ("Boschung~2", "Boschung~1")


def test_all_parts_of_a_zone_keep_one_label():
    assert ascii_labels(["Süd", "North", "Süd"], 16) == ("Sud~1", "North", "Sud~1")


@given(st.lists(st.text(max_size=24), max_size=40))
def test_two_labels_never_become_one(labels):
    short = ascii_labels(labels, 16)
    assert len(set(short)) == len(set(labels))
    assert len(set(zip(labels, short, strict=True))) == len(set(labels))
    for label in short:
        assert label.isascii()
        assert label.isprintable()
        assert 0 < len(label) <= 16
        assert label == label.strip()


@given(st.lists(st.text("abAB ~1", min_size=1, max_size=18), max_size=40))
def test_a_label_that_fits_is_never_changed(labels):
    for label, short in zip(labels, ascii_labels(labels, 16), strict=True):
        if len(label) <= 16 and label == label.strip():
            assert short == label
