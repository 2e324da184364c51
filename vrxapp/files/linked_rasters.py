"""Raster files that a farm links to: whether they are still those that were linked."""

import os
from pathlib import Path

from vrxapp.errors import InputFileError
from vrxapp.files.checksum import file_checksum
from vrxapp.files.geotiff import open_raster
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.ground.raster_source import RasterSource


def open_linked(layer: LinkedRaster) -> RasterSource:
    """The raster of a layer, if its file is still the one that was linked.

    Raises
    ------
    InputFileError
        If the file is gone, has changed, or is no GeoTIFF.
    GroundError
        If it does not say where it lies.
    """
    require_unchanged(layer)
    return open_raster(layer.path, band=layer.band)


def require_unchanged(layer: LinkedRaster) -> None:
    """Refuse a layer whose file is gone or has changed since it was linked.

    Raises
    ------
    InputFileError
        If so.
    """
    if not layer.path.is_file():
        raise InputFileError(
            f"the file of the map layer {layer.name!r} is not at {layer.path} any more",
            mend="Put it back, or remove the layer and add it again; nothing else needs it",
            file=layer.path.name,
        )
    if file_checksum(layer.path) != layer.checksum:
        raise InputFileError(
            f"the file of the map layer {layer.name!r} has changed since it was linked",
            mend="Remove the layer and add it again to see what the file holds now",
            file=layer.path.name,
        )


def stored_path(path: Path, folder: Path) -> str:
    """A path as a farm file in some folder tells it: from there on, where that is possible."""
    try:
        return Path(os.path.relpath(path.absolute(), folder.absolute())).as_posix()
    except ValueError:  # on another drive
        return path.absolute().as_posix()


def found_path(text: str, folder: Path) -> Path:
    """The path that a farm file in some folder tells."""
    return Path(os.path.normpath(folder.absolute() / text))
