"""The file that a dialog for saving means, with its suffix, and never another that exists."""

import re
from pathlib import Path

from vrxapp.errors import TargetExistsError

_SUFFIX = re.compile(r"\*(\.\w+)")


def save_path(name: str, kinds: str, *, chosen: str = "") -> Path:
    """The path to write to: as it was typed, or with the suffix of its kind behind it.

    Parameters
    ----------
    name : str
        What the dialog gave.
    kinds : str
        The kinds that it offered, such as ``"Farm (*.gpkg);;Map (*.tif *.tiff)"``.
    chosen : str, optional
        The kind that was chosen; the first if not told.

    Raises
    ------
    TargetExistsError
        If the suffix was put behind the name and that file exists: the dialog has asked
        about replacing a file of another name.
    """
    path = Path(name)
    if path.suffix.casefold() in _SUFFIX.findall(kinds):
        return path
    path = path.with_name(path.name + _SUFFIX.findall(chosen or kinds)[0])
    if path.exists():
        raise TargetExistsError(
            f"{path.name} exists already", mend="Choose another name, or choose that file"
        )
    return path
