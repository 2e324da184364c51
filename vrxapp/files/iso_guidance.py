"""Guidance lines out of ISO 11783-10 task data: TASKDATA.XML, plain or in a zip.

Element and attribute names are those of the standard's own schemas, version 4.3 (read); that a
heading counts clockwise from true north is from memory, and noted where it is used.
"""

from pathlib import Path, PurePosixPath
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note
from vrxapp.files.plain_xml import plain_xml
from vrxapp.files.safe_reading import refuse_leading_name, refuse_no_file, told_failures
from vrxapp.files.zip_guard import guarded_zip, unpacked_bytes, wanted_entries
from vrxapp.ground.features import Features
from vrxapp.ground.guidance import line_along_heading

KIND = "ISO 11783 task data"
TASK_FILE = "TASKDATA.XML"
_ROOT = "ISO11783_TaskData"
_GUIDANCE_LINE = "5"
_AB, _A_PLUS, _CURVE = "1", "2", "3"
_HEADING_LINE_M = 1_000.0
"""Length given to a line that the file tells by a point and a heading alone. [m]"""
_MILLIMETRES_PER_METRE = 1_000.0


def holds_task_data(path: Path) -> bool:
    """Whether a file is task data by its name, or a zip with such a file in it.

    Raises
    ------
    InputFileError
        If a zip is damaged or not harmless.
    """
    suffix = path.suffix.lower()
    if suffix != ".zip":
        return suffix == ".xml"
    with guarded_zip(path) as archive:
        return any(_is_task_file(e.filename) for e in wanted_entries(archive, ".xml"))


def read_iso_guidance(path: Path) -> Features:
    """The guidance lines of task data, in longitude and latitude.

    Parameters
    ----------
    path : Path
        A ``TASKDATA.XML`` or a zip that holds one.

    Returns
    -------
    Features
        One line each, with its ``name`` and, where it is told, its ``swath_m``; pivots and
        spirals are left out with a note.

    Raises
    ------
    InputFileError
        If it is no task data, is damaged, holds no line, or a position cannot be one.
    """
    refuse_leading_name(path)
    refuse_no_file(path)
    root = plain_xml(_content(path), file=path.name, kind=KIND, roots=(_ROOT,))
    found: list[tuple[shapely.LineString, dict[str, object]]] = []
    by_heading = left_out = 0
    for pattern in root.iter("GPN"):
        line = _pattern_line(pattern, path)
        by_heading += _is_by_heading(pattern)
        if line is None:
            left_out += 1
        else:
            string = pattern.find("LSG")
            found.append((line, _fields(pattern, string, len(found) + 1)))
    in_patterns = {id(string) for pattern in root.iter("GPN") for string in pattern.iter("LSG")}
    for string in root.iter("LSG"):
        if string.get("A") == _GUIDANCE_LINE and id(string) not in in_patterns:
            found.append((_line(string, path), _fields(string, string, len(found) + 1)))
    if not found:
        raise InputFileError(
            "its task data holds no guidance line",
            mend="Export it with guidance patterns of the kinds A-B, A+ or curve",
            file=path.name,
        )
    shapes: NDArray[np.object_] = np.empty(len(found), dtype=object)
    shapes[:] = [line for line, _ in found]
    return Features(
        path.name,
        shapes,
        tuple(fields for _, fields in found),
        _notes(root, path, by_heading=by_heading, left_out=left_out),
    )


def _content(path: Path) -> bytes:
    """The XML, out of the zip where there is one."""
    with told_failures(path, KIND):
        if path.suffix.lower() != ".zip":
            return path.read_bytes()
        with guarded_zip(path) as archive:
            files = [e for e in wanted_entries(archive, ".xml") if _is_task_file(e.filename)]
            if len(files) != 1:
                raise InputFileError(
                    f"the zip holds {len(files)} files called {TASK_FILE}",
                    mend="Pack one set of task data at a time",
                    file=path.name,
                )
            return unpacked_bytes(archive, files[0], file=path.name)


def _is_task_file(name: str) -> bool:
    return PurePosixPath(name.replace("\\", "/")).name.upper() == TASK_FILE


def _pattern_line(pattern: Element, path: Path) -> shapely.LineString | None:
    """The line of a guidance pattern; None for a pivot or a spiral."""
    kind, string = pattern.get("C", ""), pattern.find("LSG")
    if kind not in {_AB, _A_PLUS, _CURVE} or string is None:
        return None
    if _is_by_heading(pattern):
        (point,) = _points(string, path)
        heading = _number(pattern.get("G", ""), path, what="heading", low=0.0, high=360.0)
        return line_along_heading(*point, heading, length_m=_HEADING_LINE_M)
    return _line(string, path)


def _is_by_heading(pattern: Element) -> bool:
    """Whether a pattern tells its line by a point and a heading alone."""
    string = pattern.find("LSG")
    return pattern.get("C") == _A_PLUS and string is not None and len(string.findall("PNT")) == 1


def _line(string: Element, path: Path) -> shapely.LineString:
    points = _points(string, path)
    if len(set(points)) < 2:
        raise InputFileError(
            f"a guidance line has {len(set(points))} points",
            mend="Export it again; a line needs two",
            file=path.name,
        )
    return shapely.LineString(points)


def _points(string: Element, path: Path) -> list[tuple[float, float]]:
    """Longitude and latitude of each point. [degrees]"""
    return [
        (
            _number(point.get("D", ""), path, what="longitude", low=-180.0, high=180.0),
            _number(point.get("C", ""), path, what="latitude", low=-90.0, high=90.0),
        )
        for point in string.findall("PNT")
    ]


def _number(text: str, path: Path, *, what: str, low: float, high: float) -> float:
    try:
        value = float(text)
    except ValueError:
        value = np.nan
    if not low <= value <= high:
        raise InputFileError(
            f"a {what} of a guidance line is {text!r}",
            mend="Export the task data again",
            file=path.name,
            value=text,
        )
    return value


def _fields(named: Element, string: Element | None, number: int) -> dict[str, object]:
    """Name and swath of a line; the standard keeps the width in millimetres."""
    width = string.get("C", "") if string is not None else ""
    name = named.get("B", "").strip() or (string.get("B", "") if string is not None else "").strip()
    swath_m = float(width) / _MILLIMETRES_PER_METRE if width.isdigit() and int(width) else None
    return {"name": name or f"Line {number}", "swath_m": swath_m}


def _notes(root: Element, path: Path, *, by_heading: int, left_out: int) -> tuple[Note, ...]:
    notes = []
    if by_heading:
        notes.append(
            Note(
                f"{by_heading} lines told by a point and a heading are drawn "
                f"{_HEADING_LINE_M:,.0f} m long, clockwise from true north",
                mend="Look at the map whether they lie along the passes",
                file=path.name,
            )
        )
    if left_out:
        notes.append(
            Note(
                f"{left_out} pivots, spirals or empty patterns are left out",
                mend="Only straight lines and curves are used here",
                file=path.name,
            )
        )
    if root.find("XFR") is not None:
        notes.append(
            Note(
                "it refers to other files, which are not read",
                mend="Export the task data in one file if lines are missing",
                file=path.name,
            )
        )
    return tuple(notes)
