"""Notes on what a lab sheet holds but nothing reads."""

from collections.abc import Sequence

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.header import MEND_METHOD, is_wide
from vrxapp.files.lab_sheets.lines import Lines, NamedLines
from vrxapp.files.lab_sheets.names import Role, heading
from vrxapp.soil.place_notes import listed

_MEND_UNUSED = "Nothing needs doing; rename a column if it holds something that is needed"


def unused_column_notes(lines: Lines) -> tuple[Note, ...]:
    """Columns that nothing reads: one note for each without its method, one for the others."""
    header = lines.header
    unused = [
        index
        for index, read in enumerate(zip(header.roles, header.headings, strict=True))
        if read == (None, None) and any(lines.columns[index])
    ]
    bare = {i: heading(header.names[i]).methods for i in unused if is_wide(header)}
    others = [index for index in unused if not bare.get(index)]
    names = [header.names[index] or f"column {index + 1}" for index in others]
    notes = [
        _without_method(lines, header.names[index], methods=methods, row=header.row)
        for index, methods in bare.items()
        if methods
    ]
    if others:
        notes.append(
            Note(
                f"no rule uses {listed(names)} yet; left out",
                mend=_MEND_UNUSED,
                file=lines.sheet.file,
                row=header.row,
                column=header.names[others[0]] or str(others[0] + 1),
            )
        )
    return tuple(notes)


def unused_analyte_notes(lines: Lines, unknown: Sequence[NamedLines]) -> tuple[Note, ...]:
    """Results of a long sheet that nothing reads."""
    notes: list[Note] = []
    others: dict[str, int] = {}
    for part in unknown:
        row = int(lines.rows[part.lines[0]])
        methods = heading(part.name, part.method).methods
        if methods:
            notes.append(_without_method(lines, part.name, methods=methods, row=row))
        else:
            others.setdefault(part.name, row)
    if others:
        names = list(others)
        notes.append(
            Note(
                f"no rule uses {listed(name or 'results without an analyte' for name in names)} "
                "yet; left out",
                mend="Nothing needs doing; correct the name if it is one that is needed",
                file=lines.sheet.file,
                row=others[names[0]],
                column=lines.header.names[lines.header.roles.index(Role.ANALYTE)],
                value=names[0],
            )
        )
    return tuple(notes)


def _without_method(lines: Lines, name: str, *, methods: str, row: int) -> Note:
    """A result that cannot be used, for results by different methods are different things."""
    return Note(
        f"{name!r} does not say by which method it was measured ({methods}), so it is not used",
        mend=MEND_METHOD if is_wide(lines.header) else "Write the method into the name",
        file=lines.sheet.file,
        row=row,
        column=name,
        value=name,
    )
