"""Archives opened with care: what is in them is looked at before a byte is unpacked.

Nothing is unpacked under a name from inside the archive, so no name can lead out of the
folder; an archive that tries is refused all the same, since somebody made it so.
"""

import stat
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from vrxapp.errors import InputFileError
from vrxapp.files.safe_reading import told_failures

MOST_ENTRIES = 200
MOST_UNPACKED_BYTES = 1_000_000_000
_LARGEST_RATIO, _HARMLESS_BYTES = 100, 50_000_000
_ARCHIVES = (".zip", ".kmz", ".7z", ".rar", ".gz", ".tar", ".tgz", ".bz2", ".xz")
_CHUNK_BYTES = 1 << 20
_AGAIN = "Ask the sender for a plain zip of the files themselves, or unpack it yourself"


@contextmanager
def guarded_zip(path: Path) -> Iterator[zipfile.ZipFile]:
    """An open archive whose list of contents is harmless.

    Parameters
    ----------
    path : Path
        The archive.

    Raises
    ------
    InputFileError
        If it is damaged, or an entry is what no honest archive of shapes holds: a name that
        leads out, a link, a password, an archive, two equal names, or too much of anything.
    """
    with told_zip_failures(path), zipfile.ZipFile(path) as archive:
        entries = archive.infolist()
        _refuse_too_much(entries, path.name)
        _refuse_equal_names(entries, path.name)
        for entry in entries:
            _refuse_entry(entry, path.name)
        yield archive


@contextmanager
def told_zip_failures(path: Path) -> Iterator[None]:
    """Turns what `zipfile` says of a damaged archive into plain words."""
    with told_failures(path, "zip archive"):
        try:
            yield
        except (
            zipfile.BadZipFile,
            zlib.error,
            struct.error,
            EOFError,
            NotImplementedError,
        ) as error:
            raise InputFileError(
                "the archive is damaged or cut short",
                mend="Copy or download it again",
                file=path.name,
            ) from error


def wanted_entries(archive: zipfile.ZipFile, *suffixes: str) -> tuple[zipfile.ZipInfo, ...]:
    """The files of these suffixes, without the shadow copies that some systems add."""
    return tuple(
        entry
        for entry in archive.infolist()
        if not entry.is_dir()
        and PurePosixPath(entry.filename).suffix.lower() in suffixes
        and not PurePosixPath(entry.filename).name.startswith("._")
        and "__MACOSX" not in PurePosixPath(entry.filename).parts
    )


def unpacked_bytes(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, *, file: str) -> bytes:
    """The content of an entry, not a byte more than the list promised.

    Raises
    ------
    InputFileError
        If it holds more than the list says.
    """
    content = bytearray()
    with archive.open(entry) as opened:
        while chunk := opened.read(_CHUNK_BYTES):
            content += chunk
            if len(content) > entry.file_size:
                raise InputFileError(
                    "an entry is larger than the archive's list says",
                    mend=_AGAIN,
                    file=file,
                    value=entry.filename,
                )
    return bytes(content)


def _refuse_too_much(entries: list[zipfile.ZipInfo], file: str) -> None:
    """Refuse too many entries, too many bytes, and a bomb."""
    out = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    if len(entries) > MOST_ENTRIES:
        problem = f"the archive has {len(entries)} entries, and {MOST_ENTRIES} can be read"
    elif out > MOST_UNPACKED_BYTES:
        problem = f"it would unpack to {out / 1e6:,.0f} MB, and 1,000 MB can be read"
    elif out > _HARMLESS_BYTES and out > _LARGEST_RATIO * packed:
        problem = f"it would unpack to {out / max(packed, 1):,.0f} times its size"
    else:
        return
    raise InputFileError(problem, mend=_AGAIN, file=file)


def _refuse_equal_names(entries: list[zipfile.ZipInfo], file: str) -> None:
    """Refuse two entries that some systems could not tell apart."""
    for name, count in Counter(entry.filename.casefold() for entry in entries).items():
        if count > 1:
            raise InputFileError(
                f"the archive has {count} entries of one name", mend=_AGAIN, file=file, value=name
            )


def _refuse_entry(entry: zipfile.ZipInfo, file: str) -> None:
    """Refuse an entry that leads elsewhere or cannot be looked into."""
    raw = entry.orig_filename
    name = PurePosixPath(entry.filename)
    if name.is_absolute() or ".." in name.parts or any(mark in raw for mark in ("\\", ":", "\0")):
        problem = "the name of an entry leads out of the archive"
    elif stat.S_ISLNK(entry.external_attr >> 16):
        problem = "an entry is a link to somewhere else"
    elif entry.flag_bits & 0x1:
        problem = "the archive is locked with a password"
    elif name.suffix.lower() in _ARCHIVES:
        problem = "there is an archive in the archive"
    else:
        return
    raise InputFileError(problem, mend=_AGAIN, file=file, value=entry.filename)
