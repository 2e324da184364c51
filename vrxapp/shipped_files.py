"""Finds the files that travel with the program: the sample farm and the icons."""

from pathlib import Path

import vrxapp
from vrxapp.errors import InputFileError


def shipped_folder(name: str) -> Path:
    """The folder ``sample_fields`` or ``icons``, in an installed wheel or a checkout.

    Raises
    ------
    InputFileError
        If it is not there: the installation is incomplete.
    """
    package = Path(vrxapp.__file__).parent
    for folder in (package / "shipped" / name, package.parent / name):
        if folder.is_dir():
            return folder
    raise InputFileError(
        f"the folder {name} that belongs to vrxapp is missing", mend="Install vrxapp again"
    )
