import numpy as np
import pytest

from vrxapp.errors import InputFileError, UnknownChoiceError
from vrxapp.files.lab_sheets.preview import pasted_preview
from vrxapp.files.lab_sheets.reader import read_opened
from vrxapp.soil.results_table import column_of, paddocks_of, rows_of_paddock

EXPORT = """\
Report of analysis;;;;;;;;
Client:;Invented Pastoral;;;;;;;

Lab No;Sample Name;Field;Depth;Colwell P;pH (CaCl2);Calcium;EC 1:5;Nitrate N
;;;cm;mg/kg;;cmol(+)/kg;uS/cm;mg/kg
Method;;;;9B1;4B1;15A1;3A1;7B1
LOR;;;;1;0,1;0,05;1;1
901;Creek flat;Long Bend;0-10;23,5;5,1;4,25;120;11
902;Red rise;Two Mile;0-10;<1;4,8;3,1;80;ND

Results relate to the samples as received.;;;;;;;;
End of report
"""


def test_an_export_with_units_methods_limits_and_a_footer_is_read(read):
    table = read(EXPORT)
    assert table.sample_ids == ("Creek flat", "Red rise")
    assert table.paddock_names == ("Long Bend", "Two Mile")
    np.testing.assert_array_equal(table.file_rows, [8, 9])
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.5, 1.0])
    np.testing.assert_array_equal(column_of(table, "exch_ca").values, [4.25, 3.1])
    np.testing.assert_allclose(column_of(table, "ec_1_5").values, [0.12, 0.08])
    left_out = [note.row for note in table.notes if "left out" in note.message]
    assert left_out == [4, 6, 7, 11]
    assert rows_of_paddock(table, "two mile").sample_ids == ("Red rise",)


def test_cells_copied_from_a_spreadsheet_are_read():
    text = "Sample\tDepth\tColwell P (mg/kg)\nA\t0-10\t12,5\nB\t0-10\t<5\n"
    table = read_opened(pasted_preview(text, "pasted cells").sheet)
    assert table.file == "pasted cells"
    assert table.sample_ids == ("A", "B")
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [12.5, 5.0])


def test_an_empty_clipboard_is_refused():
    with pytest.raises(InputFileError, match="empty") as caught:
        pasted_preview(" \n", "pasted cells")
    assert caught.value.note.file == "pasted cells"


@pytest.mark.parametrize(
    "content",
    [
        "Test,Unit,A1,A2\nColwell P,mg/kg,23,31\nPBI,,80,90\n",
        "Sample,A1,A2\nColwell P (mg/kg),23,31\nPBI,80,90\n",
    ],
)
def test_samples_side_by_side_are_refused_with_the_way_to_turn_them(read, content):
    with pytest.raises(InputFileError, match="side by side") as caught:
        read(content)
    assert "transposed" in caught.value.note.mend
    assert str(caught.value).startswith("lab.csv, row 2, column 1: the samples stand side by side")


def test_the_two_ends_of_a_layer_may_have_a_column_each(read):
    table = read("Sample,Depth From (cm),Depth To (cm),PBI\nA,0,10,80\nA,10,20,90\nB,,,70\n")
    assert table.depths_cm == ("0-10", "10-20", "")


def test_one_end_of_a_layer_alone_is_refused(read):
    with pytest.raises(InputFileError, match="one end of the layers"):
        read("Sample,Depth From,PBI\nA,0,80\n")


def test_one_sample_id_in_two_paddocks_is_two_samples(read):
    table = read("Paddock,Sample,PBI\nHome,1,80\nCreek,1,90\n")
    assert table.sample_ids == ("1", "1")
    np.testing.assert_array_equal(column_of(table, "pbi").values, [80.0, 90.0])
    assert "2 paddocks: Home, Creek" in table.notes[0].message


def test_paddocks_of_one_name_are_told_apart_by_their_grower(read):
    table = read("Grower,Paddock,Sample,PBI\nAda,Home,1,80\nAda,Creek,1,85\nBo,Home,1,90\n")
    assert table.paddock_names == ("Ada: Home", "Creek", "Bo: Home")
    assert paddocks_of(table) == ("Ada: Home", "Creek", "Bo: Home")
    assert rows_of_paddock(table, "ada:home").file_rows.tolist() == [2]
    assert rows_of_paddock(table, "Bo : Home").file_rows.tolist() == [4]
    with pytest.raises(UnknownChoiceError, match="2 growers have a paddock 'Home'") as caught:
        rows_of_paddock(table, "Home")
    assert caught.value.note.mend == "Choose one of: Ada: Home, Bo: Home"


@pytest.mark.parametrize(
    ("name", "key", "value", "expected"),
    [
        # 5 cmol(+)/kg of calcium weigh 5 x 10 x 40.078 / 2 = 1001.95 mg/kg (UNIT-01)
        ("Exch Ca (mg/kg)", "exch_ca", "1001.95", 5.0),
        ("Magnesium (exchangeable) (meq/100g)", "exch_mg", "3.7", 3.7),
        ("K (cmol(+)/kg)", "exch_k", "0.4", 0.4),
        # 460 / (10 x 22.990) = 2.00087 (UNIT-04)
        ("Exchangeable Sodium mg/kg", "exch_na", "460", 2.00087),
        ("Aluminium (KCl) mg/kg", "exch_al", "89.94", 1.0),
        ("Exch. H (cmol(+)/kg)", "exch_h", "0.2", 0.2),
        ("ECEC (cmol(+)/kg)", "ecec", "8", 8.0),
        ("Ca (% base sat)", "ca_saturation", "52", 52.0),
        ("Na - % Base Saturation", "esp", "1.2", 1.2),
        ("Al % sat", "al_saturation", "14", 14.0),
        ("pH Buffer", "buffer_ph", "6.4", 6.4),
        ("Clay %", "clay", "22", 22.0),
        ("EC 1:5 (uS/cm)", "ec_1_5", "120", 0.12),
        ("Chloride (mg/kg)", "chloride", "60", 60.0),
        ("Nitrate-N (ppm)", "nitrate_n", "11", 11.0),
        ("Sulphur (KCl40) mg/kg", "sulfur_kcl40", "6", 6.0),
    ],
)
def test_each_further_analyte_is_understood_in_its_units(read, name, key, value, expected):
    column = column_of(read(f"Sample,{name}\nA,{value}\n"), key)
    np.testing.assert_allclose(column.values, [expected], rtol=2e-4)
