"""The coordinate system that an older GeoJSON file may declare in a ``crs`` member.

Today's standard has longitude and latitude on WGS 84 and no such member; map programs still
write files with it, some of them in metres.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import pyproj

from vrxapp.errors import GroundError
from vrxapp.ground.projected_crs import LON_LAT

_EPSG = re.compile(r"(?:urn:(?:x-)?ogc:def:crs:)?EPSG:(?:[0-9.]*:)?([0-9]{1,6})", re.IGNORECASE)
_LON_LAT_NAMES = re.compile(r"(?:urn:(?:x-)?ogc:def:crs:)?OGC:(?:[0-9.]*:)?CRS84", re.IGNORECASE)
_GDA94, _GDA2020 = 4283, 7844
_MEND = "Export it again as GeoJSON in longitude and latitude (WGS 84)"


@dataclass(frozen=True, slots=True)
class DeclaredCrs:
    """A coordinate system other than WGS 84 that a file declares.

    Parameters
    ----------
    code : str
        For instance ``"EPSG:7855"``.
    name : str
        What people call it.
    lon_lat : str
        The longitudes and latitudes to turn it into.
    is_projected : bool
        Whether its coordinates are distances rather than angles.
    """

    code: str
    name: str
    lon_lat: str
    is_projected: bool


def declared_crs(root: Mapping[str, object]) -> DeclaredCrs | None:
    """The coordinate system that a file declares; None for plain longitude and latitude.

    Raises
    ------
    GroundError
        If the declaration cannot be understood, or is no system for a map.
    """
    member = root.get("crs")
    if member is None:
        return None
    name = _name(member)
    if _LON_LAT_NAMES.fullmatch(name):
        return None
    match = _EPSG.fullmatch(name)
    if match is None:
        raise _unknown(name)
    return _known(int(match.group(1)), name)


def _name(member: object) -> str:
    """The name inside a ``crs`` member, empty where there is none."""
    properties = member.get("properties") if isinstance(member, Mapping) else None
    name = properties.get("name") if isinstance(properties, Mapping) else None
    return name.strip() if isinstance(name, str) else ""


def _known(code: int, name: str) -> DeclaredCrs | None:
    """The system of an EPSG code; None for WGS 84 itself."""
    try:
        crs = pyproj.CRS.from_epsg(code)
    except pyproj.exceptions.CRSError:
        raise _unknown(name) from None
    base = crs.geodetic_crs.to_epsg() if crs.geodetic_crs is not None else None
    if base is None or not (crs.is_projected or crs.is_geographic):
        raise _unknown(name)
    if f"EPSG:{code}" == LON_LAT:
        return None
    # To WGS 84 there is no shift from GDA94, and none from there to GDA2020: the 1.5 m to
    # 1.8 m between the two would be lost. So GDA94 goes to GDA2020, which is then called WGS 84.
    lon_lat = f"EPSG:{_GDA2020}" if base == _GDA94 else LON_LAT
    return DeclaredCrs(f"EPSG:{code}", str(crs.name), lon_lat, bool(crs.is_projected))


def _unknown(name: str) -> GroundError:
    return GroundError(
        "its crs member names no coordinate system that is known here",
        mend=_MEND,
        column="crs",
        value=name[:80],
    )
