"""The part of a farm that is no geometry and no laboratory value, as JSON text."""

import json
import math
from dataclasses import dataclass

from pydantic import TypeAdapter, ValidationError

from vrxapp.agronomy.organic_dressing import OrganicDressing
from vrxapp.agronomy.own_rule_values import OwnRule
from vrxapp.agronomy.paddock_history import PaddockHistory
from vrxapp.errors import FarmFileError, Note, VrxError
from vrxapp.inputs.products import Product
from vrxapp.need_plans import (
    CropPlan,
    GypsumPlan,
    LimePlan,
    NitrogenPlan,
    NutrientPlan,
    OwnRulePlan,
    PhosphorusPlan,
    TracePlan,
)
from vrxapp.season import Operation, SeasonBudget
from vrxapp.soil.by_place import RowMatch
from vrxapp.spreading.machine import Machine

FORMAT = 4
"""Format of the farm file; raised whenever an older program could misread a newer file."""


@dataclass(frozen=True)
class StoredLayer:
    """A linked raster; its path is told from the folder of the farm file on."""

    name: str
    path: str
    checksum: str
    unit: str
    band: int


@dataclass(frozen=True)
class StoredSeason:
    """A season without its shapes and results."""

    id: str
    name: str
    paddock: str
    crop: CropPlan
    phosphorus: PhosphorusPlan
    row_matches: tuple[RowMatch, ...]
    operations: tuple[Operation, ...]
    tests_file: str | None
    tests_notes: tuple[Note, ...]
    tests_analytes: tuple[str, ...]
    lime: LimePlan | None = None
    gypsum: GypsumPlan | None = None
    nitrogen: NitrogenPlan | None = None
    nutrients: tuple[NutrientPlan, ...] = ()
    traces: tuple[TracePlan, ...] = ()
    layers: tuple[StoredLayer, ...] = ()
    tests_bases: tuple[str, ...] = ()
    budget: SeasonBudget | None = None
    dressings: tuple[OrganicDressing, ...] = ()
    history: PaddockHistory | None = None
    own_rules: tuple[OwnRulePlan, ...] = ()


@dataclass(frozen=True)
class StoredFarm:
    """A farm without its shapes and results."""

    name: str
    products: tuple[Product, ...]
    machines: tuple[Machine, ...]
    seasons: tuple[StoredSeason, ...]
    own_rules: tuple[OwnRule, ...] = ()


_STORED_FARM = TypeAdapter(StoredFarm)


def settings_text(farm: StoredFarm) -> str:
    """The settings as JSON; a number that is missing or infinite is written as a word."""
    return json.dumps(_finite(_STORED_FARM.dump_python(farm, mode="python")), ensure_ascii=False)


def settings_from(text: str, *, file: str) -> StoredFarm:
    """The settings in a farm file.

    Raises
    ------
    FarmFileError
        If they are not what this format of the farm file holds.
    """
    try:
        return _STORED_FARM.validate_json(text)
    except (ValidationError, VrxError) as error:
        first = error.errors()[0] if isinstance(error, ValidationError) else None
        what = f"{'.'.join(map(str, first['loc']))}: {first['msg']}" if first else str(error)
        raise FarmFileError(
            f"the settings inside cannot be read ({what})",
            mend="Open an older copy of the farm file",
            file=file,
        ) from error


def _finite(value: object) -> object:
    """A value without NaN and infinity, which JSON does not have."""
    if isinstance(value, dict):
        return {key: _finite(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [_finite(part) for part in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value
