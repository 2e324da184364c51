"""Edits of the rasters that a season is looked at with."""

from dataclasses import replace

from vrxapp.errors import UnknownChoiceError
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.season import Season


def add_layer(season: Season, layer: LinkedRaster) -> Season:
    """Link another raster, after those that are there; the same one again changes nothing.

    Raises
    ------
    UnknownChoiceError
        If another layer has this name.
    """
    if layer in season.layers:
        return season
    refuse_taken_name(season, layer.name)
    return replace(season, layers=(*season.layers, layer))


def refuse_taken_name(season: Season, name: str) -> None:
    """Refuse a name that a layer of the season has already.

    Raises
    ------
    UnknownChoiceError
        If so.
    """
    if name.strip().casefold() in {known.name.casefold() for known in season.layers}:
        raise UnknownChoiceError(
            f"a map layer of {season.paddock.name} is called {name!r} already",
            mend="Give it another name, or remove the older one first",
        )


def linked_before(season: Season, layer: LinkedRaster) -> LinkedRaster | None:
    """The layer of the season that shows the same band of the same file, whatever its name."""

    def shows(known: LinkedRaster) -> tuple[object, ...]:
        return (known.path, known.band, known.checksum)

    return next((known for known in season.layers if shows(known) == shows(layer)), None)


def freely_named(season: Season, layer: LinkedRaster) -> LinkedRaster:
    """The layer under a name that no other of the season has: with a number, where needed."""
    if layer in season.layers:
        return layer
    taken = {known.name.casefold() for known in season.layers}
    name, number = layer.name, 1
    while name.casefold() in taken:
        number += 1
        name = f"{layer.name} ({number})"
    return replace(layer, name=name)


def remove_layer(season: Season, name: str) -> Season:
    """Let go of a raster; its file stays as it is.

    Raises
    ------
    UnknownChoiceError
        If there is none of this name; the mend lists what there is.
    """
    gone = layer_called(season, name)
    return replace(season, layers=tuple(layer for layer in season.layers if layer is not gone))


def layer_called(season: Season, name: str) -> LinkedRaster:
    """The layer of this name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for layer in season.layers:
        if layer.name.casefold() == name.strip().casefold():
            return layer
    raise UnknownChoiceError(
        f"{season.paddock.name} has no map layer {name!r}",
        mend=f"Choose one of: {', '.join(known.name for known in season.layers) or 'none yet'}",
    )
