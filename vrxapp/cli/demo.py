"""`vrxapp demo`: the main job on the sample farm."""

from itertools import count
from pathlib import Path

import click
from rich.console import Console

from vrxapp.cli.options import as_json
from vrxapp.cli.prescribe import hand_over_record
from vrxapp.cli.printing import (
    TerminalProgress,
    print_json,
    print_notes,
    print_plan,
    print_read_backs,
)
from vrxapp.errors import Note, TargetExistsError
from vrxapp.farm import Farm
from vrxapp.files.farm_file import write_farm
from vrxapp.files.file_names import plain_text
from vrxapp.prescription.mix import mix_cautions
from vrxapp.season import Season
from vrxapp.workflows.hand_over import HandOver, hand_over
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
    done = _handed_over(farm, folder)
    farm_file = folder / "farm.gpkg"
    write_farm(farm, farm_file)
    if as_json:
        jobs = [
            {"paddock": season.paddock.name, **hand_over_record(job, _notes(job))}
            for season, job in done
        ]
        print_json({"farm": farm.name, "jobs": jobs, "farm_file": str(farm_file)})
        return
    console = Console(soft_wrap=True, highlight=False)
    console.print(f"{farm.name}: {len(farm.seasons)} paddocks, {len(done)} passes", markup=False)
    for season, job in done:
        if job.plan.operation is season.operations[0]:
            console.print(f"\n{season.paddock.name}", markup=False, style="bold")
        print_notes(_notes(job))
        print_plan(job.plan)
        print_read_backs(job)
    _print_ending(console, farm, done)
    console.print(f"Farm file: {farm_file}", markup=False)
    season = farm.seasons[0]
    zone, paddock = season.zones.names[0], season.paddock.name
    console.print(
        f'Next: vrxapp why "{zone}" --farm "{farm_file}" --paddock "{paddock}"', markup=False
    )


def _handed_over(farm: Farm, folder: Path) -> list[tuple[Season, HandOver]]:
    """Each pass of each paddock, handed over into a folder of its own."""
    if folder.exists():
        raise TargetExistsError(
            "there is such a folder already", mend="Choose another name", file=folder.name
        )
    done = []
    for season in farm.seasons:
        for operation in season.operations:
            place = folder / plain_text(f"{season.paddock.name} {operation.name}").lower()
            place.parent.mkdir(parents=True, exist_ok=True)
            job = hand_over(season, operation, place, progress=TerminalProgress())
            done.append((season, job))
    return done


def _notes(job: HandOver) -> tuple[Note, ...]:
    return (*job.plan.notes, *job.notes)


def _print_ending(console: Console, farm: Farm, done: list[tuple[Season, HandOver]]) -> None:
    """Where the files are, and each caution once."""
    console.print(
        "\nFiles, in each folder a part for the contractor and one for the agronomist:",
        markup=False,
    )
    for _, job in done:
        console.print(f"  {job.folder}", markup=False)
    console.print("Mind:", markup=False)
    operations = [operation for season in farm.seasons for operation in season.operations]
    for caution in dict.fromkeys(c for o in operations for c in mix_cautions(o)):
        console.print(f"  {caution}", markup=False)


def _free_folder(wanted: Path) -> Path:
    """The wanted folder, or with the first number that is still free."""
    if not wanted.exists():
        return wanted
    return next(
        path for n in count(2) if not (path := wanted.with_name(f"{wanted.name}-{n}")).exists()
    )
