import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from vrxapp.errors import TargetExistsError, WriteError
from vrxapp.files.write_aside import leftovers, new_folder


def fill(target, text="new", *, replace=False):
    with new_folder(target, replace=replace) as aside:
        (aside / "deep").mkdir()
        (aside / "deep" / "rates.txt").write_text(text)


def fail_to_fill(target, *, replace=False):
    """Fill a folder halfway, then fail."""
    with new_folder(target, replace=replace) as aside:
        (aside / "half.txt").write_text("half")
        raise KeyError


def fill_while_something_appears(target, appear, *, replace=False):
    """Fill a folder; just before it is done, something takes its name."""
    with new_folder(target, replace=replace) as aside:
        (aside / "rates.txt").write_text("new")
        appear(target)


def make_file(target):
    target.write_text("theirs")


def make_full_folder(target):
    target.mkdir()
    (target / "theirs.txt").write_text("theirs")


def filled(target):
    return (target / "deep" / "rates.txt").read_text()


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


def test_a_new_folder_appears_whole_with_nothing_beside_it(tmp_path):
    fill(tmp_path / "job")
    assert filled(tmp_path / "job") == "new"
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_a_missing_parent_is_made_and_goes_again_if_the_block_fails(tmp_path):
    fill(tmp_path / "season" / "job")
    assert filled(tmp_path / "season" / "job") == "new"
    with pytest.raises(KeyError):
        fail_to_fill(tmp_path / "other" / "job")
    assert not (tmp_path / "other").exists()


def test_a_missing_parent_of_a_missing_parent_is_not_made(tmp_path):
    with pytest.raises(WriteError, match="its folder does not exist"):
        fill(tmp_path / "farm" / "season" / "job")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_inside_a_file_is_refused(tmp_path):
    (tmp_path / "note").write_text("a file")
    with pytest.raises(WriteError, match="its folder is a file"):
        fill(tmp_path / "note" / "job")


def test_a_taken_name_is_refused_before_anything_is_written(tmp_path):
    (tmp_path / "job").mkdir()
    entered = []
    with (
        pytest.raises(TargetExistsError, match="exists already") as caught,
        new_folder(tmp_path / "job") as aside,
    ):
        entered.append(aside)
    assert entered == []
    assert caught.value.note.file == "job"
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_a_folder_that_may_go_is_replaced_with_all_it_held(tmp_path):
    fill(tmp_path / "job", "old")
    (tmp_path / "job" / "extra.txt").write_text("old")
    fill(tmp_path / "job", "new", replace=True)
    assert filled(tmp_path / "job") == "new"
    assert not (tmp_path / "job" / "extra.txt").exists()
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_replace_makes_a_folder_where_none_stood(tmp_path):
    fill(tmp_path / "job", replace=True)
    assert filled(tmp_path / "job") == "new"


def test_a_file_is_never_replaced_by_a_folder(tmp_path):
    (tmp_path / "job").write_text("a file")
    with pytest.raises(TargetExistsError, match="a file of this name"):
        fill(tmp_path / "job", replace=True)
    assert (tmp_path / "job").read_text() == "a file"


def test_the_folder_that_one_works_in_is_not_replaced(tmp_path, monkeypatch):
    (tmp_path / "work" / "here").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "work" / "here")
    with pytest.raises(TargetExistsError, match="the folder you work in"):
        fill(tmp_path / "work", replace=True)
    assert (tmp_path / "work" / "here").is_dir()


def test_the_home_folder_is_not_replaced(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    (tmp_path / "home").mkdir()
    with pytest.raises(TargetExistsError, match="your home folder"):
        fill(tmp_path / "home", replace=True)


def test_a_failing_block_leaves_the_older_folder_and_nothing_else(tmp_path):
    fill(tmp_path / "job", "old")
    with pytest.raises(KeyError):
        fail_to_fill(tmp_path / "job", replace=True)
    assert filled(tmp_path / "job") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


@pytest.mark.parametrize("code", [errno.EACCES, errno.ENOSPC, errno.EROFS])
def test_a_refused_rename_leaves_no_folder_behind(tmp_path, monkeypatch, code):
    monkeypatch.setattr(os, "rename", refused(code))
    with pytest.raises(WriteError):
        fill(tmp_path / "job")
    assert list(tmp_path.iterdir()) == []


def test_the_older_folder_is_put_back_if_the_new_one_cannot_take_its_place(tmp_path, monkeypatch):
    fill(tmp_path / "job", "old")
    rename, calls = os.rename, []

    def second_fails(start, end):
        calls.append(end)
        if len(calls) == 2:
            raise PermissionError(errno.EACCES, "refused")
        rename(start, end)

    monkeypatch.setattr(os, "rename", second_fails)
    with pytest.raises(WriteError, match="not allowed"):
        fill(tmp_path / "job", "new", replace=True)
    assert filled(tmp_path / "job") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_an_older_folder_that_cannot_be_put_back_is_named(tmp_path, monkeypatch):
    fill(tmp_path / "job", "old")
    rename, calls = os.rename, []

    def only_the_first_works(start, end):
        calls.append(end)
        if len(calls) > 1:
            raise PermissionError(errno.EACCES, "refused")
        rename(start, end)

    monkeypatch.setattr(os, "rename", only_the_first_works)
    with pytest.raises(WriteError, match="the older one is whole") as caught:
        fill(tmp_path / "job", "new", replace=True)
    (before,) = leftovers(tmp_path / "job")
    assert before.name.startswith(".job.before-")
    assert str(before) in caught.value.note.message
    assert filled(before) == "old"


@pytest.mark.parametrize(
    ("appear", "replace"),
    [
        (make_full_folder, False),
        (Path.mkdir, False),
        (make_file, False),
        (make_file, True),
    ],
)
def test_what_appears_at_the_target_meanwhile_is_kept(tmp_path, appear, replace):
    target = tmp_path / "job"
    with pytest.raises(TargetExistsError, match="appeared while"):
        fill_while_something_appears(target, appear, replace=replace)
    assert target.exists()
    assert not (target / "rates.txt").exists()
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


@pytest.mark.parametrize("code", [errno.ENOTEMPTY, errno.EEXIST, errno.ENOTDIR])
def test_a_rename_that_meets_something_is_told_as_such(tmp_path, monkeypatch, code):
    monkeypatch.setattr(os, "rename", refused(code))
    with pytest.raises(TargetExistsError, match="appeared while"):
        fill(tmp_path / "job")


KILLED_FOLDER = """
import os, signal, sys
from pathlib import Path
from vrxapp.files.write_aside import new_folder
rename, calls = os.rename, []
def killed(start, end):
    calls.append(end)
    if len(calls) == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    rename(start, end)
os.rename = killed
with new_folder(Path(sys.argv[1]), replace=True) as aside:
    (aside / "deep").mkdir()
    (aside / "deep" / "rates.txt").write_text("new")
"""


def test_a_killed_write_leaves_the_older_folder_in_place(tmp_path):
    fill(tmp_path / "job", "old")
    done = run(KILLED_FOLDER, tmp_path / "job", 1)
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert filled(tmp_path / "job") == "old"
    (part,) = leftovers(tmp_path / "job")
    assert filled(part) == "new"
    fill(tmp_path / "job", "newer", replace=True)
    assert filled(tmp_path / "job") == "newer"
    assert leftovers(tmp_path / "job") == (part,)


def test_a_write_killed_between_both_renames_leaves_the_older_folder_under_a_telling_name(
    tmp_path,
):
    fill(tmp_path / "job", "old")
    done = run(KILLED_FOLDER, tmp_path / "job", 2)
    assert done.returncode == -signal.SIGKILL, done.stderr
    before, part = leftovers(tmp_path / "job")
    assert ".before-" in before.name
    assert filled(before) == "old"
    assert ".part-" in part.name
    fill(tmp_path / "job", "newer")
    assert filled(tmp_path / "job") == "newer"
    assert filled(before) == "old"
