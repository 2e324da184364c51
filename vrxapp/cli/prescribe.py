"""`vrxapp prescribe`: own files in, a folder with a verified prescription out."""

from pathlib import Path

import click

from vrxapp.cli.options import Chosen, as_json, plan_options
from vrxapp.cli.printing import (
    TerminalProgress,
    plan_record,
    print_hand_over,
    print_json,
    print_notes,
    print_plan,
)
from vrxapp.errors import Note, TargetExistsError
from vrxapp.files.farm_file import write_farm
from vrxapp.workflows.hand_over import HandOver, hand_over


@click.command()
@plan_options
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Folder to make.")
@click.option("--save-farm", type=click.Path(path_type=Path), help="Save a farm file (.gpkg) too.")
@click.option("--replace", is_flag=True, help="Replace what already stands there, with all in it.")
@as_json
def prescribe(
    chosen: Chosen, out: Path, save_farm: Path | None, replace: bool, as_json: bool
) -> None:
    """Turn a boundary, zones and a lab sheet into a prescription that was read back.

    \b
    Example:
        vrxapp prescribe --boundary boundary.geojson --zones zones.geojson \\
            --lab lab_composites.csv --crop wheat --yield 4 --product map --out job
    """
    if save_farm is not None and save_farm.exists() and not replace:
        raise TargetExistsError(
            "there is such a file already",
            mend="Choose another name, or say --replace",
            file=save_farm.name,
        )
    done = hand_over(
        chosen.season, chosen.operation, out, replace=replace, progress=TerminalProgress()
    )
    if save_farm is not None:
        write_farm(chosen.farm, save_farm)
    notes = (*chosen.notes, *done.plan.notes, *done.notes)
    if as_json:
        print_json(hand_over_record(done, notes))
        return
    print_notes(notes)
    print_plan(done.plan)
    print_hand_over(done)


def hand_over_record(done: HandOver, notes: tuple[Note, ...]) -> dict[str, object]:
    """A hand-over as a record for programs."""
    return {
        **plan_record(done.plan),
        "folder": str(done.folder),
        "files": [str(path) for path in done.files],
        "read_back": [
            {
                "file": back.file,
                "reader": back.reader,
                "parts": back.parts,
                "planned_kg": back.planned_kg,
                "written_kg": back.written_kg,
            }
            for back in done.read_backs
        ],
        "notes": [str(note) for note in notes],
    }
