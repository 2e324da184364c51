"""`vrxapp sources`: the bibliography, and where each of its numbers stands."""

import click
from rich.console import Console

from vrxapp.cli.options import as_json
from vrxapp.cli.printing import print_json
from vrxapp.sources import Grade
from vrxapp.workflows.source_uses import SourceUse, source_uses


@click.command()
@click.argument("keys", nargs=-1, metavar="[KEY]...")
@click.option(
    "--grade",
    type=click.Choice([str(grade) for grade in Grade if grade is not Grade.YOURS]),
    help="Only sources known this well.",
)
@as_json
def sources(keys: tuple[str, ...], grade: str | None, as_json: bool) -> None:
    """Tell where every number comes from: citation, how well it is known, and who uses it.

    Without KEY it tells of all sources.

    \b
    Example:
        vrxapp sources moody-2007
        vrxapp sources --grade "from memory, unverified"
    """
    found = source_uses(keys, grade=Grade(grade) if grade else None)
    if as_json:
        print_json([_record(use) for use in found])
        return
    console = Console(soft_wrap=True, highlight=False)
    for use in found:
        for line in _lines(use):
            console.print(line, markup=False)
    counts = ", ".join(
        f"{sum(use.source.grade is known for use in found)} {known}"
        for known in Grade
        if known is not Grade.YOURS
    )
    console.print(f"{len(found)} sources: {counts}", markup=False)


def _record(use: SourceUse) -> dict[str, object]:
    entry = use.source
    return {
        "key": entry.key,
        "citation": entry.citation,
        "grade": str(entry.grade),
        "seen": entry.seen,
        "tables": [{"table": table, "rows": rows} for table, rows in use.tables],
        "modules": list(use.modules),
    }


def _lines(use: SourceUse) -> list[str]:
    entry = use.source
    tables = ", ".join(f"{name} ({rows} {_rows(rows)})" for name, rows in use.tables)
    lines = [f"{entry.key}  [{entry.grade}; seen: {entry.seen}]", f"  {entry.citation}"]
    lines += [f"  tables: {tables}"] if tables else []
    lines += [f"  modules: {', '.join(use.modules)}"] if use.modules else []
    return [*lines, ""]


def _rows(count: int) -> str:
    return "row" if count == 1 else "rows"
