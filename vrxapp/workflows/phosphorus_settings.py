"""From a few settings to how phosphorus needs are worked out."""

import math
from dataclasses import dataclass

from vrxapp.agronomy.critical_values import (
    PHOSPHORUS_TESTS,
    CriticalValue,
    critical_value,
    default_critical_value,
    own_critical_value,
)
from vrxapp.agronomy.crop_removal import Nutrient, own_removal
from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.errors import UnknownChoiceError
from vrxapp.need_plans import PhosphorusPlan


@dataclass(frozen=True, slots=True)
class PhosphorusSettings:
    """What the user decides about phosphorus; everything has a plain start.

    Parameters
    ----------
    critical : str
        Key of a calibration; empty for the crop's published default.
    own_critical_mg_kg : float
        A critical value of the agronomist's own; NaN for none. [mg/kg]
    own_critical_reason : str
        Where it comes from.
    own_critical_test : str
        The soil test that it is for; empty for that of the calibration.
    own_critical_depth_cm : str
        The layer that it is for, such as ``0-15``; empty for that of the calibration. [cm]
    build_up_factor_kg_ha_per_mg_kg, build_up_years : float
        Build-up; a factor of NaN leaves it out.
    removal_kg_t : float
        Phosphorus in the harvest by an analysis of one's own; NaN for the published. [kg P/t]
    removal_reason : str
        Which analysis that is.
    """

    critical: str = ""
    own_critical_mg_kg: float = math.nan
    own_critical_reason: str = ""
    own_critical_test: str = ""
    own_critical_depth_cm: str = ""
    build_up_factor_kg_ha_per_mg_kg: float = math.nan
    build_up_years: float = 1.0
    removal_kg_t: float = math.nan
    removal_reason: str = ""


def phosphorus_plan_from(settings: PhosphorusSettings, crop: str) -> PhosphorusPlan:
    """How phosphorus is worked out for a crop.

    Raises
    ------
    UnknownChoiceError
        If the calibration was made for another crop.
    MissingInputError
        If a value or removal of one's own has no reason, or build-up cannot be.
    """
    return PhosphorusPlan(
        _critical(settings, crop),
        settings.build_up_factor_kg_ha_per_mg_kg,
        settings.build_up_years,
        None
        if math.isnan(settings.removal_kg_t)
        else own_removal(
            known_crop(crop).harvest,
            Nutrient.PHOSPHORUS,
            settings.removal_kg_t,
            reason=settings.removal_reason,
        ),
    )


def _critical(settings: PhosphorusSettings, crop: str) -> CriticalValue:
    chosen = (
        critical_value(settings.critical) if settings.critical else default_critical_value(crop)
    )
    if chosen.crop != crop:
        raise UnknownChoiceError(
            f"the critical value {chosen.name!r} was made for {chosen.crop}, not for {crop}",
            mend="Choose one for the crop that is grown, or give your own",
        )
    if math.isnan(settings.own_critical_mg_kg):
        return chosen
    test = settings.own_critical_test or chosen.analyte
    if test not in PHOSPHORUS_TESTS:
        raise UnknownChoiceError(
            f"a critical value of phosphorus is not for the test {test!r}",
            mend=f"Choose one of: {', '.join(PHOSPHORUS_TESTS)}",
        )
    return own_critical_value(
        crop,
        test,
        settings.own_critical_mg_kg,
        reason=settings.own_critical_reason,
        depth_cm=settings.own_critical_depth_cm or chosen.depth_cm,
    )
