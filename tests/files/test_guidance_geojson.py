"""A file of guidance lines that is not what was to be written is not put in place."""

from dataclasses import replace

import pytest
import shapely
from shapely import LineString

from vrxapp.errors import ReadBackError
from vrxapp.files import guidance_geojson as module
from vrxapp.files.guidance_geojson import write_guidance_geojson
from vrxapp.ground.guidance import GuidanceLine

LINE = GuidanceLine("North fence", "", LineString([(680_000, 6_124_000), (680_900, 6_124_010)]))


@pytest.mark.parametrize(
    "spoilt",
    [
        lambda read: replace(read, shapes=shapely.transform(read.shapes, lambda xy: xy + 1e-6)),
        lambda read: replace(read, fields=[{**read.fields[0], "name": "South fence"}]),
        lambda read: replace(read, fields=[{**read.fields[0], "swath_m": 24.0}]),
    ],
    ids=["place", "name", "swath"],
)
def test_a_difference_on_reading_back_leaves_no_file(tmp_path, monkeypatch, spoilt):
    path, read = tmp_path / "lines.geojson", module.read_geojson
    monkeypatch.setattr(module, "read_geojson", lambda aside: spoilt(read(aside)))
    with pytest.raises(ReadBackError, match="not those of the farm"):
        write_guidance_geojson((LINE,), path, crs="EPSG:7855")
    assert not path.exists()
    monkeypatch.undo()
    write_guidance_geojson((LINE,), path, crs="EPSG:7855")
    assert path.exists()
