"""Zones of a season out of a file: GeoJSON, Shapefile, GeoPackage, KML or KMZ."""

from pathlib import Path

from vrxapp.edits.zones import use_zones
from vrxapp.errors import Note
from vrxapp.files.formats import read_features
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.workflows.open_files import polygons_of, zones_from


def zones_from_file(
    season: Season,
    path: Path,
    *,
    layer: str = "",
    crs: str = "",
    progress: Progress | None = None,
) -> tuple[Season, tuple[Note, ...]]:
    """The season with the zones of a file, mended so that they tile the paddock.

    Parameters
    ----------
    season : Season
        The season; zones of the same name keep what is joined to them.
    path : Path
        The file.
    layer : str, optional
        Which layer of it, where it holds several.
    crs : str, optional
        Coordinate system of a file that names none.
    progress : Progress, optional
        Who is told how far mending is, and may stop it.

    Returns
    -------
    tuple of Season and tuple of Note
        The season, and what was doubtful or mended.

    Raises
    ------
    VrxError
        If the file cannot be used, or a zone of the season is locked.
    """
    features = polygons_of(
        read_features(path, layer=layer, crs=crs), "A zone is drawn as a polygon"
    )
    season, mended = use_zones(season, zones_from(features, season.paddock), progress=progress)
    return season, (*features.notes, *mended)
