"""Which scale gives a test its class: the default for crop, layer and clay, or a chosen one."""

from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.critical_values import critical_values
from vrxapp.prescription.estimated_tests import EstimateChoices, require_estimates
from vrxapp.prescription.rate_aims import RateAim, aims_of
from vrxapp.season import Season
from vrxapp.soil.interpretation_scales import Scale, default_scale, scale, scales, scales_for


@dataclass(frozen=True, slots=True)
class ClassChoices:
    """What classes go by beside the results.

    Parameters
    ----------
    crop : str, optional
        Key of the crop; a scale made for it comes first.
    texture : str, optional
        Texture of the paddock in words, for scales by texture or where no clay was measured.
    scale_keys : tuple of str, optional
        Scales chosen instead of the default, at most one for each test.
    aims : tuple of RateAim, optional
        What the rates aim at.
    estimates : EstimateChoices, optional
        How tests that are lacking are estimated.
    tells_salt_loss : bool, optional
        Whether to tell what the crop loses to salt by figures that nobody verified.
    """

    crop: str = ""
    texture: str = ""
    scale_keys: tuple[str, ...] = ()
    aims: tuple[RateAim, ...] = ()
    estimates: EstimateChoices = field(default_factory=EstimateChoices)
    tells_salt_loss: bool = False


def choices_of(season: Season, scale_keys: tuple[str, ...] = ()) -> ClassChoices:
    """Crop, texture and what the rates aim at, as the season tells them."""
    plans = (*season.nutrients, season.gypsum, season.lime)
    texture = next((plan.texture for plan in plans if plan is not None and plan.texture), "")
    return ClassChoices(season.crop.crop, texture, scale_keys, aims_of(season))


def require_scales(choices: ClassChoices) -> None:
    """Refuse a chosen scale, or a way to an estimate, that is not known.

    Raises
    ------
    UnknownChoiceError
        If there is none of that key; the mend lists what there is.
    """
    for key in choices.scale_keys:
        scale(key)
    require_estimates(choices.estimates)


NO_SCALE = -1
"""Stands for a place that has no scale."""


def scales_of_places(
    analyte_key: str,
    depths_cm: tuple[str, ...],
    *,
    clay_percent: NDArray[np.float64],
    choices: ClassChoices,
) -> NDArray[np.intp]:
    """The scale of each place: the chosen one, or the default for its layer and clay.

    Parameters
    ----------
    analyte_key : str
        Key of the analyte.
    depths_cm : tuple of str
        Layer of each place. [cm]
    clay_percent : ndarray of float
        Clay; NaN where not known. [%]
    choices : ClassChoices
        Crop, and scales that were chosen; of two for one test the last one counts.

    Returns
    -------
    ndarray of int
        Which of `scales`; -1 for none.
    """
    chosen = [known for known in map(scale, choices.scale_keys) if known.analyte_key == analyte_key]
    if chosen:
        return np.full(len(depths_cm), scales().index(chosen[-1]))
    found = np.full(len(depths_cm), NO_SCALE, dtype=np.intp)
    knows_clay = np.isfinite(clay_percent)
    layers = np.array(depths_cm, dtype=object)
    for layer, knows in product(set(depths_cm), (True, False)):
        known = default_scale(analyte_key, crop=choices.crop, depth_cm=layer, knows_clay=knows)
        if known is not None:
            found[(layers == layer) & (knows_clay == knows)] = scales().index(known)
    return found


def unfit(known: Scale, choices: ClassChoices) -> str:
    """For whom a scale that was chosen by hand is made, where that is another crop."""
    if known.crop and known.crop != choices.crop:
        return f"the scale is made for {known.crop.replace('_', ' ')}"
    return ""


def why_no_scale(analyte_key: str, *, crop: str, depth_cm: str) -> str:
    """Why a test has no class where no scale is its default.

    Examples
    --------
    >>> why_no_scale("sulfur_kcl40", crop="wheat", depth_cm="0-10")
    'its scale for wheat is made for 0-30 cm'
    >>> why_no_scale("mehlich3_zn", crop="wheat", depth_cm="0-10")
    'no scale is known for this test'
    """
    own = [known for known in scales() if known.analyte_key == analyte_key]
    if not own:
        return "no scale is known for this test"
    fitting = scales_for(analyte_key, crop=crop, depth_cm=depth_cm)
    if fitting:
        keys = ", ".join(known.key for known in fitting)
        first = (
            "go by a critical value" if _has_critical_value(analyte_key) else "none is the default"
        )
        return f"{first}; scales to choose: {keys}"
    for_crop = [known for known in own if known.is_default and known.crop in ("", crop)]
    if for_crop:
        made_for = f" for {for_crop[0].crop}" if for_crop[0].crop else ""
        return f"its scale{made_for} is made for {for_crop[0].depth_cm} cm"
    crops = " and ".join(dict.fromkeys(known.crop.replace("_", " ") for known in own if known.crop))
    return f"its scales are made for {crops}"


def _has_critical_value(analyte_key: str) -> bool:
    """Whether what a crop needs is read from a critical value of this test."""
    return any(known.analyte == analyte_key for known in critical_values())
