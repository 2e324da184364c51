"""The farm file: one OGC GeoPackage that any GIS opens, saved aside and swapped in whole."""

import hashlib
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import shapely

from vrxapp.errors import FarmFileError, WriteError
from vrxapp.farm import Farm
from vrxapp.files.farm_settings import (
    FORMAT,
    StoredFarm,
    StoredLayer,
    StoredSamplePlan,
    StoredSeason,
    settings_from,
    settings_text,
)
from vrxapp.files.farm_tables import (
    LAYER_FIELDS,
    LayerRows,
    crs_of,
    ground_points_from,
    guidance_from,
    layer_rows,
    paddock_from,
    sample_plan_from,
    strips_from,
    tests_from,
    zones_from,
)
from vrxapp.files.linked_rasters import found_path, stored_path
from vrxapp.files.write_aside import new_file
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.ground.sample_plan import SamplePlan
from vrxapp.season import Season

_GEOPACKAGE_ID = 0x47504B47
_SETTINGS = "project_setting"
_OLDER_COPY = "Open an older copy of the file, or take it from a backup"


def write_farm(farm: Farm, path: Path) -> None:
    """Save a farm; what stood in the file before stays until the new one is whole.

    Parameters
    ----------
    farm : Farm
        The farm.
    path : Path
        File to write, ending in ``.gpkg``.

    Raises
    ------
    WriteError
        If the file cannot be written.
    FarmFileError
        If the written file is not whole.
    """
    if not path.absolute().parent.is_dir():
        raise WriteError("its folder does not exist", mend="Make the folder first", file=path.name)
    with new_file(path) as aside:
        try:
            _write_all(farm, aside)
        except (sqlite3.Error, RuntimeError) as error:  # RuntimeError is the root of pyogrio's
            raise WriteError(
                f"it could not be written: {error}",
                mend="Make room on the disk, or choose another place",
                file=path.name,
            ) from error
        _read_checked(aside, path.name)


def read_farm(path: Path) -> Farm:
    """Open a farm file.

    Parameters
    ----------
    path : Path
        A farm file.

    Returns
    -------
    Farm
        The farm as it was saved.

    Raises
    ------
    FarmFileError
        If the file is missing, damaged, of a newer format, or no farm file.
    """
    settings = _read_checked(path, path.name)
    layers, crs = _read_layers(path)
    try:
        seasons = tuple(
            _season_from(layers, stored, crs, path.parent) for stored in settings.seasons
        )
    except (KeyError, IndexError) as error:
        raise FarmFileError(
            "a layer of the farm is missing", mend=_OLDER_COPY, file=path.name
        ) from error
    return Farm(settings.name, seasons, settings.products, settings.machines, settings.own_rules)


def is_farm_file(path: Path) -> bool:
    """Whether a file looks like a farm file of this program, whole or damaged."""
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as database:
            found = database.execute(
                "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (_SETTINGS,)
            )
            return found.fetchone() is not None
    except sqlite3.DatabaseError:
        return False


def _write_all(farm: Farm, path: Path) -> None:
    """Write layers, tables and settings."""
    for layer in layer_rows(farm):
        _write_layer(layer, path, farm.seasons[0].paddock.crs)
    with closing(sqlite3.connect(path)) as database, database:
        _write_settings(farm, database, path.parent)


def _write_layer(layer: LayerRows, path: Path, farm_crs: str) -> None:
    """Add one layer or table, without the triggers that an index would bring."""
    import pyogrio.raw  # brings pandas, so only when a file is written

    plain = layer.shapes is None
    pyogrio.raw.write(
        path,
        None if plain else shapely.to_wkb(layer.shapes),
        list(layer.columns),
        np.array(layer.fields, dtype=object),
        layer=layer.name,
        driver="GPKG",
        geometry_type=layer.geometry_type,
        crs=None if plain else crs_of(layer.name, farm_crs),
        dataset_options={"ADD_GPKG_OGR_CONTENTS": "NO"},
        layer_options={} if plain else {"SPATIAL_INDEX": "NO"},
    )


def _write_settings(farm: Farm, database: sqlite3.Connection, folder: Path) -> None:
    """Add the settings table: format, settings, and the checksum of everything."""
    seasons = tuple(
        StoredSeason(
            season.id,
            season.name,
            season.paddock.name,
            season.crop,
            season.phosphorus,
            season.row_matches,
            season.operations,
            season.tests.file if season.tests else None,
            season.tests.notes if season.tests else (),
            tuple(c.analyte.key for c in season.tests.columns) if season.tests else (),
            season.lime,
            season.gypsum,
            season.nitrogen,
            season.nutrients,
            season.traces,
            layers=tuple(
                StoredLayer(r.name, stored_path(r.path, folder), r.checksum, r.unit, r.band)
                for r in season.layers
            ),
            tests_bases=tuple(c.basis for c in season.tests.columns) if season.tests else (),
            budget=season.budget,
            dressings=season.dressings,
            history=season.history,
            own_rules=season.own_rules,
            sample_plan=_stored_plan(season.sample_plan),
        )
        for season in farm.seasons
    )
    text = settings_text(
        StoredFarm(farm.name, farm.products, farm.machines, seasons, farm.own_rules)
    )
    database.execute(
        f"CREATE TABLE {_SETTINGS} "
        "(id INTEGER PRIMARY KEY, key TEXT UNIQUE, json TEXT, updated DATETIME)"
    )
    database.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) "
        f"VALUES ('{_SETTINGS}', 'attributes', '{_SETTINGS}', 0)"
    )
    now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    for key, value in (("format", str(FORMAT)), ("farm", text)):
        _insert_setting(database, key, value, now)
    _insert_setting(database, "checksum", f'"{_checksum(database)}"', now)


def _stored_plan(plan: SamplePlan | None) -> StoredSamplePlan | None:
    """What of a sample plan is no column of its stops."""
    if plan is None:
        return None
    return StoredSamplePlan(plan.depth_cm, plan.design, plan.seed, plan.walk_m, plan.advice)


def _insert_setting(database: sqlite3.Connection, key: str, json: str, now: str) -> None:
    database.execute(
        f"INSERT INTO {_SETTINGS} (key, json, updated) VALUES (?, ?, ?)", (key, json, now)
    )


def _checksum(database: sqlite3.Connection) -> str:
    """SHA-256 of every row of every table of ours, but for the checksum itself."""
    digest = hashlib.sha256()
    present = {name for (name,) in database.execute("SELECT name FROM sqlite_master")}
    for table in (*sorted(LAYER_FIELDS), _SETTINGS):
        if table in present:
            for row in database.execute(f'SELECT * FROM "{table}" ORDER BY rowid'):
                if not (table == _SETTINGS and row[1] == "checksum"):
                    digest.update(repr((table, row)).encode())
    return digest.hexdigest()


def _read_checked(path: Path, name: str) -> StoredFarm:
    """The settings of a farm file whose structure and checksum are right."""
    if path.is_dir():
        raise FarmFileError("this is a folder", mend="Choose a farm file in it", file=name)
    if not path.is_file():
        raise FarmFileError("there is no such file", mend="Check the name", file=name)
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as database:
            database.execute("PRAGMA trusted_schema = OFF")
            _refuse_foreign(database, name)
            if database.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                raise FarmFileError("the file is damaged", mend=_OLDER_COPY, file=name)
            settings = dict(database.execute(f"SELECT key, json FROM {_SETTINGS}"))
            _refuse_newer(settings, name)
            if settings.get("checksum") != f'"{_checksum(database)}"':
                raise FarmFileError(
                    "its contents were changed or damaged since they were saved",
                    mend=_OLDER_COPY,
                    file=name,
                )
    except sqlite3.DatabaseError as error:
        raise FarmFileError(
            f"it is no farm file, or it is damaged ({error})", mend=_OLDER_COPY, file=name
        ) from error
    return settings_from(settings["farm"], file=name)


def _refuse_foreign(database: sqlite3.Connection, name: str) -> None:
    """Refuse what is no farm file of ours, or holds program text of somebody else's."""
    (application,) = database.execute("PRAGMA application_id").fetchone()
    objects = database.execute("SELECT type, name FROM sqlite_master").fetchall()
    if application != _GEOPACKAGE_ID or ("table", _SETTINGS) not in objects:
        raise FarmFileError(
            "it is no farm file of this program",
            mend="Open it as boundary, zones or samples instead",
            file=name,
        )
    foreign = [
        label
        for kind, label in objects
        if kind == "view" or (kind == "trigger" and not label.startswith("gpkg_tile_"))
    ]
    if foreign:
        raise FarmFileError(
            f"it holds a view or trigger that this program did not write ({foreign[0]})",
            mend=_OLDER_COPY,
            file=name,
        )


def _refuse_newer(settings: dict[str, str], name: str) -> None:
    """Refuse a format that this program does not know yet."""
    saved = settings.get("format", "")
    if not saved.isdigit():
        raise FarmFileError("its format number is missing", mend=_OLDER_COPY, file=name)
    if int(saved) > FORMAT:
        raise FarmFileError(
            f"it was saved by a newer version (farm file format {saved}; this one reads up to "
            f"{FORMAT})",
            mend="Install the newer version of vrxapp",
            file=name,
        )


def _read_layers(path: Path) -> tuple[dict[str, LayerRows], str]:
    """All layers and tables of a checked farm file, and its projected system."""
    import pyogrio
    import pyogrio.raw

    layers, crs = {}, ""
    for name, kind in pyogrio.list_layers(path):
        if name in LAYER_FIELDS:
            meta, _, shapes, columns = pyogrio.raw.read(path, layer=name)
            geometry = None if kind is None else np.asarray(shapely.from_wkb(shapes), dtype=object)
            layers[str(name)] = LayerRows(
                str(name), kind, geometry, tuple(meta["fields"]), tuple(columns)
            )
            crs = meta["crs"] if name == "paddock" else crs
    return layers, crs


def _season_from(
    layers: dict[str, LayerRows], stored: StoredSeason, crs: str, folder: Path
) -> Season:
    """One season put together from its settings and its rows."""
    tests = None
    if stored.tests_file is not None:
        tests = tests_from(
            layers, stored.id, file=stored.tests_file, analyte_keys=stored.tests_analytes
        )
        bases = stored.tests_bases or ("",) * len(tests.columns)
        columns = tuple(
            replace(column, basis=basis) for column, basis in zip(tests.columns, bases, strict=True)
        )
        tests = replace(tests, columns=columns, notes=stored.tests_notes)
    paddock = paddock_from(layers, stored.id, crs)
    return Season(
        id=stored.id,
        name=stored.name,
        paddock=paddock,
        zones=zones_from(layers, stored.id),
        tests=tests,
        row_matches=stored.row_matches,
        crop=stored.crop,
        phosphorus=stored.phosphorus,
        strips=strips_from(layers, stored.id),
        operations=stored.operations,
        lime=stored.lime,
        gypsum=stored.gypsum,
        nitrogen=stored.nitrogen,
        nutrients=stored.nutrients,
        traces=stored.traces,
        layers=tuple(
            LinkedRaster(r.name, found_path(r.path, folder), r.checksum, r.unit, r.band)
            for r in stored.layers
        ),
        budget=stored.budget,
        dressings=stored.dressings,
        history=stored.history,
        own_rules=stored.own_rules,
        ground_points=ground_points_from(layers, stored.id),
        guidance=guidance_from(layers, stored.id),
        sample_plan=sample_plan_from(layers, stored.sample_plan, paddock, stored.id),
    )
