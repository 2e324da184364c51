import numpy as np
import pytest

from vrxapp.errors import InputFileError
from vrxapp.soil.results_table import column_of


@pytest.mark.parametrize(
    "name",
    ["Sample", "SAMPLE ID", "sample_id", "Sample No.", "Sample #", "Lab No", "Lab No.:", "id"],
)
def test_each_name_for_the_sample_is_understood(read, name):
    assert read(f"{name},Colwell P (mg/kg)\nA7,23\n").sample_ids == ("A7",)


@pytest.mark.parametrize("name", ["Zone", "zone name", "Area", "Management zone"])
def test_each_name_for_the_zone_is_understood(read, name):
    assert read(f"Sample,{name},Colwell P (mg/kg)\nA7,North,23\n").zone_names == ("North",)


@pytest.mark.parametrize("name", ["Depth", "depth cm", "Depth (cm)", "DEPTH [cm]"])
@pytest.mark.parametrize(
    ("text", "layer"),
    [("0-10", "0-10"), ("0 - 10 cm", "0-10"), ("0–10", "0-10"), ("0 to 7.5cm", "0-7.5")],
)
def test_each_way_to_write_a_layer_is_understood(read, name, text, layer):
    assert read(f"Sample,{name},Colwell P (mg/kg)\nA,{text},23\n").depths_cm == (layer,)


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("10", "for instance 0-10"),
        ("topsoil", "for instance 0-10"),
        ("Oct-10", "made a date of it"),
        ("2025-10-01", "made a date of it"),
        ("1/10/2025", "made a date of it"),
    ],
)
def test_what_is_no_layer_is_refused(read, text, mend):
    with pytest.raises(InputFileError, match="is not a layer") as caught:
        read(f"Sample,Depth,Colwell P (mg/kg)\nA,0-10,23\nB,{text},23\n")
    note = caught.value.note
    assert (note.row, note.column, note.value) == (3, "Depth", text)
    assert mend in note.mend


def test_a_layer_that_ends_above_its_beginning_is_refused(read):
    with pytest.raises(InputFileError, match="ends above its beginning"):
        read("Sample,Depth,Colwell P (mg/kg)\nA,10-1,23\n")


@pytest.mark.parametrize(
    "content",
    [
        "Sample,Depth (m),Colwell P (mg/kg)\nA,0-0.1,23\n",
        "Sample,Depth,Colwell P\n,m,mg/kg\nA,0-0.1,23\n",
    ],
)
def test_depths_in_another_unit_are_refused(read, content):
    with pytest.raises(InputFileError, match="depths in 'm'") as caught:
        read(content)
    assert "cm" in caught.value.note.mend


@pytest.mark.parametrize(
    "names", ["Longitude,Latitude", "lon,lat", "LONG,Lat", "Longitude (degrees),Latitude (WGS84)"]
)
def test_each_name_for_a_position_is_understood(read, names):
    table = read(f"Sample,{names},Colwell P (mg/kg)\nA,147.2,-35.1,23\n")
    np.testing.assert_array_equal(table.longitude_degree, [147.2])
    np.testing.assert_array_equal(table.latitude_degree, [-35.1])


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Colwell P (mg/kg)", "colwell_p"),
        ("Phosphorus (Colwell) (mg/kg)", "colwell_p"),
        ("Colwell_P [ppm]", "colwell_p"),
        ("Colwell P, mg/kg", "colwell_p"),
        ("OLSEN P mg kg-1", "olsen_p"),
        ("pH (CaCl2)", "ph_cacl2"),
        ("pH 1:5 water", "ph_water"),
        ("Organic carbon %", "organic_carbon"),
        ("PBI", "pbi"),
    ],
)
def test_each_way_to_name_an_analyte_is_understood(read, name, key):
    content = f'Sample,"{name}"\nA,7\n'
    table = read(content)
    np.testing.assert_array_equal(column_of(table, key).values, [7.0])
    assert table.notes == ()


@pytest.mark.parametrize("start", ["Lab No,Sample,PBI\n901,A,", "Sample,Lab No,PBI\nA,901,"])
def test_the_preferred_of_two_sample_columns_is_used_and_the_other_told(read, start):
    table = read(f"{start}80\n")
    assert table.sample_ids == ("A",)
    (note,) = table.notes
    assert "no rule uses Lab No yet" in note.message


def test_the_columns_of_a_long_sheet_mean_nothing_in_a_wide_one(read):
    (note,) = read("Sample,Method,Unit,PBI\nA,spade,one,80\n").notes
    assert "no rule uses Method, Unit yet" in note.message


def test_columns_that_nothing_reads_are_told_in_one_note(read):
    table = read("Sample,Boron,Colwell P (mg/kg),Crop,Empty,\nA,0.4,23,wheat,,x\n")
    (note,) = table.notes
    assert "no rule uses Boron, Crop, column 6 yet" in note.message
    assert (note.file, note.row, note.column) == ("lab.csv", 1, "Boron")
    assert len(table.columns) == 1


def test_a_nameless_column_is_told_by_its_number_once(read):
    (note,) = read("Sample,PBI,\nA,80,x\n").notes
    assert str(note).startswith("lab.csv, row 1, column 3: no rule uses column 3 yet")


@pytest.mark.parametrize(
    ("name", "methods"),
    [("P", "Colwell or Olsen"), ("Phosphorus (mg/kg)", "Colwell or Olsen"), ("pH", "in water")],
)
def test_a_result_without_its_method_is_not_used_and_told(read, name, methods):
    table = read(f"Sample,PBI,{name}\nA,80,23\n")
    assert [column.analyte.key for column in table.columns] == ["pbi"]
    (note,) = table.notes
    assert "does not say by which method" in note.message
    assert methods in note.message
    assert note.column == name
    assert "in the sheet's layout" in note.mend


@pytest.mark.parametrize("name", ["Na", "EC"])
def test_a_bare_name_is_left_out_and_told_with_its_column_and_the_mend(read, name):
    table = read(f"Sample,PBI,{name}\nA,80,0.5\n")
    assert [column.analyte.key for column in table.columns] == ["pbi"]
    (note,) = table.notes
    assert (note.row, note.column) == (1, name)
    assert "what the column holds and in which unit" in note.mend


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("CEC", "cec"),
        ("Cation exchange capacity", "cec"),
        ("CEC (meq/100g)", "cec"),
        ("CEC (ammonium acetate)", "cec"),
        ("ECEC", "ecec"),
        ("Effective CEC", "ecec"),
        ("CEC (effective)", "ecec"),
    ],
)
def test_only_a_name_that_says_effective_is_the_effective_capacity(read, name, key):
    (column,) = read(f"Sample,{name}\nA,12\n").columns
    assert column.analyte.key == key
    assert ("does not tell" in column.analyte.method) == (key == "cec")


def test_both_capacities_may_stand_in_one_sheet(read):
    table = read("Sample,CEC (cmol(+)/kg),ECEC (cmol(+)/kg)\nA,14,12\n")
    values = [(column.analyte.key, column.values.tolist()) for column in table.columns]
    assert values == [("cec", [14.0]), ("ecec", [12.0])]


def test_a_long_result_without_its_method_is_not_used_and_told(read):
    table = read("Sample,Analyte,Value,Unit\nA,PBI,80,\nA,Phosphorus,23,mg/kg\nA,Boron,1,mg/kg\n")
    assert [column.analyte.key for column in table.columns] == ["pbi"]
    method, unknown = table.notes
    assert (method.row, method.value) == (3, "Phosphorus")
    assert "no rule uses Boron yet" in unknown.message
    assert (unknown.row, unknown.column) == (4, "Analyte")


def test_a_long_sheet_may_give_the_method_in_a_column_of_its_own(read):
    table = read("Sample,Analyte,Method,Value,Unit\nA,Phosphorus,Olsen,12,mg/kg\nA,pH,Water,6,\n")
    assert [column.analyte.key for column in table.columns] == ["olsen_p", "ph_water"]
    assert table.notes == ()


def test_a_sheet_with_nothing_but_a_method_missing_says_so(read):
    with pytest.raises(InputFileError, match="does not say by which method") as caught:
        read("Sample,P (mg/kg)\nA,23\n")
    assert "Colwell P" in caught.value.note.mend


def test_a_sheet_without_a_sample_column_is_refused(read):
    with pytest.raises(InputFileError, match="no column names the samples") as caught:
        read("A title\nPaddock,Colwell P (mg/kg)\nHome,23\n")
    note = caught.value.note
    assert (note.file, note.row) == ("lab.csv", 2)
    assert "'Sample'" in note.mend


@pytest.mark.parametrize(
    "content",
    [
        "Sample,Boron,Zinc\nA,0.4,1\n",
        "Sample,Analyte,Value\nA,Boron,1\n",
        "A letter that holds no results at all.\n",
    ],
)
def test_a_sheet_without_a_known_analyte_is_refused(read, content):
    with pytest.raises(InputFileError, match="no known analyte") as caught:
        read(content)
    assert "Colwell P, Olsen P" in caught.value.note.mend


def test_the_row_that_names_the_samples_is_the_header_even_without_an_analyte(read):
    with pytest.raises(InputFileError, match="no known analyte among: Sample, Boron") as caught:
        read("Area,Home\nSample,Boron\nA,0.4\n")
    assert caught.value.note.row == 2


def test_two_columns_of_one_analyte_are_refused(read):
    with pytest.raises(InputFileError, match="two columns hold the same") as caught:
        read("Sample,Colwell P (mg/kg),P Colwell\nA,23,24\n")
    assert caught.value.note.column == "P Colwell"


def test_two_columns_of_one_role_are_refused(read):
    with pytest.raises(InputFileError, match="two columns hold the same"):
        read("Sample,Zone,zone,Colwell P (mg/kg)\nA,North,South,24\n")


@pytest.mark.parametrize(
    "content",
    ["Sample,Colwell P (mg/kg)\n", "Sample,Colwell P\n,mg/kg\n", "Sample,Colwell P (mg/kg)\n,\n\n"],
)
def test_a_header_without_results_is_refused(read, content):
    with pytest.raises(InputFileError, match="no results under the header"):
        read(content)


def test_a_printed_table_whose_columns_are_lost_is_told_as_such(read):
    with pytest.raises(InputFileError, match="cells are not parted") as caught:
        read("Sample ID Zone Colwell P PBI\nA1 Creek flat 23 80\n")
    assert "spreadsheet" in caught.value.note.mend
