"""A raster that a paddock is looked at with; it stays in its file and is only linked."""

from dataclasses import dataclass
from pathlib import Path

from vrxapp.errors import MissingInputError


@dataclass(frozen=True, slots=True)
class LinkedRaster:
    """One band of a raster file that can be shown under the zones.

    Parameters
    ----------
    name : str
        What it shows, for people: apparent conductivity, a vegetation index.
    path : Path
        Where the file lies; in a farm file this is told from the farm file's folder on.
    checksum : str
        SHA-256 of the file when it was linked, in hexadecimal digits.
    unit : str, optional
        Unit of its values; empty where nobody says it.
    band : int, optional
        Which band, counted from 1.
    """

    name: str
    path: Path
    checksum: str
    unit: str = ""
    band: int = 1

    def __post_init__(self) -> None:
        """Refuse a layer that nobody could name."""
        if not self.name.strip():
            raise MissingInputError("the map layer has no name", mend="Give it a name")
