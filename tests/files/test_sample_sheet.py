"""A sample plan as a page to print: the same stops, and nothing that could run."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.edits.ground import add_points
from vrxapp.edits.sample_plan import set_sample_plan
from vrxapp.errors import ReadBackError
from vrxapp.files import sample_sheet
from vrxapp.files.sample_sheet import sample_sheet_html, write_sample_sheet
from vrxapp.files.sketch_map import sketch_map
from vrxapp.ground.ground_points import POWERLINE_CAUTION, GroundPoint, GroundPointKind
from vrxapp.ground.sample_plan import DIGGING_CAUTION, bags_of
from vrxapp.workflows.sample_plan import planned_samples, write_plan_file
from vrxapp.workflows.sample_settings import SampleSettings


@pytest.fixture
def marked(season, corner):
    point = GroundPoint(
        "Line <b>5 & 6</b>", GroundPointKind.POWERLINE, corner[0] + 300, corner[1] + 300, "9 m"
    )
    return add_points(season, [point])


@pytest.fixture
def plan(marked):
    return planned_samples(marked, SampleSettings(stops=3, depth_cm="0-10", band_spacing_m=0.305))


def page_of(season, plan):
    return sample_sheet_html(plan, paddock=season.paddock, zones=season.zones)


def test_the_page_lists_each_stop_and_each_bag_with_a_box(marked, plan):
    text = page_of(marked, plan)
    assert text.startswith("<!DOCTYPE html>")
    assert text.count("\N{BALLOT BOX}") == len(plan.sample_ids) + len(bags_of(plan))
    assert f"{plan.latitude_degree[0]:.6f}" in text
    assert f"{plan.longitude_degree[-1]:.6f}" in text
    assert POWERLINE_CAUTION in text
    assert DIGGING_CAUTION in text


def test_cores_in_a_bag_are_those_of_its_stops(plan):
    assert [bag.stops for bag in bags_of(plan)] == [(1, 2, 3), (4, 5, 6)]
    # 27 cores over three stops are nine each
    assert [bag.cores for bag in bags_of(plan)] == [27, 27]


def test_bands_and_the_error_that_is_held_are_told(marked, plan):
    told = page_of(marked, plan)
    # norton-grdc-banded: 8 between the bands for 1 in the band at 30 cm
    assert "for each core in a band take 8 between the bands" in told
    assert "27 cores or more hold the error of the mean to 20 %" in told
    # 50 % over the root of 27 cores
    assert f"a CV of {50 / 27**0.5:.0f} %" in told


def test_what_people_typed_cannot_become_part_of_the_page(marked, plan):
    names = tuple("<script>alert(1)</script>" for _ in plan.sample_ids)
    text = page_of(marked, replace(plan, sample_ids=names))
    assert "<script" not in text
    assert "Line <b>" not in text
    assert "&lt;script&gt;" in text


def test_the_sketch_has_a_numbered_circle_for_each_stop_inside_its_frame(marked, plan):
    spots = np.array([[682_100.0, 6_124_100.0], [682_900.0, 6_124_700.0]])
    picture = sketch_map(marked.paddock, marked.zones, spots, marked.ground_points)
    circles = picture.findall("circle")
    assert len(circles) == 2
    _, _, wide, high = map(float, picture.get("viewBox").split())
    assert all(0 < float(c.get("cx")) < wide and 0 < float(c.get("cy")) < high for c in circles)
    # north is up: the second stop lies farther north and farther east
    assert float(circles[1].get("cy")) < float(circles[0].get("cy"))
    assert float(circles[1].get("cx")) > float(circles[0].get("cx"))
    # 800 m east at the picture's own scale of (1000 - 80) / 1000 units a metre or less
    apart = float(circles[1].get("cx")) - float(circles[0].get("cx"))
    assert apart / 800 == pytest.approx(min(920 / 1000, 680 / 800), rel=1e-3)


def test_a_point_far_away_is_left_off_the_sketch(marked, plan):
    spots = np.array([[682_100.0, 6_124_100.0]])
    far = replace(marked.ground_points[0], easting_m=690_000.0)
    picture = sketch_map(marked.paddock, marked.zones, spots, (far,))
    assert picture.findall("polygon") == []


def test_the_page_is_put_in_place_only_if_it_reads_back(marked, plan, tmp_path, monkeypatch):
    path = tmp_path / "plan.html"
    path.write_text("older")
    monkeypatch.setattr(sample_sheet, "_stops_in", lambda _text: [])
    with pytest.raises(ReadBackError, match="not those of the plan"):
        write_sample_sheet(plan, path, paddock=marked.paddock, zones=marked.zones)
    assert path.read_text() == "older"
    monkeypatch.undo()
    write_sample_sheet(plan, path, paddock=marked.paddock, zones=marked.zones)
    assert path.read_text("utf-8") == page_of(marked, plan)


def test_the_page_begins_at_the_gate_and_tells_the_points_there_are_when_it_is_written(
    season, corner, tmp_path
):
    settings = SampleSettings(stops=2)
    kept = set_sample_plan(season, planned_samples(season, settings))
    gate = GroundPoint("Top gate", GroundPointKind.GATE, corner[0], corner[1] + 790)
    gated = add_points(kept, [gate])
    path = tmp_path / "plan.html"
    write_plan_file(gated, gated.sample_plan, path)
    text = path.read_text("utf-8")
    assert "Begin at Top gate." in text
    assert "Top gate (gate)" in text
