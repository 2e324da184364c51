"""Which paddock each sample of a lab sheet is from, on sheets of several growers too."""

from collections.abc import Sequence

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.lines import Lines
from vrxapp.ground.zones import comparable
from vrxapp.soil.place_notes import listed


def paddock_names(lines: Lines, first: Sequence[int]) -> tuple[tuple[str, ...], tuple[Note, ...]]:
    """The paddock of each row, and notes where the sheet holds several.

    Parameters
    ----------
    lines : Lines
        The lines of the sheet.
    first : sequence of int
        The line of each row of the table.

    Returns
    -------
    tuple of str
        Nothing where no paddock is named. Where two growers have a paddock of the same
        name, the grower stands before it.
    tuple of Note
        A note where there are several paddocks or growers.
    """
    if not any(lines.paddocks) and not any(lines.growers):
        return (), ()
    names = [lines.paddocks[line] for line in first]
    growers = [lines.growers[line] for line in first]
    owners: dict[str, set[str]] = {}
    for name, grower in zip(names, growers, strict=True):
        owners.setdefault(comparable(name), set()).add(comparable(grower))
    full = tuple(
        f"{grower}: {name}" if name and grower and len(owners[comparable(name)]) > 1 else name
        for name, grower in zip(names, growers, strict=True)
    )
    notes = (
        *_several(lines, growers, what="growers"),
        *_several(lines, list(full), what="paddocks"),
    )
    return (full if any(full) else ()), notes


def _several(lines: Lines, names: list[str], *, what: str) -> tuple[Note, ...]:
    """A note where a column names more than one."""
    told = {comparable(name): name for name in names if name}
    if len(told) < 2:
        return ()
    return (
        Note(
            f"the sheet holds {len(told)} {what}: {listed(told.values())}",
            mend="Take the rows of the paddock at hand",
            file=lines.sheet.file,
            row=lines.header.row,
        ),
    )
