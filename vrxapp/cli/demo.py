"""`vrxapp demo`: the main job on the sample farm."""

from itertools import count
from pathlib import Path

import click
from rich.console import Console

from vrxapp.cli.options import as_json
from vrxapp.cli.prescribe import hand_over_record
from vrxapp.cli.printing import (
    TerminalProgress,
    print_hand_over,
    print_json,
    print_notes,
    print_plan,
)
from vrxapp.files.farm_file import write_farm
from vrxapp.workflows.hand_over import hand_over
from vrxapp.workflows.sample_farm import sample_farm


@click.command()
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder to make; none: vrxapp-demo here, or the next free number.",
)
@as_json
def demo(out: Path | None, as_json: bool) -> None:
    """Do the main job on the invented sample farm and say where the files are.

    \b
    Example:
        vrxapp demo --out vrxapp-demo
    """
    folder = out or _free_folder(Path.cwd() / "vrxapp-demo")
    farm = sample_farm()
    season = farm.seasons[0]
    done = hand_over(season, season.operations[0], folder, progress=TerminalProgress())
    farm_file = folder / "farm.gpkg"
    write_farm(farm, farm_file)
    notes = (*done.plan.notes, *done.notes)
    if as_json:
        record = hand_over_record(done, notes)
        print_json({**record, "farm_file": str(farm_file)})
        return
    print_notes(notes)
    console = Console(soft_wrap=True, highlight=False)
    console.print(f"{farm.name}: {season.paddock.name}, {season.name}", markup=False)
    print_plan(done.plan)
    print_hand_over(done)
    zone = season.zones.names[0]
    console.print(f"Farm file: {farm_file}", markup=False)
    console.print(f'Next: vrxapp why "{zone}" --farm "{farm_file}"', markup=False)


def _free_folder(wanted: Path) -> Path:
    """The wanted folder, or with the first number that is still free."""
    if not wanted.exists():
        return wanted
    return next(
        path for n in count(2) if not (path := wanted.with_name(f"{wanted.name}-{n}")).exists()
    )
