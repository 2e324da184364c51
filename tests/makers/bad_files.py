"""Files that are not what they seem, each made in a folder of its own."""

import json
import sqlite3
import zipfile
from contextlib import closing

import openpyxl
from foreign_files import (
    RING,
    write_geotiff,
    write_shapefile,
    write_zones,
    zipped,
)

from vrxapp.files.farm_file import write_farm
from vrxapp.workflows.sample_farm import sample_farm

LAB_HEADER = ("Sample", "Zone", "Depth (cm)", "Colwell P (mg/kg)")
VIRTUAL_SHAPES = (
    '<OGRVRTDataSource><OGRVRTLayer name="zones"><SrcDataSource relativeToVRT="1">real.geojson'
    "</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>"
)
ENTITIES = '<!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;">]>\n'
OUTSIDE = '<!DOCTYPE kml [<!ENTITY x SYSTEM "file:///etc/passwd">]>\n'
GRID = [(680_000.0, 6_125_000.0), (680_000.0, 6_125_500.0), (680_500.0, 6_125_500.0)]
GRID = [*GRID, (680_500.0, 6_125_000.0), GRID[0]]
"""A ring in metres of a map grid. [m]"""


def text_called(name):
    """Plain text under a name that promises something else."""

    def make(folder):
        path = folder / name
        path.write_text("sow on Tuesday, if the rain holds off\n")
        return path

    return make


def empty(name):
    """A file without a byte."""

    def make(folder):
        path = folder / name
        path.touch()
        return path

    return make


def directory(name):
    """A folder under the name of a file."""

    def make(folder):
        path = folder / name
        path.mkdir()
        return path

    return make


def missing(name):
    """A file that is not there."""
    return lambda folder: folder / name


def cut(name, left, *, part=""):
    """A sound file, or the part of a set, of which the end is lost."""

    def make(folder):
        path = sound(folder, name)
        spoilt = path.with_suffix(part) if part else path
        content = spoilt.read_bytes()
        spoilt.write_bytes(content[: int(len(content) * left)])
        return path

    return make


def farm_cut(left):
    """A farm file of which the end is lost."""

    def make(folder):
        path = folder / "farm.gpkg"
        write_farm(sample_farm(), path)
        path.write_bytes(path.read_bytes()[: int(path.stat().st_size * left)])
        return path

    return make


def sound(folder, name):
    """A file without a fault, of the format that its suffix says."""
    path = folder / name
    if path.suffix == ".tif":
        return write_geotiff(path)
    if path.suffix == ".xlsx":
        return workbook([LAB_HEADER, ("C1", "North", "0-10", 20)])(folder)
    if path.suffix == ".csv":
        path.write_text(f'{",".join(LAB_HEADER)}\nC1,"North","0-10",20\n')
        return path
    return write_zones(path)


def zones_without(*suffixes, ring=RING):
    """A set of which some files are missing."""

    def make(folder):
        path = folder / "zones.shp"
        write_shapefile(path, [[ring], [ring]], ["North", "South"])
        for suffix in suffixes:
            path.with_suffix(suffix).unlink()
        return path

    return make


def zip_of(*entries, name="a.zip"):
    """An archive of entries, each a name and its content."""

    def make(folder):
        path = folder / name
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
            for entry, content in entries:
                made.writestr(entry, content)
        return path

    return make


def zip_that_leads_out(folder):
    """A zipped set with one more entry, whose name leads out of the folder."""
    path = zones_without()(folder)
    archive = zipped(path)
    with zipfile.ZipFile(archive, "a") as made:
        made.writestr("../../evil.txt", "here I am")
    return archive


def kml_of(text, *, name="a.kml"):
    """A KML or KMZ of a text."""

    def make(folder):
        if name.endswith(".kmz"):
            return zip_of(("doc.kml", text), name=name)(folder)
        path = folder / name
        path.write_text(text, "utf-8")
        return path

    return make


def geopackage_with(sql):
    """A GeoPackage that brings a program along."""

    def make(folder):
        path = write_zones(folder / "zones.gpkg")
        with closing(sqlite3.connect(path)) as database, database:
            database.execute(sql)
        return path

    return make


def virtual(text, name):
    """A virtual file under another name, with the real one beside it."""

    def make(folder):
        write_geotiff(folder / "real.tif")
        (folder / "real.geojson").write_text(json.dumps(feature(RING)))
        path = folder / name
        path.write_text(text)
        return path

    return make


def feature(*rings, **properties):
    """A polygon as GeoJSON writes it."""
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": "Polygon", "coordinates": [list(map(list, ring)) for ring in rings]},
    }


def workbook(rows, *, name="lab.xlsx"):
    """A workbook of rows."""

    def make(folder):
        book = openpyxl.Workbook()
        for row in rows:
            book.active.append(row)
        path = folder / name
        book.save(path)
        return path

    return make


def workbook_with(part, content, *, replaces=""):
    """A workbook with one more part, or one part changed."""

    def make(folder):
        path = sound(folder, "lab.xlsx")
        with zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        parts[part] = parts[part].replace(replaces, content) if replaces else content
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, inside in parts.items():
                archive.writestr(name, inside)
        return path

    return make


NO_PLACEMARK = '<kml xmlns="http://www.opengis.net/kml/2.2"><Document/></kml>'
