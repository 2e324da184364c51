"""Maps of soil results as files, and as layers of the season they belong to."""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import numpy as np

from vrxapp.files.checksum import file_checksum
from vrxapp.files.file_names import plain_text
from vrxapp.files.geotiff_writing import RasterBand, write_geotiff
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.season import Season
from vrxapp.workflows.interpolate import WHAT_THE_ERROR_IS, SoilMap
from vrxapp.workflows.interpolation_study import MapStudy
from vrxapp.workflows.interpolation_words import title_of, variogram_in_words


class MapPart(StrEnum):
    """What one band of a map holds."""

    MEAN = "mean"
    ERROR = "standard error"
    CHANCE = "chance"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MapBand:
    """One band of a map, and what it holds."""

    part: MapPart
    band: RasterBand


@dataclass(frozen=True, slots=True)
class MapLayer:
    """One band of a written map as a map layer, and what it holds."""

    part: MapPart
    layer: LinkedRaster


def map_bands(soil: SoilMap, *, name: str = "") -> tuple[MapBand, ...]:
    """Mean, standard error and chance as bands; what the way does not know is left out.

    They are called after the test and its layer, or else after a given name.
    """
    title, unit = name.strip() or title_of(soil.study), soil.study.analyte.unit
    below = f"{soil.grain.critical:g} {unit}".strip()
    no_values = np.full(soil.cells.mean.shape, np.nan)
    chance = no_values if soil.chance_percent is None else soil.chance_percent
    bands = (
        MapBand(MapPart.MEAN, RasterBand(title, unit, soil.cells.mean)),
        MapBand(
            MapPart.ERROR, RasterBand(f"{title}, standard error", unit, soil.cells.standard_error)
        ),
        MapBand(MapPart.CHANCE, RasterBand(f"{title}, chance below {below}", "%", chance)),
    )
    return tuple(band for band in bands if np.isfinite(band.band.values).any())


def write_soil_map(soil: SoilMap, path: Path, *, replace: bool = False) -> None:
    """Write a map as a GeoTIFF that tells how it was made.

    Raises
    ------
    TargetExistsError
        If the file exists and may not be replaced.
    VrxError
        If it cannot be written, or does not read back as meant.
    """
    study = soil.study
    facts = {
        "WAY": str(study.way),
        "SAMPLES": str(study.samples.values.size),
        "STANDARD_ERROR": WHAT_THE_ERROR_IS[study.way] or "not known",
        "VARIOGRAM": variogram_in_words(study) or "none",
    }
    bands = tuple(part.band for part in map_bands(soil))
    write_geotiff(bands, soil.cells.grid, path, facts=facts, replace=replace)


def linked_map(soil: SoilMap, path: Path, *, name: str = "") -> tuple[MapLayer, ...]:
    """A written map as map layers, one a band, called after a name where one is given."""
    checksum = file_checksum(path)
    return tuple(
        MapLayer(
            known.part,
            LinkedRaster(known.band.name, path.absolute(), checksum, known.band.unit, number),
        )
        for number, known in enumerate(map_bands(soil, name=name), start=1)
    )


def proposed_map_file(folder: Path, season: Season, study: MapStudy) -> Path:
    """A name for a map's file in a folder that nothing there has yet."""
    words = f"{season.paddock.name} {title_of(study)} {study.way}"
    stem = plain_text(words).casefold()
    path, number = folder / f"{stem}.tif", 1
    while path.exists():
        number += 1
        path = folder / f"{stem}_{number}.tif"
    return path
