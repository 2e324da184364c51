import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.soil.results_table import column_of


def values(table, key="colwell_p"):
    column = column_of(table, key)
    return [
        f"{limit}{value:g}" if not math.isnan(value) else ""
        for value, limit in zip(column.values, column.limits, strict=True)
    ]


WIDE = """\
Results of an invented paddock,,,,,
Sample,Zone,Depth (cm),Longitude,Latitude,Colwell P (mg/kg),PBI,pH (CaCl2)
A1,North,0-10,147.2,-35.1,23,80,5.1
A1,North,10-20,147.2,-35.1,<5,90,5.4
B2,South,0 - 10 cm,147.3,-35.2,41.5,n/a,>6
"""
LONG = """\
Sample,Zone,Depth (cm),Longitude,Latitude,Analyte,Value,Unit
A1,North,0-10,147.2,-35.1,Colwell P,23,mg/kg
A1,North,0-10,147.2,-35.1,PBI,80,
A1,North,0-10,147.2,-35.1,pH (CaCl2),5.1,
A1,North,10-20,147.2,-35.1,Colwell P,<5,ppm
A1,North,10-20,147.2,-35.1,PBI,90,
A1,North,10-20,147.2,-35.1,pH (CaCl2),5.4,
B2,South,0–10,147.3,-35.2,Colwell P,0.0415,g/kg
B2,South,0–10,147.3,-35.2,PBI,n/a,
B2,South,0–10,147.3,-35.2,pH (CaCl2),>6,
"""


def test_a_wide_sheet_is_read_below_its_title(read):
    table = read(WIDE)
    assert table.file == "lab.csv"
    np.testing.assert_array_equal(table.file_rows, [3, 4, 5])
    assert table.sample_ids == ("A1", "A1", "B2")
    assert table.zone_names == ("North", "North", "South")
    assert table.depths_cm == ("0-10", "10-20", "0-10")
    np.testing.assert_array_equal(table.longitude_degree, [147.2, 147.2, 147.3])
    np.testing.assert_array_equal(table.latitude_degree, [-35.1, -35.1, -35.2])
    assert values(table) == ["23", "<5", "41.5"]
    assert values(table, "pbi") == ["80", "90", ""]
    assert values(table, "ph_cacl2") == ["5.1", "5.4", ">6"]
    assert table.notes == ()


def test_a_long_sheet_holds_the_same_as_a_wide_one(read):
    wide, long = read(WIDE), read(LONG)
    np.testing.assert_array_equal(long.file_rows, [2, 5, 8])
    assert long.sample_ids == wide.sample_ids
    assert long.zone_names == wide.zone_names
    assert long.depths_cm == wide.depths_cm
    np.testing.assert_array_equal(long.longitude_degree, wide.longitude_degree)
    np.testing.assert_array_equal(long.latitude_degree, wide.latitude_degree)
    for key in ("colwell_p", "pbi", "ph_cacl2"):
        assert values(long, key) == values(wide, key)
    assert long.notes == ()


def test_columns_that_are_not_there_are_empty(read):
    table = read("Sample,Colwell P (mg/kg)\nA,23\n")
    assert table.zone_names == table.depths_cm == ("",)
    assert np.all(np.isnan(table.longitude_degree))
    assert np.all(np.isnan(table.latitude_degree))


RESULTS = st.lists(
    st.fixed_dictionaries(
        {
            "colwell_p": st.floats(0, 2000).map(lambda v: f"{v:.2f}"),
            "olsen_p": st.sampled_from(["", "<5", "12.5", "ND"]),
            "ph_water": st.floats(3, 10).map(lambda v: f"{v:.1f}"),
        }
    ),
    min_size=1,
    max_size=8,
)
NAMES = {"colwell_p": "Colwell P", "olsen_p": "Olsen P", "ph_water": "pH (water)"}


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=RESULTS)
def test_any_results_are_the_same_from_a_wide_and_a_long_sheet(read, rows):
    wide = ["Sample,Colwell P (mg/kg),Olsen P (mg/kg),pH (water)"]
    long = ["Sample,Analyte,Value,Unit"]
    for number, row in enumerate(rows):
        wide.append(f"S{number}," + ",".join(row[key] for key in NAMES))
        for key, text in row.items():
            long.append(f"S{number},{NAMES[key]},{text},{'' if key == 'ph_water' else 'ppm'}")
    one, other = read("\n".join(wide)), read("\n".join(long))
    assert one.sample_ids == other.sample_ids
    for key in NAMES:
        assert values(one, key) == values(other, key)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_the_order_of_the_lines_changes_no_result(read, data):
    header, *lines = LONG.splitlines()
    shuffled = data.draw(st.permutations(lines))
    one, other = read(LONG), read("\n".join([header, *shuffled]))

    def by_sample(table):
        keys = zip(table.sample_ids, table.depths_cm, strict=True)
        columns = (values(table, key) for key in ("colwell_p", "pbi", "ph_cacl2"))
        return dict(zip(keys, zip(*columns, table.zone_names, strict=True), strict=True))

    assert by_sample(one) == by_sample(other)


def test_a_semicolon_sheet_with_decimal_commas_is_read(read):
    content = "id;lat;lon;Olsen P (mg/kg)\r\n1;-35,5;149,25;12,5\r\n2;-35,6;149,26;< 0,5\r\n"
    table = read(content)
    np.testing.assert_array_equal(table.latitude_degree, [-35.5, -35.6])
    np.testing.assert_array_equal(table.longitude_degree, [149.25, 149.26])
    assert values(table, "olsen_p") == ["12.5", "<0.5"]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_each_delimiter_and_line_ending_is_understood(read, delimiter, ending):
    lines = ["Invented, all of it", "Sample,Zone,Colwell P (mg/kg)", "A,North,23", "", "B,South,31"]
    content = ending.join([lines[0], *(line.replace(",", delimiter) for line in lines[1:])])
    table = read(content)
    assert values(table) == ["23", "31"]
    np.testing.assert_array_equal(table.file_rows, [3, 5])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_each_unicode_encoding_is_understood(read, encoding):
    table = read("Sample,Zone,Colwell P (mg/kg)\nÄ1,Föhre,23\n", encoding)
    assert table.sample_ids == ("Ä1",)
    assert table.zone_names == ("Föhre",)
    assert table.notes == ()


def test_an_older_encoding_is_read_with_a_note(read):
    table = read("Sample,Zone,Colwell P (mg/kg)\nÄ1,Föhre,23\n", "cp1252")
    assert table.zone_names == ("Föhre",)
    (note,) = table.notes
    assert "Windows-1252" in note.message
    assert note.file == "lab.csv"


def test_a_quoted_cell_may_hold_the_delimiter_and_a_line_break(read):
    table = read('Sample,Zone,"Colwell P\n(mg/kg)"\nA,"North, upper",23\n')
    assert table.zone_names == ("North, upper",)
    np.testing.assert_array_equal(table.file_rows, [2])


def test_twenty_thousand_rows_are_read(read):
    lines = [f"S{i},Z{i % 5},0-10,{i % 90 + 1},{i % 300}" for i in range(20_000)]
    table = read("Sample,Zone,Depth,Colwell P (mg/kg),PBI\n" + "\n".join(lines))
    assert len(table.sample_ids) == 20_000
    # 222 whole rounds of 1 to 90, and 1 to 20 once more
    assert column_of(table, "colwell_p").values.sum() == 222 * 4095 + 210


CELLS = st.sampled_from(
    [
        *("Sample", "Zone", "Depth", "Lon", "Lat", "Rep", "Colwell P (mg/kg)", "Colwell P", "PBI"),
        *("pH", "Analyte", "Value", "Unit", "Olsen P", "mg/kg", "A", "B", "", "0-10", "5", "<5"),
        *("ND", "-", "147.2", "-35.1", "1,5", '"', "(", ")", "P ()", "x;y"),
    ]
)
HEADERS = st.sampled_from(
    [
        ["Sample", "Zone", "Depth", "Colwell P (mg/kg)", "PBI"],
        ["Sample", "Rep", "Analyte", "Value", "Unit"],
        ["Sample", "Lon", "Lat", "Colwell P", "PBI"],
        ["A", "B"],
    ]
)


def outcome(read, content):
    try:
        return read(content)
    except InputFileError as error:
        return error.note


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300)
@given(
    header=HEADERS,
    rows=st.lists(st.lists(CELLS, max_size=6), max_size=5),
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
)
def test_any_sheet_is_read_or_refused_with_a_way_out(read, header, rows, delimiter):
    found = outcome(read, "\n".join(delimiter.join(row) for row in [header, *rows]))
    if isinstance(found, Note):
        assert found.file == "lab.csv"
        assert found.mend
    else:
        assert len(found.sample_ids) == len(found.file_rows) > 0
        assert found.columns
        assert all(len(column.values) == len(found.sample_ids) for column in found.columns)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=200))
def test_any_bytes_are_refused_where_they_are_no_sheet(read, content):
    with pytest.raises(InputFileError) as caught:
        read(content)
    assert caught.value.note.mend


@pytest.mark.parametrize("content", [b"", b"  \n\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_refused(read, content):
    with pytest.raises(InputFileError, match="the file is empty") as caught:
        read(content)
    assert caught.value.note.file == "lab.csv"


@pytest.mark.parametrize(
    "content", [b"PK\x03\x04 workbook", b"S\0a\0m\0", b"\xff\xfeS", b"Sample,\x81\x8d"]
)
def test_what_is_no_text_is_refused(read, content):
    with pytest.raises(InputFileError, match="no text file") as caught:
        read(content)
    assert "CSV" in caught.value.note.mend


def test_an_open_quotation_mark_is_refused_with_its_row(read):
    with pytest.raises(InputFileError, match="cut into cells") as caught:
        read('Sample,Colwell P (mg/kg)\nA,23\nB,"31\nC,12\n')
    assert caught.value.note.row == 3


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(InputFileError, match="no such file"):
        read_lab_sheet(tmp_path / "none.csv")
    with pytest.raises(InputFileError, match="a folder"):
        read_lab_sheet(tmp_path)


def test_a_file_over_a_hundred_megabytes_is_refused(tmp_path):
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.truncate(100_000_001)
    with pytest.raises(InputFileError, match="larger than 100 MB"):
        read_lab_sheet(path)
