"""Maps of soil results as files, and as layers of the season they belong to."""

from pathlib import Path

import numpy as np

from vrxapp.edits.layers import add_layer, freely_named
from vrxapp.files.checksum import file_checksum
from vrxapp.files.file_names import plain_text
from vrxapp.files.geotiff_writing import RasterBand, write_geotiff
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.season import Season
from vrxapp.workflows.interpolate import WHAT_THE_ERROR_IS, SoilMap
from vrxapp.workflows.interpolation_study import MapStudy
from vrxapp.workflows.interpolation_words import title_of, variogram_in_words


def map_bands(soil: SoilMap) -> tuple[RasterBand, ...]:
    """Mean, standard error and chance as bands; what the way does not know is left out."""
    title, unit = title_of(soil.study), soil.study.analyte.unit
    bands = [RasterBand(title, unit, soil.cells.mean)]
    if np.isfinite(soil.cells.standard_error).any():
        bands.append(RasterBand(f"{title}, standard error", unit, soil.cells.standard_error))
    if soil.chance_percent is not None and np.isfinite(soil.chance_percent).any():
        below = f"{soil.grain.critical:g} {unit}".strip()
        bands.append(RasterBand(f"{title}, chance below {below}", "%", soil.chance_percent))
    return tuple(bands)


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
    write_geotiff(map_bands(soil), soil.cells.grid, path, facts=facts, replace=replace)


def layer_names(soil: SoilMap, name: str = "") -> tuple[str, ...]:
    """What the bands of a map are called as layers: as they are, or after another name."""
    title = title_of(soil.study)
    return tuple(band.name.replace(title, name.strip() or title, 1) for band in map_bands(soil))


def linked_map(soil: SoilMap, path: Path, *, name: str = "") -> tuple[LinkedRaster, ...]:
    """A written map as map layers, one a band; the mean is called by the name, if one is given."""
    checksum, bands = file_checksum(path), map_bands(soil)
    return tuple(
        LinkedRaster(called, path.absolute(), checksum, band.unit, number)
        for number, (called, band) in enumerate(
            zip(layer_names(soil, name), bands, strict=True), start=1
        )
    )


def add_freely_named(season: Season, layers: tuple[LinkedRaster, ...]) -> Season:
    """A season with layers added, numbered where a name is taken."""
    for layer in layers:
        season = add_layer(season, freely_named(season, layer))
    return season


def proposed_map_file(folder: Path, season: Season, study: MapStudy) -> Path:
    """A name for a map's file in a folder that nothing there has yet."""
    words = f"{season.paddock.name} {title_of(study)} {study.way}"
    stem = plain_text(words).casefold()
    path, number = folder / f"{stem}.tif", 1
    while path.exists():
        number += 1
        path = folder / f"{stem}_{number}.tif"
    return path
