"""How needs are worked out: what is grown, and the choices behind each rule."""

import math
from dataclasses import dataclass
from enum import StrEnum

from vrxapp.agronomy.critical_values import CriticalValue
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.errors import MissingInputError


class Purpose(StrEnum):
    """What an operation is for: which need it covers."""

    PHOSPHORUS = "phosphorus"
    LIME = "lime"


@dataclass(frozen=True, slots=True)
class CropPlan:
    """What is to be grown, and how much of it is aimed at."""

    crop: str
    target_yield_t_ha: float

    def __post_init__(self) -> None:
        """Refuse a yield that no paddock gives."""
        if not 0.0 <= self.target_yield_t_ha <= 200.0:
            raise MissingInputError(
                f"a target yield of {self.target_yield_t_ha:g} t/ha is not possible",
                mend="Give tonnes per hectare, from 0 to 200",
            )


@dataclass(frozen=True, slots=True)
class PhosphorusPlan:
    """How phosphorus needs are worked out.

    Parameters
    ----------
    critical : CriticalValue
        The calibration that the soil test is read against.
    build_up_factor_kg_ha_per_mg_kg : float
        Phosphorus that lifts the test by one unit; NaN leaves build-up out, because
        the published values disagree and the choice is the agronomist's.
    build_up_years : float
        Years over which build-up is shared. [years]
    """

    critical: CriticalValue
    build_up_factor_kg_ha_per_mg_kg: float = math.nan
    build_up_years: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a factor or a number of years that cannot be."""
        if self.build_up_factor_kg_ha_per_mg_kg <= 0 or not 1.0 <= self.build_up_years <= 20.0:
            raise MissingInputError(
                f"build-up with {self.build_up_factor_kg_ha_per_mg_kg:g} kg P/ha per mg/kg over "
                f"{self.build_up_years:g} years is not possible",
                mend="Give a factor above zero, and from 1 to 20 years",
            )


@dataclass(frozen=True, slots=True)
class LimePlan:
    """How the need for lime is worked out; there is no default method.

    Parameters
    ----------
    method : LimeMethod
        The method that the agronomist chose.
    choices : LimeChoices
        Targets, and what else the method asks for.
    bulk_density_t_m3 : float
        Bulk density of the limed layer, where the method reads one. [t/m³]
    texture : str
        Texture of the whole paddock, where the method reads one.
    """

    method: LimeMethod
    choices: LimeChoices
    bulk_density_t_m3: float = math.nan
    texture: str = ""
