"""The gate before any library sees a file: a local file of a sensible size that is what it says.

A library guesses what a file is, and a guess can be led astray: to other files, to the
network, or to all the memory there is.
"""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from vrxapp.errors import InputFileError

LARGEST_BYTES = 500_000_000
MOST_POLYGONS = 200_000
MOST_POINTS = 5_000_000
MOST_VERTICES = 20_000_000
_HEAD_BYTES = 65_536
_DRIVER_PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9_+. -]+:")
_SMALLER = "Leave out what lies outside the paddock, or simplify it"
_KNOWN_STARTS = (
    (b"SQLite format 3\0", "a database"),
    (b"PK", "a zip archive"),
    (b"\x00\x00\x27\x0a", "a Shapefile"),
    (b"II*\x00", "a picture or raster"),
    (b"MM\x00*", "a picture or raster"),
    (b"%PDF", "a PDF"),
)
_VIRTUAL = (b"<VRTDataset", b"<OGRVRTDataSource", b"<VRTPansharpened")


def checked_head(path: Path, *, is_right: Callable[[bytes], bool], kind: str) -> bytes:
    """The first bytes of a file, once it is known to be one that may be opened.

    Parameters
    ----------
    path : Path
        The file.
    is_right : callable
        Whether the first bytes are those of the format.
    kind : str
        What the format is called, for messages.

    Returns
    -------
    bytes
        At most 64 kB.

    Raises
    ------
    InputFileError
        If the name leads elsewhere, there is no such file, it is a folder, empty, above
        500 MB, or its first bytes are those of something else.
    """
    refuse_leading_name(path)
    refuse_no_file(path)
    with told_failures(path, kind):
        size = path.stat().st_size
        with path.open("rb") as opened:
            head = opened.read(_HEAD_BYTES)
    if size == 0:
        raise InputFileError("the file is empty", mend=f"Export it again as {kind}", file=path.name)
    if size > LARGEST_BYTES:
        raise InputFileError(
            f"the file has {size / 1e6:,.0f} MB, and {LARGEST_BYTES / 1e6:,.0f} MB can be read",
            mend=_SMALLER,
            file=path.name,
        )
    _refuse_virtual(head, path.name)
    if not is_right(head):
        raise InputFileError(
            f"its name says {kind}, but inside it is {_what_it_is(head)}",
            mend=f"Export it again as {kind}, or give it the suffix of what it is",
            file=path.name,
        )
    return head


def refuse_leading_name(path: Path) -> None:
    """Refuse a name that a library would take for an address or for data.

    Raises
    ------
    InputFileError
        If the name is an address, begins with a driver's name, or looks like data.
    """
    text = str(path)
    leads = text.startswith(("/vsi", "\\vsi", "{", "<")) or "://" in text
    if leads or _DRIVER_PREFIX.match(text) or "\0" in text:
        raise InputFileError(
            "only files on this computer are opened, by their plain names",
            mend="Save it on this computer under a name without a colon, and open that",
            file=path.name,
            value=text[:80],
        )


def refuse_no_file(path: Path) -> None:
    """Refuse a folder, and what is not there.

    Raises
    ------
    InputFileError
        If the path is not that of a regular file.
    """
    if path.is_dir():
        raise InputFileError("this is a folder", mend="Choose a file in it", file=path.name)
    if not path.is_file():
        raise InputFileError("there is no such file", mend="Check the name", file=path.name)


@contextmanager
def told_failures(path: Path, kind: str) -> Iterator[None]:
    """Turns the system's and the libraries' refusals while reading into plain words.

    Raises
    ------
    InputFileError
        If the file vanished, may not be read, or a library could not read it.
    """
    try:
        yield
    except (OSError, RuntimeError, ValueError) as error:  # the roots of pyogrio's own errors
        if not path.is_file():
            raise InputFileError(
                "the file vanished while it was being read",
                mend="Put the disk or card back in, and open it again",
                file=path.name,
            ) from error
        if isinstance(error, OSError) and error.strerror:
            raise InputFileError(
                f"it cannot be read: {error.strerror}",
                mend="Check that you may read it",
                file=path.name,
            ) from error
        raise InputFileError(
            f"it is damaged, or no {kind}",
            mend=f"Copy it again, or export it again as {kind}",
            file=path.name,
        ) from error


def refuse_too_many(count: int, most: int, *, what: str, file: str) -> None:
    """Refuse more than can be worked with.

    Raises
    ------
    InputFileError
        If the count is above the most.
    """
    if count > most:
        raise InputFileError(
            f"it holds {count:,} {what}, and {most:,} can be read", mend=_SMALLER, file=file
        )


def starts_with(*starts: bytes) -> Callable[[bytes], bool]:
    """A check of the first bytes against fixed ones."""
    return lambda head: head.startswith(starts)


def text_starts_with(*starts: bytes) -> Callable[[bytes], bool]:
    """A check of the first bytes that are neither blank nor a byte order mark."""
    return lambda head: _first_text(head).startswith(starts)


def is_text(head: bytes) -> bool:
    """Whether the first bytes can be those of a table in plain text."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):  # UTF-16
        return True
    return b"\0" not in head and not _first_text(head).startswith((b"<", b"{", b"PK\x03", b"%PDF"))


def _first_text(head: bytes) -> bytes:
    """The head without byte order mark and blanks; UTF-16 without its zeros."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        head = head[2:].replace(b"\0", b"")
    return head.removeprefix(b"\xef\xbb\xbf").lstrip()


def _refuse_virtual(head: bytes, file: str) -> None:
    """Refuse a list of other files, whatever its suffix says."""
    if any(mark in head for mark in _VIRTUAL):
        raise InputFileError(
            "it is a virtual file, which holds no data and points to other files",
            mend="Export the data itself",
            file=file,
        )


def _what_it_is(head: bytes) -> str:
    """What the first bytes look like, in plain words."""
    for start, told in _KNOWN_STARTS:
        if head.startswith(start):
            return told
    text = _first_text(head)
    if text.startswith(b"<"):
        return "XML or a web page"
    if text.startswith(b"{"):
        return "JSON"
    return "something else" if b"\0" in head else "plain text"
