"""What the gypsum rule reads, and what the agronomist chooses."""

import math
from dataclasses import dataclass
from enum import StrEnum

from numpy.typing import ArrayLike

from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class GypsumMethod(StrEnum):
    """How the amount is worked out; the agronomist chooses."""

    EXCHANGE = "exchange"
    OSTER = "oster"
    HANDBOOK = "handbook-60"


class Dispersion(StrEnum):
    """What a dispersion test of air-dry aggregates in rainwater showed."""

    NOT_TESTED = ""
    YES = "disperses"
    NO = "stable"


@dataclass(frozen=True, slots=True)
class GypsumMethodFacts:
    """What a method is called and where it is from."""

    key: GypsumMethod
    name: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class GypsumSoil:
    """Soil results of one layer, one value a place or one for all; NaN where not measured.

    Parameters
    ----------
    sodium_cmol_kg, cec_cmol_kg : array_like
        Exchangeable sodium, freed of soluble salt, and the CEC by the same method. [cmol(+)/kg]
    dispersion : array_like of str
        `Dispersion` of each place.
    bulk_density_t_m3 : array_like
        Bulk density. [t/m³]
    ece_ds_m : array_like
        Conductivity of the saturation extract. [dS/m]
    texture : array_like of str
        Texture; empty where not told.
    depth_cm : float
        Thickness of the layer that is to be mended. [cm]
    """

    sodium_cmol_kg: ArrayLike = math.nan
    cec_cmol_kg: ArrayLike = math.nan
    dispersion: ArrayLike = Dispersion.NOT_TESTED
    bulk_density_t_m3: ArrayLike = math.nan
    ece_ds_m: ArrayLike = math.nan
    texture: ArrayLike = ""
    depth_cm: float = 10.0


@dataclass(frozen=True, slots=True)
class GypsumChoices:
    """What the agronomist sets beside the method.

    Parameters
    ----------
    target_esp_percent : float
        ESP to be reached, above 0 and up to 6; there is no default. [%]
    exchange_factor : float
        For `GypsumMethod.OSTER`: 1.1 to 1.3. [-]
    field_factor : float
        For `GypsumMethod.HANDBOOK`: for what is lost in the field. [-]
    years : float
        Years over which the amount is staged. [years]
    """

    target_esp_percent: float = math.nan
    exchange_factor: float = math.nan
    field_factor: float = 1.0
    years: float = 1.0


def gypsum_methods() -> tuple[GypsumMethodFacts, ...]:
    """Every method, with its source."""
    return read_table("gypsum_methods.csv", GypsumMethodFacts)


def gypsum_method(method: GypsumMethod) -> GypsumMethodFacts:
    """What one method is called and where it is from."""
    return next(row for row in gypsum_methods() if row.key is method)
