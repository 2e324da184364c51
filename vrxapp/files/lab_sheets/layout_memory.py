"""Corrected layouts of lab sheets, remembered as one small file each."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from vrxapp.errors import Note, UnknownChoiceError, VrxError, WriteError
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn
from vrxapp.files.lab_sheets.mass_basis import MassBasis
from vrxapp.files.lab_sheets.names import Role
from vrxapp.files.write_aside import new_file
from vrxapp.soil.analytes import analyte
from vrxapp.units import known_unit

FORMAT = 1
_LARGEST_BYTES = 1_000_000


def remember_layout(layout: LabLayout, folder: Path) -> None:
    """Keep a layout for every later sheet with the same header.

    Parameters
    ----------
    layout : LabLayout
        The layout, as it was corrected.
    folder : Path
        Where layouts are kept; it is made where it is not there yet.

    Raises
    ------
    WriteError
        If it cannot be written.
    """
    text = json.dumps({"format": FORMAT, **asdict(layout)}, ensure_ascii=False, indent=1)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with new_file(_file_of(layout.key, folder)) as aside:
            aside.write_text(text, encoding="utf-8")
    except OSError as error:
        raise WriteError(
            f"the layout could not be kept ({error.strerror})",
            mend="Make room, or check that you may write there",
            file=folder.name,
        ) from error


def remembered_layout(key: str, folder: Path) -> tuple[LabLayout | None, tuple[Note, ...]]:
    """The layout kept for sheets with such a header, if there is one.

    Parameters
    ----------
    key : str
        Fingerprint of the header, as a guessed layout has it.
    folder : Path
        Where layouts are kept; it need not be there.

    Returns
    -------
    LabLayout or None
        The layout; None where there is none, or it is damaged.
    tuple of Note
        A note where it is damaged.
    """
    kept = _file_of(key, folder)
    try:
        if not kept.is_file():
            return None, ()
        if kept.stat().st_size > _LARGEST_BYTES:
            return None, (_damaged(kept),)
        return _layout(json.loads(kept.read_text("utf-8")), kept.stem), ()
    except (OSError, ValueError, TypeError, KeyError, RecursionError, VrxError):
        return None, (_damaged(kept),)


def forget_layout(key: str, folder: Path) -> bool:
    """Forget the layout kept for such a header; False where none was kept.

    Raises
    ------
    WriteError
        If it cannot be removed.
    """
    kept = _file_of(key, folder)
    try:
        kept.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise WriteError(
            f"the layout could not be forgotten ({error.strerror})",
            mend="Check that you may write there",
            file=kept.name,
        ) from error
    return True


def _file_of(key: str, folder: Path) -> Path:
    """The file of one layout."""
    return folder / f"{key}.json"


def _layout(kept: object, key: str) -> LabLayout:
    """A layout out of what was kept; anything odd about it is an error."""
    if not isinstance(kept, dict):
        raise TypeError("no layout at all")
    if kept.pop("format") != FORMAT or kept["key"] != key:
        raise ValueError("another format, or the layout of another header")
    columns = tuple(_column(column) for column in kept.pop("columns"))
    basis = MassBasis(**kept.pop("mass_basis", {}))
    layout = LabLayout(columns=columns, mass_basis=basis, **kept)
    right = (
        type(layout.header_row) is int  # True is an int too
        and isinstance(layout.tab, str)
        and (layout.decimal_comma is None or isinstance(layout.decimal_comma, bool))
        and isinstance(basis.acre_convention, bool)
    )
    if not right:
        raise TypeError("a setting of another type")
    return layout


def _column(kept: dict[str, Any]) -> LayoutColumn:
    """One column out of what was kept; anything odd about it is an error."""
    if not isinstance(kept, dict):
        raise TypeError("no column at all")
    role = kept.pop("role")
    column = LayoutColumn(role=None if role is None else Role(role), **kept)
    if not all(isinstance(t, str) for t in (column.name, column.analyte, column.unit)):
        raise TypeError("a column of another type")
    if column.analyte:
        analyte(column.analyte)
    if column.unit and known_unit(column.unit) is None:
        raise UnknownChoiceError(f"no unit is called {column.unit!r}")
    return column


def _damaged(kept: Path) -> Note:
    """The note on a layout that cannot be used."""
    return Note(
        "the remembered layout of such sheets is damaged or of another version, and not used",
        mend="Check the guess and correct it; it is then remembered anew",
        file=kept.name,
    )
