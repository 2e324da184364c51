"""Opening a farm tells of what an interrupted save has left."""

import os

import pytest

from vrxapp.files.farm_file import write_farm
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.sample_farm import sample_farm


class KilledError(BaseException):
    """Stands for the end of the process in the middle of a swap."""


def test_a_leftover_is_named_and_the_farm_opens(tmp_path, monkeypatch):
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    assert open_farm(path)[1] == ()

    def killed(*_):
        monkeypatch.setattr("pathlib.Path.unlink", lambda *_, **__: None)  # nobody tidies up
        raise KilledError

    monkeypatch.setattr(os, "replace", killed)
    with pytest.raises(KilledError):
        write_farm(sample_farm(), path)
    farm, notes = open_farm(path)
    assert farm.name == "Sample farm (invented)"
    (note,) = notes
    (left,) = [p.name for p in tmp_path.iterdir() if p.name != "farm.gpkg"]
    assert left in note.message
    assert note.mend
