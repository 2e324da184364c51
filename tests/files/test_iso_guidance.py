"""Guidance lines out of task data: A-B, A+ and curves; everything else told or refused."""

import zipfile

import pyproj
import pytest
import shapely

from vrxapp.errors import InputFileError
from vrxapp.files.iso_guidance import holds_task_data, read_iso_guidance

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4">'
PFD = '<PFD A="PFD1" C="Flat" D="0">{}</PFD></ISO11783_TaskData>'
AB = (
    '<GGP A="GGP1" B="Flat"><GPN A="GPN1" B="North fence" C="1"><LSG A="5" C="24000">'
    '<PNT A="6" C="-35.10" D="147.20"/><PNT A="7" C="-35.09" D="147.20"/></LSG></GPN></GGP>'
)
CURVE = (
    '<GGP A="GGP2"><GPN A="GPN2" C="3"><LSG A="5" B="Creek"><PNT A="6" C="-35.10" D="147.20"/>'
    '<PNT A="9" C="-35.095" D="147.21"/><PNT A="7" C="-35.09" D="147.20"/></LSG></GPN></GGP>'
)
PLUS = (
    '<GGP A="GGP3"><GPN A="GPN3" B="East" C="2" G="90"><LSG A="5">'
    '<PNT A="6" C="-35.10" D="147.20"/></LSG></GPN></GGP>'
)
PIVOT = (
    '<GGP A="GGP4"><GPN A="GPN4" C="4"><LSG A="5"><PNT A="8" C="-35.10" D="147.20"/></LSG></GPN>'
    "</GGP>"
)
OLDER = (
    '<LSG A="5" B="Older"><PNT A="2" C="-35.10" D="147.20"/><PNT A="2" C="-35.10" D="147.21"/>'
    '</LSG><LSG A="7"><PNT A="2" C="-35.1" D="147.2"/><PNT A="2" C="-35.2" D="147.2"/></LSG>'
)


@pytest.fixture
def task(tmp_path):
    def made(*inner, name="TASKDATA.XML"):
        path = tmp_path / name
        path.write_text(HEAD + PFD.format("".join(inner)), "utf-8")
        return path

    return made


def test_a_straight_line_has_its_name_and_its_width_in_metres(task):
    read = read_iso_guidance(task(AB))
    assert read.fields == ({"name": "North fence", "swath_m": 24.0},)
    assert shapely.get_coordinates(read.shapes).tolist() == [[147.20, -35.10], [147.20, -35.09]]
    assert read.notes == ()


def test_a_curve_keeps_its_points_and_is_called_by_its_own_string(task):
    read = read_iso_guidance(task(CURVE))
    assert read.fields == ({"name": "Creek", "swath_m": None},)
    assert len(read.shapes[0].coords) == 3


def test_a_point_and_a_heading_become_a_kilometre_along_it(task):
    read = read_iso_guidance(task(PLUS))
    (x0, y0), (x1, y1) = read.shapes[0].coords
    ahead, _, length_m = pyproj.Geod(ellps="GRS80").inv(x0, y0, x1, y1)
    assert ahead == pytest.approx(90.0, abs=1e-6)
    assert length_m == pytest.approx(1000.0, abs=1e-3)
    assert "clockwise from true north" in str(read.notes[0])


def test_a_heading_beside_two_points_counts_for_nothing_and_is_not_told(task):
    two = PLUS.replace("</LSG>", '<PNT A="7" C="-35.09" D="147.20"/></LSG>')
    read = read_iso_guidance(task(two))
    assert shapely.get_coordinates(read.shapes).tolist() == [[147.20, -35.10], [147.20, -35.09]]
    assert read.notes == ()


def test_lines_of_the_older_version_lie_in_the_field_itself_and_a_fence_is_none(task):
    read = read_iso_guidance(task(OLDER))
    assert [fields["name"] for fields in read.fields] == ["Older"]


def test_a_pivot_is_left_out_and_told(task):
    read = read_iso_guidance(task(AB, PIVOT))
    assert len(read.shapes) == 1
    assert "1 pivots, spirals or empty patterns are left out" in str(read.notes[-1])


def test_a_zip_is_looked_into_whatever_case_and_folder(task, tmp_path):
    path = tmp_path / "job.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.write(task(AB), "TaskData/taskdata.xml")
    assert holds_task_data(path)
    assert len(read_iso_guidance(path).shapes) == 1
    other = tmp_path / "shapes.zip"
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("fence.shp", b"")
    assert not holds_task_data(other)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (HEAD + PFD.format(""), "no guidance line"),
        (HEAD + PFD.format(PIVOT), "no guidance line"),
        (HEAD + PFD.format(AB.replace('C="-35.10"', 'C="north"')), "latitude of a guidance line"),
        (HEAD + PFD.format(AB.replace('D="147.20"', 'D="1470"')), "longitude of a guidance line"),
        (HEAD + PFD.format(AB.replace("-35.09", "-35.10")), "has 1 points"),
        (HEAD + PFD.format(PLUS.replace('G="90"', "")), "heading of a guidance line"),
        (HEAD + PFD.format(AB)[:-30], "damaged or cut short"),
        ("<!DOCTYPE x []>" + HEAD[39:] + PFD.format(AB), "DOCTYPE"),
        ("<kml/>", "no ISO 11783 task data"),
    ],
)
def test_what_cannot_be_a_line_is_refused_with_the_file_named(tmp_path, content, said):
    path = tmp_path / "TASKDATA.XML"
    path.write_text(content, "utf-8")
    with pytest.raises(InputFileError, match=said) as caught:
        read_iso_guidance(path)
    assert caught.value.note.file == "TASKDATA.XML"
