"""What a lime rule reads, what the agronomist chooses, and what comes out."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class LimeMethod(StrEnum):
    """How the need for lime is worked out; the agronomist chooses."""

    MEASURED_BUFFERING = "measured-buffering"
    ESTIMATED_BUFFERING = "estimated-buffering"
    TEXTURE = "texture"
    ALUMINIUM = "aluminium"
    TOLERATED_ALUMINIUM = "tolerated-aluminium"
    MEHLICH_BUFFER = "mehlich-buffer"
    QUEENSLAND_BUFFER = "queensland-buffer"
    ECEC_TABLE = "ecec-table"


@dataclass(frozen=True, slots=True)
class LimeMethodFacts:
    """What a method is called, which columns of `LimeSoil` it reads, and where it is from."""

    key: LimeMethod
    name: str
    needs: tuple[str, ...]
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LimeSoil:
    """Soil results of one layer, one value a place or one for all; NaN where not measured.

    Parameters
    ----------
    ph_cacl2, ph_water, buffer_ph : array_like
        pH 1:5 in calcium chloride, in water, and in the method's buffer. [pH]
    organic_carbon_percent, clay_percent : array_like
        By mass. [%]
    texture : array_like of str
        Sand, sandy loam, clay loam or clay; empty where not told.
    aluminium_cmol_kg, ecec_cmol_kg : array_like
        Exchangeable aluminium, and effective CEC. [cmol(+)/kg]
    buffer_capacity_cmol_kg_ph : array_like
        Measured pH buffer capacity. [cmol H+/kg per pH]
    bulk_density_t_m3 : array_like
        Bulk density. [t/m³]
    depth_cm : float
        Thickness of the layer that was sampled and is limed. [cm]
    """

    ph_cacl2: ArrayLike = math.nan
    ph_water: ArrayLike = math.nan
    buffer_ph: ArrayLike = math.nan
    organic_carbon_percent: ArrayLike = math.nan
    clay_percent: ArrayLike = math.nan
    texture: ArrayLike = ""
    aluminium_cmol_kg: ArrayLike = math.nan
    ecec_cmol_kg: ArrayLike = math.nan
    buffer_capacity_cmol_kg_ph: ArrayLike = math.nan
    bulk_density_t_m3: ArrayLike = math.nan
    depth_cm: float = 10.0


@dataclass(frozen=True, slots=True)
class LimeChoices:
    """What the agronomist sets beside the method.

    Parameters
    ----------
    target_ph_cacl2, target_ph_water : float
        pH to be reached, each on its own scale; NaN where the method reads none. [pH]
    buffer_function : BufferFunction or None
        The estimate of the buffer capacity, for `LimeMethod.ESTIMATED_BUFFERING`.
    tolerated_aluminium_percent : float
        Share of the effective CEC that aluminium may hold, for 16B1. [%]
    is_sensitive_crop : bool
        Whether the crop is sensitive to acidity, for 16C1.
    """

    target_ph_cacl2: float = math.nan
    target_ph_water: float = math.nan
    buffer_function: BufferFunction | None = None
    tolerated_aluminium_percent: float = math.nan
    is_sensitive_crop: bool = False


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LimeNeed:
    """Pure lime for each place, with the columns of its trail.

    Parameters
    ----------
    need_t_ha : ndarray of float
        Pure CaCO3; NaN where it cannot be told. [t/ha]
    reason : ndarray of object
        Text why there is no need or none can be told; empty elsewhere.
    doubt : ndarray of object
        Text why a need is less sure than the method promises; empty elsewhere.
    as_printed_t_ha : ndarray of float
        The amount in the form of the source, before it was made pure. [t/ha]
    pure_share : float
        Pure lime in one part of that form. [-]
    ph_gap : ndarray of float
        Target less present pH, on the method's scale; NaN where it reads none. [pH]
    buffer_capacity_cmol_kg_ph : ndarray of float
        Buffer capacity that was used; NaN for other methods. [cmol H+/kg per pH]
    low_t_ha, high_t_ha : ndarray of float
        Least and most by all estimates of the buffer capacity; NaN elsewhere. [t/ha]
    source, where : str
        Key of the bibliography and the place in it.
    grade : Grade
        How well the method is known.
    """

    need_t_ha: NDArray[np.float64]
    reason: NDArray[np.object_]
    doubt: NDArray[np.object_]
    as_printed_t_ha: NDArray[np.float64]
    pure_share: float
    ph_gap: NDArray[np.float64]
    buffer_capacity_cmol_kg_ph: NDArray[np.float64]
    low_t_ha: NDArray[np.float64]
    high_t_ha: NDArray[np.float64]
    source: str
    where: str
    grade: Grade


def lime_methods() -> tuple[LimeMethodFacts, ...]:
    """Every method, with the columns it reads."""
    return read_table("lime_methods.csv", LimeMethodFacts)


def lime_method(method: LimeMethod) -> LimeMethodFacts:
    """What one method is called, reads, and where it is from."""
    return next(row for row in lime_methods() if row.key is method)
