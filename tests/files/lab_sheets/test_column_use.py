import pytest

from vrxapp.errors import UnknownChoiceError
from vrxapp.files.lab_sheets.column_use import ColumnUse, column_use, with_use
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn
from vrxapp.files.lab_sheets.names import Role


@pytest.mark.parametrize(
    ("text", "use"),
    [
        ("sample", ColumnUse(Role.SAMPLE)),
        (" Depth from ", ColumnUse(Role.DEPTH_FROM)),
        ("colwell_p", ColumnUse(analyte="colwell_p")),
        ("Olsen P [ppm]", ColumnUse(analyte="olsen_p", unit="mg/kg")),
        ("exch_ca [mg/kg]", ColumnUse(analyte="exch_ca", unit="mg/kg")),
        ("-", ColumnUse()),
        ("", ColumnUse()),
    ],
)
def test_a_use_is_read_from_words(text, use):
    assert column_use(text) == use


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("phosphorus", "colwell_p"),
        ("colwell_p [dS/m]", "mg/kg"),
        ("pbi [furlongs]", "index"),
        ("sample [mg/kg]", "olsen_p"),
    ],
)
def test_a_use_that_cannot_be_is_refused_with_what_can(text, mend):
    with pytest.raises(UnknownChoiceError) as caught:
        column_use(text)
    assert mend in caught.value.note.mend


def test_a_use_moves_from_one_column_to_another():
    layout = LabLayout(
        "key",
        1,
        (LayoutColumn("Lab no", Role.SAMPLE), LayoutColumn("Mark"), LayoutColumn("P", doubt="?")),
    )
    moved = with_use(layout, 1, ColumnUse(Role.SAMPLE))
    assert [column.role for column in moved.columns] == [None, Role.SAMPLE, None]
    told = with_use(moved, 2, ColumnUse(analyte="olsen_p", unit="mg/kg"))
    assert told.columns[2] == LayoutColumn("P", analyte="olsen_p", unit="mg/kg")
    nothing = with_use(with_use(told, 1, ColumnUse()), 0, ColumnUse())
    assert [c.role for c in nothing.columns] == [None, None, None]
