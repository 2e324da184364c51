"""The names that laboratories give to columns, and what they stand for."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import Analyte, analyte_called
from vrxapp.units import known_unit as unit_called


class Role(StrEnum):
    """What a column that holds no analyte is for."""

    SAMPLE = "sample"
    ZONE = "zone"
    PADDOCK = "paddock"
    GROWER = "grower"
    DEPTH = "depth"
    DEPTH_FROM = "depth from"
    DEPTH_TO = "depth to"
    LONGITUDE = "longitude"
    LATITUDE = "latitude"
    REPLICATE = "replicate"
    TEXTURE = "texture"
    ANALYTE = "analyte"
    VALUE = "value"
    UNIT = "unit"
    METHOD = "method"


# in order of preference: where a sheet has two of them, the first is used
_ROLE_NAMES = {
    Role.SAMPLE: (
        *("sample id", "sample", "sample no", "sample number", "sample name", "sample code"),
        *("sample reference", "sample ref", "sample identification", "sample description"),
        *("sample label", "customer sample id", "client sample id", "your reference", "your ref"),
        *("site", "site id", "site name", "lab no", "lab number", "lab id", "lab sample id"),
        *("laboratory no", "laboratory number", "id"),
    ),
    Role.ZONE: ("zone", "zone name", "management zone", "zone id", "area"),
    Role.PADDOCK: (
        *("paddock", "paddock name", "paddock id", "field", "field name", "field id"),
        *("block", "block name"),
    ),
    Role.GROWER: (
        *("grower", "grower name", "client", "client name", "customer", "customer name"),
        *("farm", "farm name", "property", "property name", "business name"),
    ),
    Role.DEPTH: ("depth", "depth cm", "sample depth", "sampling depth", "depth range", "layer"),
    Role.DEPTH_FROM: (
        *("depth from", "from depth", "start depth", "depth start", "upper depth", "top depth"),
        *("depth top", "depth upper", "depth from cm", "start depth cm", "upper depth cm"),
    ),
    Role.DEPTH_TO: (
        *("depth to", "to depth", "end depth", "depth end", "lower depth", "bottom depth"),
        *("depth bottom", "depth lower", "depth to cm", "end depth cm", "lower depth cm"),
    ),
    Role.LONGITUDE: ("longitude", "lon", "long", "lng"),
    Role.LATITUDE: ("latitude", "lat"),
    Role.TEXTURE: (
        *("texture", "soil texture", "field texture", "texture class", "texture grade"),
        "soil texture class",
    ),
    Role.REPLICATE: ("replicate", "rep", "replicate no", "rep no"),
    Role.ANALYTE: ("analyte", "test", "parameter", "determination"),
    Role.VALUE: ("value", "result", "reading"),
    Role.UNIT: ("unit", "units"),
    Role.METHOD: ("method", "test method", "extraction"),
}
DEPTH_ROLES = (Role.DEPTH, Role.DEPTH_FROM, Role.DEPTH_TO)
LONG_ROLES = (Role.ANALYTE, Role.VALUE, Role.UNIT, Role.METHOD)
_DEGREES = ("deg", "degrees", "decimal degrees", "°", "wgs 84", "wgs84")
_NEEDS_METHOD = {
    **dict.fromkeys(("p", "phosphorus", "available p", "available phosphorus"), "Colwell or Olsen"),
    **dict.fromkeys(("extractable p", "extractable phosphorus"), "Colwell or Olsen"),
    **dict.fromkeys(("ph", "soil ph"), "in water or in calcium chloride"),
    **dict.fromkeys(("s", "sulfur", "sulphur", "extractable sulfur"), "KCl-40 or another"),
    **dict.fromkeys(("nitrate", "no3", "nitrogen", "n"), "as nitrate N or otherwise"),
    **dict.fromkeys(
        ("ec", "conductivity", "electrical conductivity"), "1:5 in water or saturated paste"
    ),
    **dict.fromkeys(("calcium", "ca", "magnesium", "mg", "potassium"), "exchangeable or another"),
    **dict.fromkeys(("k", "sodium", "na", "aluminium", "al"), "exchangeable or another"),
}
# a method's number in the published list of methods, such as 9B1, says nothing about the name
_METHOD_CODE = re.compile(r"[(\[]?\b[0-9]{1,2}[A-Z][0-9]+[a-z]?[0-9]*\b[)\]]?")
_LETTER = re.compile(r"[^\W\d_]")
_LONGEST_NAME = 100
_LONGEST_UNIT = 3
"""Words of a unit, such as % base saturation."""
_NAMES_BY_UNIT = {"cmol(+)/kg": "exchangeable {}", "% of CEC": "{} saturation"}
"""Names in full where the unit tells the method: ions by charge are the exchangeable ones."""


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
    if len(text) > _LONGEST_NAME or not _LETTER.search(text):
        return Heading(None, "", "")
    for name, unit in names_and_units(text):
        for full in (name, f"{name} ({method})") if method else (name,):
            found = analyte_called(full)
            by_unit = _NAMES_BY_UNIT.get(known_unit(unit) or "") if unit else None
            if found is None and by_unit:
                found = analyte_called(by_unit.format(full))
            if found is not None:
                return Heading(found, unit, "")
        methods = methods or _NEEDS_METHOD.get(comparable(name), "")
    return Heading(None, "", methods)


@lru_cache(maxsize=1024)
def known_unit(text: str) -> str | None:
    """The unit of a spelling, looked up once; most words of a sheet are asked for again."""
    return unit_called(text)


def names_and_units(text: str) -> Iterator[tuple[str, str]]:
    """Every way to part a column's name into the name and a unit after it."""
    text = " ".join(_METHOD_CODE.sub("", text.replace("_", " ")).split()).rstrip(" ,:;-–")
    yield text, ""
    name, unit = without_bracket(text)
    if unit:
        yield name, unit
    words = text.split(" ")
    for count in range(1, min(len(words), _LONGEST_UNIT + 1)):
        unit = " ".join(words[-count:])
        if known_unit(unit) is not None:
            yield " ".join(words[:-count]).rstrip(" ,:;-–"), unit


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


@lru_cache(maxsize=1024)
def role_of(text: str) -> tuple[Role, int] | None:
    """The role that a column's name stands for, and how far down the list it stands."""
    if len(text) > _LONGEST_NAME or not _LETTER.search(text):
        return None
    name, bracket = without_bracket(text)
    whole, name = _role_name(text), _role_name(name)
    for role, names in _ROLE_NAMES.items():
        allowed = _DEGREES if role in (Role.LONGITUDE, Role.LATITUDE) else ()
        if whole in names:
            return role, names.index(whole)
        fits = role in DEPTH_ROLES or comparable(bracket) in allowed
        if bracket and fits and name in names:
            return role, names.index(name)
    return None
