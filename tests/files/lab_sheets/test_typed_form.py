import numpy as np
import pytest

from vrxapp.errors import InputFileError, MissingInputError, UnknownChoiceError
from vrxapp.files.lab_sheets.typed_form import TypedRow, typed_results
from vrxapp.soil.results_table import column_of


def test_typed_results_become_a_table():
    table = typed_results(
        [
            TypedRow("A", "North", "0-10 cm", (("colwell_p", "23"), ("exch_ca", "5,5"))),
            TypedRow("", "", "", ()),
            TypedRow("B", "", "", (("colwell_p", "<5"),)),
        ]
    )
    assert table.file == "typed sheet"
    assert table.sample_ids == ("A", "B")
    assert table.zone_names == ("North", "")
    assert table.depths_cm == ("0-10", "")
    np.testing.assert_array_equal(table.file_rows, [1, 3])
    np.testing.assert_array_equal(column_of(table, "colwell_p").values, [23.0, 5.0])
    assert column_of(table, "colwell_p").limits.tolist() == ["", "<"]
    np.testing.assert_array_equal(column_of(table, "exch_ca").values, [5.5, np.nan])
    assert table.notes == ()


@pytest.mark.parametrize(
    ("row", "column", "value"),
    [
        (TypedRow("B", "", "", (("ph_cacl2", "65"),)), "pH in calcium chloride (pH)", "65"),
        (TypedRow("B", "", "10", (("pbi", "80"),)), "Depth (cm)", "10"),
        (TypedRow("B", "", "", (("pbi", "many"),)), "Phosphorus buffering index (index)", "many"),
        (TypedRow("", "North", "", ()), "Sample", ""),
        (TypedRow("", "", "", (("pbi", "80"),)), "Sample", ""),
        (TypedRow("B", "", "", (("pbi", "80"), ("pbi", "81"))), "pbi", ""),
    ],
)
def test_a_wrong_cell_is_named_by_row_and_column_of_the_form(row, column, value):
    with pytest.raises(InputFileError) as caught:
        typed_results([TypedRow("A", "", "", (("pbi", "80"),)), row])
    note = caught.value.note
    assert (note.file, note.row, note.column, note.value) == ("typed sheet", 2, column, value)
    assert note.mend


@pytest.mark.parametrize(
    "rows", [[], [TypedRow("A", "", "", ())], [TypedRow("A", "", "", (("pbi", " "),))]]
)
def test_a_form_without_a_result_is_refused(rows):
    with pytest.raises(MissingInputError, match="nothing was typed"):
        typed_results(rows)


def test_an_unknown_analyte_is_refused():
    with pytest.raises(UnknownChoiceError, match="no_such"):
        typed_results([TypedRow("A", "", "", (("no_such", "1"),))])


def test_a_typed_sample_without_results_is_no_title():
    rows = [TypedRow("A", "", "", ()), TypedRow("B", "", "", (("pbi", "80"),))]
    assert typed_results(rows).sample_ids == ("A", "B")
