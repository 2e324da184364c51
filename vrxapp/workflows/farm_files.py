"""Opens and saves farm files, and tells of what an interrupted save has left beside them."""

from pathlib import Path

from vrxapp.errors import Note
from vrxapp.farm import Farm
from vrxapp.files.farm_file import read_farm
from vrxapp.files.write_aside import leftovers
from vrxapp.workflows.map_layers import layer_notes


def open_farm(path: Path) -> tuple[Farm, tuple[Note, ...]]:
    """A farm out of its file, and notes on leftovers of a save and on map layers that are gone.

    Raises
    ------
    FarmFileError
        If the file is missing, damaged, of a newer format, or no farm file.
    """
    notes = tuple(
        Note(
            f"a save that was interrupted left {left.name} beside it; the farm itself is whole",
            mend="Delete that file if you do not need it",
            file=path.name,
        )
        for left in leftovers(path)
    )
    farm = read_farm(path)
    return farm, (*notes, *layer_notes(farm.seasons))
