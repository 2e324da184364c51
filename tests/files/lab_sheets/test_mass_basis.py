"""Results by area and by volume: asked for, turned into concentrations, and marked."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.layout_memory import remember_layout, remembered_layout
from vrxapp.files.lab_sheets.mass_basis import MassBasis
from vrxapp.files.lab_sheets.preview import sheet_preview
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.soil.results_table import chosen_rows, column_of

BY_AREA = "Sample,Depth (cm),Colwell P (lb/ac),PBI\nA,0-10,60,80\nB,0-20,<20,90\nC,,,100\n"
LONG = "Sample,Depth (cm),Analyte,Value,Unit\nA,0-10,Colwell P,31.2,kg/ha\nA,0-10,PBI,80,\n"
BY_VOLUME = "Sample,Colwell P (mg/L)\nA,20\n"


@pytest.fixture
def read(tmp_path):
    """A function that reads a sheet by its guessed layout, with what is said of the mass."""

    def result(content, **basis):
        path = tmp_path / "lab.csv"
        path.write_text(content, "utf-8")
        layout = replace(sheet_preview(path).layout, mass_basis=MassBasis(**basis))
        return read_lab_sheet(path, layout)

    return result


def phosphorus(table):
    return column_of(table, "colwell_p")


@pytest.mark.parametrize("content", [BY_AREA, LONG])
def test_a_result_by_area_asks_for_its_layer_and_density(read, content):
    with pytest.raises(InputFileError, match="its layer and bulk density are missing") as caught:
        read(content)
    note = caught.value.note
    assert "choose that convention" in note.mend
    assert "--bulk-density" in note.mend
    assert (note.file, note.row is None, note.column.startswith("Colwell P")) == (
        "lab.csv",
        False,
        True,
    )


def test_depth_and_density_turn_it_into_a_concentration(read):
    # 31.2 kg/ha in 10 cm at 1.3 t/m³: 1300 t/ha, so 24 mg/kg
    column = phosphorus(read(LONG, bulk_density_t_m3=1.3))
    assert column.values == pytest.approx([24.0])
    assert "1.3 t/m³" in column.basis


def test_each_line_goes_by_its_own_depth_and_keeps_its_limit(read):
    # 60 lb/ac = 67.25 kg/ha over 1300 t/ha; 20 lb/ac = 22.42 kg/ha over 2600 t/ha
    column = phosphorus(read(BY_AREA, bulk_density_t_m3=1.3))
    assert column.values[:2] == pytest.approx([51.73, 8.622], rel=1e-3)
    assert column.limits[:2].tolist() == ["", "<"]
    assert np.isnan(column.values[2])


def test_a_result_without_its_depth_is_asked_for(read):
    with pytest.raises(InputFileError, match="layer"):
        read(BY_AREA.replace("0-20", ""), bulk_density_t_m3=1.3)


def test_the_acre_convention_counts_only_where_it_is_chosen(read):
    # osu-soil-test-units: pounds by the acre over 2
    column = phosphorus(read(BY_AREA, acre_convention=True))
    assert column.values[:2] == pytest.approx([30.0, 10.0])
    assert "2 million pounds" in column.basis


def test_a_result_by_volume_asks_for_the_density_of_the_sample(read):
    with pytest.raises(InputFileError, match="density is missing"):
        read(BY_VOLUME, bulk_density_t_m3=1.3)
    assert phosphorus(read(BY_VOLUME, sample_density_kg_l=0.8)).values == pytest.approx([25.0])


def test_cations_by_area_come_out_by_charge(read):
    # 508.27 kg K/ha over 1300 t/ha is 390.98 mg/kg, which is 1 cmol(+)/kg
    content = "Sample,Depth (cm),Exchangeable K (kg/ha)\nA,0-10,508.27\n"
    column = column_of(read(content, bulk_density_t_m3=1.3), "exch_k")
    assert column.values == pytest.approx([1.0], rel=1e-4)


def test_an_estimate_is_told_in_a_note_and_marked_on_its_column(read):
    table = read(BY_AREA, acre_convention=True)
    (note,) = [note for note in table.notes if "estimate" in note.message]
    assert note.column == "Colwell P (lb/ac)"
    assert column_of(table, "pbi").basis == ""
    assert phosphorus(chosen_rows(table, [1])).basis == phosphorus(table).basis


@pytest.mark.parametrize(
    "basis",
    [
        {"bulk_density_t_m3": 0.0},
        {"bulk_density_t_m3": 13.0},
        {"sample_density_kg_l": -1.0},
        {"bulk_density_t_m3": 1.3, "acre_convention": True},
    ],
)
def test_what_cannot_be_is_refused(basis):
    with pytest.raises(InputFileError):
        MassBasis(**basis)


def test_what_was_said_is_kept_with_the_layout(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text(BY_AREA, "utf-8")
    layout = replace(sheet_preview(path).layout, mass_basis=MassBasis(bulk_density_t_m3=1.25))
    remember_layout(layout, tmp_path / "kept")
    assert remembered_layout(layout.key, tmp_path / "kept")[0] == layout
