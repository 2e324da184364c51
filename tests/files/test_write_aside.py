import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from vrxapp.errors import TargetExistsError, WriteError
from vrxapp.files.write_aside import leftovers, new_file, write_error


def write(target, text):
    with new_file(target) as aside:
        aside.write_text(text)


def fail_halfway(target, error=KeyError):
    """Write half a file with its journal, then fail."""
    with new_file(target) as aside:
        aside.write_text("half")
        aside.with_name(f"{aside.name}-journal").write_text("journal")
        raise error


def run(code, *arguments):
    """Run a piece of code in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )


def refused(code):
    def refuse(*_):
        raise OSError(code, os.strerror(code))

    return refuse


def test_a_new_file_appears_with_its_content_and_nothing_beside_it(tmp_path):
    write(tmp_path / "farm.gpkg", "whole")
    assert [p.name for p in tmp_path.iterdir()] == ["farm.gpkg"]
    assert (tmp_path / "farm.gpkg").read_text() == "whole"


def test_the_path_to_write_to_is_hidden_beside_the_target_and_keeps_its_suffix(tmp_path):
    with new_file(tmp_path / "farm.gpkg") as aside:
        aside.write_text("whole")
        assert aside.parent == tmp_path
        assert aside.name.startswith(".farm.part-")
        assert aside.suffix == ".gpkg"
        assert not (tmp_path / "farm.gpkg").exists()
        assert leftovers(tmp_path / "farm.gpkg") == (aside,)


def test_an_older_file_is_replaced_and_keeps_its_permissions(tmp_path):
    target = tmp_path / "farm.gpkg"
    target.write_text("old")
    target.chmod(0o640)
    write(target, "new")
    assert target.read_text() == "new"
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_failing_block_leaves_the_older_file_and_no_part_or_journal_of_the_new_one(tmp_path):
    target = tmp_path / "farm.gpkg"
    target.write_text("old")
    with pytest.raises(KeyError):
        fail_halfway(target)
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["farm.gpkg"]


def test_an_interrupted_block_leaves_nothing_behind(tmp_path):
    with pytest.raises(KeyboardInterrupt):
        fail_halfway(tmp_path / "farm.gpkg", KeyboardInterrupt)
    assert list(tmp_path.iterdir()) == []


def test_a_link_stays_a_link_to_the_new_content(tmp_path):
    (tmp_path / "disk").mkdir()
    kept = tmp_path / "disk" / "kept.txt"
    kept.write_text("old")
    link = tmp_path / "link.txt"
    link.symlink_to(kept)
    write(link, "new")
    assert link.is_symlink()
    assert kept.read_text() == "new"


def test_a_file_does_not_take_the_place_of_a_folder(tmp_path):
    (tmp_path / "job").mkdir()
    with pytest.raises(TargetExistsError, match="folder of this name"):
        write(tmp_path / "job", "text")


def test_a_block_that_writes_nothing_is_told_so(tmp_path):
    target = tmp_path / "rates.txt"
    target.write_text("old")
    with pytest.raises(WriteError, match="nothing was written"), new_file(target):
        pass
    assert target.read_text() == "old"


def test_a_file_in_a_missing_folder_names_the_folder_and_the_way_out(tmp_path):
    with pytest.raises(WriteError) as caught:
        write(tmp_path / "nowhere" / "rates.txt", "text")
    assert caught.value.note.file == "rates.txt"
    assert str(tmp_path / "nowhere") in caught.value.note.message
    assert "Make the folder first" in caught.value.note.mend


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EFBIG, "larger than"),
        (errno.EROFS, "can only be read"),
        (errno.EACCES, "not allowed"),
        (errno.EPERM, "not allowed"),
        (errno.EIO, "reports a fault"),
        (errno.ENAMETOOLONG, "name is too long"),
        (errno.ELOOP, os.strerror(errno.ELOOP)),
    ],
)
def test_a_refusal_of_the_system_is_told_in_plain_words(code, words):
    error = write_error(OSError(code, os.strerror(code)), Path("disk") / "rates.txt")
    assert words in error.note.message
    assert error.note.file == "rates.txt"
    assert error.note.mend


@pytest.mark.parametrize("code", [errno.EACCES, errno.ENOSPC, errno.EROFS])
def test_a_refused_swap_leaves_the_older_file_and_nothing_else(tmp_path, monkeypatch, code):
    target = tmp_path / "farm.gpkg"
    target.write_text("old")
    monkeypatch.setattr(os, "replace", refused(code))
    with pytest.raises(WriteError):
        write(target, "new")
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["farm.gpkg"]


def test_a_full_disk_while_writing_leaves_the_older_file(tmp_path):
    target = tmp_path / "farm.gpkg"
    target.write_text("old")
    code = """
import resource, signal, sys
from pathlib import Path
from vrxapp.errors import WriteError
from vrxapp.files.write_aside import new_file
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
try:
    with new_file(Path(sys.argv[1])) as aside:
        aside.write_bytes(b"x" * 5000)
except WriteError as error:
    print(error)
"""
    done = run(code, target)
    assert done.stdout.startswith("farm.gpkg: it could not be written"), done.stderr
    assert "larger than this disk or account allows" in done.stdout
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["farm.gpkg"]


def test_a_killed_write_leaves_the_older_file_and_a_named_leftover_that_is_in_nobodys_way(
    tmp_path,
):
    target = tmp_path / "farm.gpkg"
    target.write_text("old")
    code = """
import os, signal, sys
from pathlib import Path
from vrxapp.files.write_aside import new_file
os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
with new_file(Path(sys.argv[1])) as aside:
    aside.write_text("new")
"""
    done = run(code, target)
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert target.read_text() == "old"
    (left,) = leftovers(target)
    assert left.read_text() == "new"
    write(target, "newer")
    assert target.read_text() == "newer"
    assert leftovers(target) == (left,)


def test_leftovers_lists_only_what_belongs_to_the_target(tmp_path):
    mine = tmp_path / ".farm.part-0123456789ab.gpkg"
    journal = tmp_path / ".farm.part-0123456789ab.gpkg-journal"
    for path in (
        mine,
        journal,
        tmp_path / ".farm2.part-0123456789ab.gpkg",
        tmp_path / ".farm.part-0123456789ab.geojson",
        tmp_path / "farm.gpkg",
        tmp_path / ".farm.party.gpkg",
    ):
        path.write_text("")
    assert leftovers(tmp_path / "farm.gpkg") == (mine, journal)
    assert leftovers(tmp_path / "nowhere" / "farm.gpkg") == ()
