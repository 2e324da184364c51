"""The names that laboratories give to columns, and what they stand for."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import Analyte, analyte_called
from vrxapp.units import known_unit


class Role(StrEnum):
    """What a column that holds no analyte is for."""

    SAMPLE = "sample"
    ZONE = "zone"
    DEPTH = "depth"
    LONGITUDE = "longitude"
    LATITUDE = "latitude"
    REPLICATE = "replicate"
    ANALYTE = "analyte"
    VALUE = "value"
    UNIT = "unit"
    METHOD = "method"


# in order of preference: where a sheet has two of them, the first is used
_ROLE_NAMES = {
    Role.SAMPLE: (
        *("sample id", "sample", "sample no", "sample number", "sample name", "sample code"),
        *("site", "site id", "lab no", "lab number", "lab id", "id"),
    ),
    Role.ZONE: ("zone", "zone name", "management zone", "zone id", "area"),
    Role.DEPTH: ("depth", "depth cm", "sample depth", "sampling depth", "depth range", "layer"),
    Role.LONGITUDE: ("longitude", "lon", "long", "lng"),
    Role.LATITUDE: ("latitude", "lat"),
    Role.REPLICATE: ("replicate", "rep", "replicate no", "rep no"),
    Role.ANALYTE: ("analyte", "test", "parameter", "determination"),
    Role.VALUE: ("value", "result", "reading"),
    Role.UNIT: ("unit", "units"),
    Role.METHOD: ("method", "test method", "extraction"),
}
LONG_ROLES = (Role.ANALYTE, Role.VALUE, Role.UNIT, Role.METHOD)
_DEGREES = ("deg", "degrees", "decimal degrees", "°", "wgs 84", "wgs84")
_NEEDS_METHOD = {
    **dict.fromkeys(("p", "phosphorus", "available p", "available phosphorus"), "Colwell or Olsen"),
    **dict.fromkeys(("extractable p", "extractable phosphorus"), "Colwell or Olsen"),
    **dict.fromkeys(("ph", "soil ph"), "in water or in calcium chloride"),
}


@dataclass(frozen=True, slots=True)
class Heading:
    """What a laboratory's name for a result stands for.

    `unit` is empty where the name gives none; `methods` says which methods there are
    where the name leaves the method out.
    """

    analyte: Analyte | None
    unit: str
    methods: str


@lru_cache(maxsize=1024)
def heading(text: str, method: str = "") -> Heading:
    """The analyte, and the unit if there is one, that a name stands for.

    Examples
    --------
    >>> heading("Colwell P (ppm)").unit
    'ppm'
    >>> heading("P", "Olsen").analyte.key
    'olsen_p'
    """
    methods = ""
    for name, unit in _name_and_unit(text):
        for full in (name, f"{name} ({method})") if method else (name,):
            found = analyte_called(full)
            if found is not None:
                return Heading(found, unit, "")
        methods = methods or _NEEDS_METHOD.get(comparable(name), "")
    return Heading(None, "", methods)


def _name_and_unit(text: str) -> Iterator[tuple[str, str]]:
    """Every way to part a column's name into the name and a unit after it."""
    text = " ".join(text.replace("_", " ").split())
    yield text, ""
    name, unit = without_bracket(text)
    if unit:
        yield name, unit
    words = text.split(" ")
    for count in (1, 2):
        unit = " ".join(words[-count:])
        if known_unit(unit) is not None:
            yield " ".join(words[:-count]).rstrip(" ,:;"), unit


def without_bracket(text: str) -> tuple[str, str]:
    """A name, and what stands in the bracket that ends it; brackets may lie in each other."""
    depth = 0
    for index in range(len(text) - 1, -1, -1):
        depth += (text[index] in ")]") - (text[index] in "([")
        if depth == 0:
            inside = text[index + 1 : -1].strip()
            return (text[:index].strip(), inside) if text[-1:] in (")", "]") else (text, "")
    return text, ""


def _role_name(text: str) -> str:
    """A column's name as it is compared with the names of the roles."""
    return comparable(re.sub(r"[_.#:]+", " ", text))


def role_of(text: str) -> tuple[Role, int] | None:
    """The role that a column's name stands for, and how far down the list it stands."""
    name, bracket = without_bracket(text)
    for role, names in _ROLE_NAMES.items():
        allowed = _DEGREES if role in (Role.LONGITUDE, Role.LATITUDE) else ()
        if _role_name(text) in names:
            return role, names.index(_role_name(text))
        fits = role is Role.DEPTH or comparable(bracket) in allowed
        if bracket and fits and _role_name(name) in names:
            return role, names.index(_role_name(name))
    return None
