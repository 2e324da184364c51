import stat
import zipfile

import pytest

from vrxapp.errors import InputFileError
from vrxapp.files.zip_guard import guarded_zip, unpacked_bytes, wanted_entries


@pytest.fixture
def archive(tmp_path):
    """Makes an archive from names and contents."""

    def make(entries):
        path = tmp_path / "a.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
            for name, content in entries:
                made.writestr(name, content)
        return path

    return make


def refusal(path):
    with pytest.raises(InputFileError) as caught, guarded_zip(path):
        pass
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    return caught.value.note


def test_a_harmless_archive_gives_its_files_and_no_shadow_copies(archive):
    path = archive([("sub/a.SHP", b"1"), ("__MACOSX/sub/._a.shp", b"2"), ("sub/._b.shp", b"3")])
    with guarded_zip(path) as opened:
        (entry,) = wanted_entries(opened, ".shp")
        assert (entry.filename, unpacked_bytes(opened, entry, file="a.zip")) == ("sub/a.SHP", b"1")


@pytest.mark.parametrize("name", ["../../evil.txt", "/etc/evil", "a/../b", "C:evil", "a\\..\\b"])
def test_a_name_that_leads_out_is_refused(archive, name):  # SEC-03
    assert "leads out of the archive" in refusal(archive([(name, b"x")])).message


def test_a_bomb_is_refused_before_it_is_unpacked(archive):  # SEC-03
    note = refusal(archive([("a.shp", bytes(60_000_000))]))
    assert note.message.startswith("it would unpack to 1,0")
    assert note.message.endswith("times its size")


def test_more_than_a_gigabyte_is_refused(archive, monkeypatch):
    monkeypatch.setattr("vrxapp.files.zip_guard.MOST_UNPACKED_BYTES", 10)
    assert "it would unpack to" in refusal(archive([("a.shp", b"12345678901")])).message


def test_a_link_is_refused(archive):
    link = zipfile.ZipInfo("a.shp")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    assert (
        refusal(archive([(link, b"/etc/passwd")])).message == "an entry is a link to somewhere else"
    )


def test_an_archive_in_the_archive_is_refused(archive):
    assert refusal(archive([("b.zip", b"")])).message == "there is an archive in the archive"


def test_too_many_entries_are_refused(archive):
    note = refusal(archive([(f"{k}.txt", b"") for k in range(201)]))
    assert note.message == "the archive has 201 entries, and 200 can be read"


def test_names_equal_without_case_are_refused(archive):
    note = refusal(archive([("a.shp", b""), ("A.SHP", b"")]))
    assert (note.message, note.value) == ("the archive has 2 entries of one name", "a.shp")


def test_a_locked_archive_is_refused(archive):
    path = archive([("a.shp", b"x")])
    content = bytearray(path.read_bytes())
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(mark) + at] |= 1
    path.write_bytes(content)
    assert refusal(path).message == "the archive is locked with a password"


def test_an_archive_that_is_cut_short_is_refused(archive):
    path = archive([("a.shp", bytes(range(256)) * 40)])
    path.write_bytes(path.read_bytes()[:-40])
    assert "damaged or cut short" in refusal(path).message


def test_an_entry_with_wrong_content_is_refused(archive):
    path = archive([("a.shp", bytes(range(256)) * 40)])
    content = bytearray(path.read_bytes())
    content[60] ^= 0xFF
    path.write_bytes(content)
    with pytest.raises(InputFileError), guarded_zip(path) as opened:
        unpacked_bytes(opened, opened.infolist()[0], file="a.zip")


@pytest.mark.parametrize("at", range(30, 60))
def test_a_spoilt_byte_in_a_packed_entry_never_breaks_the_program(archive, at):
    path = archive([("a.shp", bytes(range(256)) * 40)])
    content = bytearray(path.read_bytes())
    content[at] ^= 0x07
    path.write_bytes(content)
    with pytest.raises(InputFileError, match=r"a\.zip: "), guarded_zip(path) as opened:
        unpacked_bytes(opened, opened.infolist()[0], file="a.zip")
