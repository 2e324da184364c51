"""What a file holds, as one short text to compare later."""

import hashlib
from pathlib import Path

from vrxapp.errors import InputFileError


def file_checksum(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal digits.

    Raises
    ------
    InputFileError
        If there is no such file, or it may not be read.
    """
    if not path.is_file():
        raise InputFileError("there is no such file", mend="Check the name", file=path.name)
    try:
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise InputFileError(
            f"it cannot be read: {error.strerror}",
            mend="Check that you may read it",
            file=path.name,
        ) from error
