"""Writes beside the target and swaps in whole: a file is either the old one or the new one.

What a killed write leaves behind is hidden, says by its name what it is, and is in
nobody's way: every write takes a name of its own.
"""

import errno
import os
import re
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from vrxapp.errors import TargetExistsError, WriteError

_PART = "part"
_BEFORE = "before"
_JOURNALS = ("-journal", "-wal", "-shm")
_ANOTHER_NAME = "Choose another name, or say that it may be replaced"
_REASONS = {
    errno.ENOSPC: ("the disk is full", "Make room on the disk, or choose another one"),
    errno.EDQUOT: ("your share of the disk is used up", "Make room, or choose another disk"),
    errno.EFBIG: (
        "the file would be larger than this disk or account allows",
        "Choose another disk, or split the work",
    ),
    errno.EROFS: (
        "the disk can only be read",
        "Choose another disk; a card may have its lock switch on",
    ),
    errno.ENOENT: ("its folder does not exist", "Make the folder first, or choose another one"),
    errno.ENOTDIR: ("its folder is a file", "Choose another folder"),
    errno.ENAMETOOLONG: ("the name is too long", "Choose a shorter name"),
    errno.EIO: ("the disk reports a fault", "Choose another disk, and have this one looked at"),
}
_NO_RIGHT = (
    "writing there is not allowed, or another program has it open",
    "Close it in other programs, or choose a folder of your own",
)


def write_error(error: OSError, target: Path) -> WriteError:
    """A refusal of the operating system in plain words, naming the target and the way out."""
    reason, mend = _REASONS.get(error.errno or 0, (error.strerror or str(error), ""))
    if isinstance(error, PermissionError):
        reason, mend = _NO_RIGHT
    return WriteError(
        f"it could not be written in {target.parent}: {reason}",
        mend=mend or "Choose another place, then write again",
        file=target.name,
    )


@contextmanager
def new_file(target: Path) -> Iterator[Path]:
    """A path to write to; once the block ends well, it takes the target's place in one step.

    If the block fails, what it wrote is removed and the target stands as before.

    Parameters
    ----------
    target : Path
        File to write; an older one is replaced.

    Yields
    ------
    Path
        Hidden name in the same folder, with the target's suffix; nothing stands there yet.

    Raises
    ------
    TargetExistsError
        If the target is a folder.
    WriteError
        If the file cannot be written, or the block wrote none.
    """
    place = Path(os.path.realpath(target))  # so that a link stays a link
    aside = _beside(place, _PART)
    try:
        _refuse_folder(place, target)
        yield aside
        _refuse_nothing_written(aside, target)
        if place.exists():
            shutil.copymode(place, aside)
        _flush(aside)
        aside.replace(place)
        _flush_folder(place.parent)
    except OSError as error:
        raise write_error(error, target) from error
    finally:
        _remove_file(aside)


@contextmanager
def new_folder(target: Path, *, replace: bool = False) -> Iterator[Path]:
    """A folder to fill; once the block ends well, it is put in place by one rename.

    If the block fails, the folder is removed and what stood at the target stands as before.

    Parameters
    ----------
    target : Path
        Folder to make; its own parent is made too if it is missing.
    replace : bool, default False
        Take the place of an older folder, which is removed with all it holds.

    Yields
    ------
    Path
        Hidden empty folder beside the target.

    Raises
    ------
    TargetExistsError
        If the target exists and may not be replaced, or appeared while the block ran.
    WriteError
        If the folder cannot be made or put in place.
    """
    place = Path(os.path.realpath(target))
    _refuse_taken(place, target, replace=replace)
    parent_made = False
    try:
        if not place.parent.exists():
            place.parent.mkdir()
            parent_made = True
        aside = _beside(place, _PART)
        aside.mkdir()
        try:
            yield aside
            _flush_tree(aside)
            _swap_in(aside, place, target, replace=replace)
        finally:
            shutil.rmtree(aside, ignore_errors=True)
    except OSError as error:
        raise write_error(error, target) from error
    finally:
        if parent_made and not place.exists():
            with suppress(OSError):  # it stays if somebody else put something in
                place.parent.rmdir()


def leftovers(target: Path) -> tuple[Path, ...]:
    """What killed writes left beside a target, in alphabetical order.

    A name with ``.part-`` is an unfinished write and may be deleted, unless a write is
    running at this moment. One with ``.before-`` is the folder that a newer one replaced:
    it may be deleted where the target stands, and renamed to it where it is missing.
    """
    place = Path(os.path.realpath(target))
    stem, suffix = re.escape(place.stem), re.escape(place.suffix)
    ours = re.compile(
        rf"\.{stem}\.({_PART}|{_BEFORE})-[0-9a-f]{{12}}{suffix}({'|'.join(_JOURNALS)})?"
    )
    if not place.parent.is_dir():
        return ()
    return tuple(sorted(p for p in place.parent.iterdir() if ours.fullmatch(p.name)))


def _beside(place: Path, what: str) -> Path:
    """A hidden name beside a place that nothing has yet; the suffix tells drivers the format."""
    return place.with_name(f".{place.stem}.{what}-{secrets.token_hex(6)}{place.suffix}")


def _refuse_folder(place: Path, target: Path) -> None:
    if place.is_dir():
        raise TargetExistsError(
            "a folder of this name stands there", mend="Choose another name", file=target.name
        )


def _refuse_nothing_written(aside: Path, target: Path) -> None:
    if not aside.is_file():
        raise WriteError("nothing was written", mend="Write it again", file=target.name)


def _refuse_taken(place: Path, target: Path, *, replace: bool) -> None:
    """Refuse a target that exists, unless it is a folder that may go."""
    if not os.path.lexists(place):
        return
    if not replace:
        raise TargetExistsError("it exists already", mend=_ANOTHER_NAME, file=target.name)
    if not place.is_dir():
        raise TargetExistsError(
            "a file of this name stands there", mend="Choose another name", file=target.name
        )
    if Path.home().is_relative_to(place) or Path.cwd().is_relative_to(place):
        raise TargetExistsError(
            "your home folder or the folder you work in lies there, so it is not replaced",
            mend="Choose another name",
            file=target.name,
        )


def _swap_in(aside: Path, place: Path, target: Path, *, replace: bool) -> None:
    """Put a folder in place; the older one steps aside first and comes back if that fails."""
    if replace and place.is_dir():
        before = _beside(place, _BEFORE)
        place.rename(before)
        try:
            aside.rename(place)
        except BaseException:
            _put_back(before, place, target)
            raise
        _flush_folder(place.parent)
        shutil.rmtree(before, ignore_errors=True)
        return
    if os.path.lexists(place):  # an empty folder would give way to a rename without a word
        raise _appeared(target)
    try:
        aside.rename(place)
    except OSError as error:
        if error.errno in (errno.ENOTEMPTY, errno.EEXIST, errno.ENOTDIR):
            raise _appeared(target) from error
        raise
    _flush_folder(place.parent)


def _put_back(before: Path, place: Path, target: Path) -> None:
    """Give the older folder its name again, or say where it is."""
    try:
        before.rename(place)
    except OSError as error:
        raise WriteError(
            f"the new folder could not be put in place; the older one is whole, as {before}",
            mend=f"Rename it to {place.name}",
            file=target.name,
        ) from error


def _appeared(target: Path) -> TargetExistsError:
    return TargetExistsError(
        "something of this name appeared while it was being written, and was left as it is",
        mend=_ANOTHER_NAME,
        file=target.name,
    )


def _flush(path: Path) -> None:
    """Wait until a file lies on the disk."""
    _flush_handle(os.open(path, os.O_RDWR if os.name == "nt" else os.O_RDONLY))


def _flush_handle(handle: int) -> None:
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _flush_folder(folder: Path) -> None:
    """Wait until a folder's names lie on the disk, where the system can promise that.

    A refusal is no failure: the swap is done, and some network disks cannot wait.
    """
    if os.name == "posix":
        with suppress(OSError):
            _flush_handle(os.open(folder, os.O_RDONLY))


def _flush_tree(folder: Path) -> None:
    """Wait until everything in a folder lies on the disk."""
    for path in folder.rglob("*"):
        if path.is_dir():
            _flush_folder(path)
        else:
            _flush(path)
    _flush_folder(folder)


def _remove_file(aside: Path) -> None:
    """Remove an unfinished file and the journal that a database may have left beside it."""
    with suppress(OSError):
        for ending in ("", *_JOURNALS):
            aside.with_name(f"{aside.name}{ending}").unlink(missing_ok=True)
