import os
from pathlib import Path

import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.safe_reading import (
    LARGEST_BYTES,
    checked_head,
    is_text,
    refuse_leading_name,
    refuse_too_many,
    starts_with,
    text_starts_with,
    told_failures,
)


def head_of(path, start=b"GOOD"):
    return checked_head(path, is_right=starts_with(start), kind="Example")


def refusal(path):
    with pytest.raises(InputFileError) as caught:
        head_of(path)
    return caught.value.note


@pytest.mark.parametrize(
    "name",
    [
        "http://example.org/a.shp",
        "/vsicurl/a.shp",
        "/vsizip/a.zip/a.shp",
        "CSV:a.csv",
        "GPKG:a.gpkg",
        '{"type": "FeatureCollection"}.json',
        "<kml/>.kml",
    ],
)
def test_a_name_that_leads_elsewhere_is_refused(name):
    with pytest.raises(InputFileError, match="only files on this computer"):
        refuse_leading_name(Path(name))


@pytest.mark.parametrize(
    "name", ["C:/ground/a.shp", "/ground/a b.shp", "Weide Süd.gpkg", "a{1}.shp"]
)
def test_plain_names_are_let_in(name):
    assert refuse_leading_name(Path(name)) is None


def test_a_good_file_gives_its_first_bytes(tmp_path):
    path = tmp_path / "a.x"
    path.write_bytes(b"GOOD and more")
    assert head_of(path) == b"GOOD and more"


def test_a_folder_a_missing_and_an_empty_file_are_refused(tmp_path):
    (tmp_path / "empty.x").touch()
    assert refusal(tmp_path).message == "this is a folder"
    assert refusal(tmp_path / "none.x").message == "there is no such file"
    assert refusal(tmp_path / "empty.x").message == "the file is empty"


def test_a_pipe_is_no_file(tmp_path):
    os.mkfifo(tmp_path / "pipe.x")
    assert refusal(tmp_path / "pipe.x").message == "there is no such file"


def test_a_file_above_the_limit_is_refused_without_being_read(tmp_path):
    path = tmp_path / "large.x"
    with path.open("wb") as opened:
        opened.write(b"GOOD")
        opened.truncate(LARGEST_BYTES + 1)
    assert refusal(path).message == "the file has 500 MB, and 500 MB can be read"


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"SQLite format 3\0", "a database"),
        (b"PK\x03\x04", "a zip archive"),
        (b"\x00\x00\x27\x0a", "a Shapefile"),
        (b"<html>", "XML or a web page"),
        (b"\xef\xbb\xbf {}", "JSON"),
        (b"zone;rate\n", "plain text"),
        (b"\x7fELF\0", "something else"),
    ],
)
def test_other_content_is_told_for_what_it_is(tmp_path, content, told):
    path = tmp_path / "a.x"
    path.write_bytes(content)
    assert refusal(path).message == f"its name says Example, but inside it is {told}"


@pytest.mark.parametrize("root", [b"<VRTDataset>", b"<?xml?>\n<OGRVRTDataSource>"])
def test_a_virtual_file_is_refused_by_any_name(tmp_path, root):  # SEC-01
    path = tmp_path / "a.x"
    path.write_bytes(root)
    with pytest.raises(InputFileError, match="points to other files"):
        checked_head(path, is_right=lambda head: True, kind="Example")


def test_a_file_that_vanishes_while_being_read_is_told(tmp_path):
    with (
        pytest.raises(InputFileError, match="vanished while it was being read"),
        told_failures(tmp_path / "gone.x", "Example"),
    ):
        raise RuntimeError("no such file")


def test_a_file_that_may_not_be_read_is_told(tmp_path):
    path = tmp_path / "a.x"
    path.touch()
    with (
        pytest.raises(InputFileError, match="it cannot be read: Permission denied"),
        told_failures(path, "Example"),
    ):
        raise PermissionError(13, "Permission denied")


def test_more_than_the_most_is_refused():
    refuse_too_many(2, 2, what="polygons", file="a.x")
    with pytest.raises(InputFileError, match="it holds 3 polygons, and 2 can be read"):
        refuse_too_many(3, 2, what="polygons", file="a.x")


def test_text_is_known_by_its_first_bytes():
    assert is_text(b"lon;lat\n")
    assert is_text("lon;lat".encode("utf-16"))
    assert not is_text(b"PK\x03\x04")
    assert not is_text(b"a\0b")
    assert text_starts_with(b"{")(b"\xef\xbb\xbf\n {")
    assert text_starts_with(b"<")("<kml>".encode("utf-16"))
    assert not text_starts_with(b"{")(b"[")
