"""Plant tissue: what a leaf test means, for one crop, one stage and one plant part.

Concentrations fall with age and differ from part to part, so a range holds only for the
sample it was made for. Another stage or part is refused, not approximated. A class is
given only where the source gives it.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT


class TissueClass(StrEnum):
    """What a concentration means; words of our own, the source's are in `source_word`."""

    NONE = ""
    """No result, or the source gives no class there."""
    DEFICIENT = "deficient"
    MARGINAL = "marginal"
    BELOW = "below adequate"
    """Below the adequate range of a source that does not tell deficient from marginal."""
    ADEQUATE = "adequate"
    HIGH = "high"
    TOXIC = "toxic or excess"


_ORDER = (
    TissueClass.DEFICIENT,
    TissueClass.MARGINAL,
    TissueClass.ADEQUATE,
    TissueClass.HIGH,
    TissueClass.TOXIC,
)


class PlantPart(StrEnum):
    """The part of the plant that was sampled."""

    WHOLE_SHOOT = "whole_shoot"
    YOUNG_LEAF = "young_leaf"
    YOUNGEST_EMERGED_BLADE = "youngest_emerged_blade"
    YOUNGEST_EXPANDED_LEAF = "youngest_expanded_leaf"
    YOUNGEST_MATURE_LEAF = "youngest_mature_leaf"
    YOUNGEST_MATURE_BLADE = "youngest_mature_blade"
    MID_SHOOT_LEAF = "mid_shoot_leaf"
    NONFRUITING_LEAF = "nonfruiting_leaf"
    EAR_LEAF = "ear_leaf"
    CLOVER_HERBAGE = "clover_herbage"


@dataclass(frozen=True, slots=True)
class Sampling:
    """What was sampled: crop, plant part, and stage in words or as a Zadoks code.

    Parameters
    ----------
    crop : str
        Key of the crop in the tissue ranges.
    part : PlantPart
        Part of the plant.
    stage : str, default ""
        Stage in words, for instance ``"flowering"``.
    zadoks : float, default NaN
        Zadoks code of a cereal, 0 to 99.
    """

    crop: str
    part: PlantPart
    stage: str = ""
    zadoks: float = math.nan

    def __post_init__(self) -> None:
        """Refuse a Zadoks code that there is not."""
        if not math.isnan(self.zadoks) and not 0 <= self.zadoks <= 99:
            raise SoilInputError(
                f"there is no Zadoks code {self.zadoks:g}", mend="Give a code from 0 to 99"
            )


@dataclass(frozen=True, slots=True)
class TissueRange:
    """The limits of one nutrient for one crop, stage and part, as one source prints them.

    Parameters
    ----------
    crop, stage : str
        Crop, and stage in words; the stage is empty where Zadoks codes tell it.
    zadoks_low, zadoks_high : float
        First and last Zadoks code; NaN where the stage is told in words.
    part : PlantPart
        Part of the plant.
    nutrient, unit : str
        Symbol of the element, and ``"%"`` or ``"mg/kg"`` of dry matter.
    deficient_below, adequate_from, high_above, toxic_from : float
        Limits of the classes; NaN where the source gives none. [unit]
    words : tuple of str
        The source's own words from deficient to toxic; empty where it has none.
    source, where : str
        Key of the bibliography, and the place in it.
    grade : Grade
        How well it is known.
    toxic_source : str
        Key of the bibliography for the last limit.
    """

    crop: str
    stage: str
    zadoks_low: float
    zadoks_high: float
    part: PlantPart
    nutrient: str
    unit: str
    deficient_below: float
    adequate_from: float
    high_above: float
    toxic_from: float
    words: tuple[str, ...]
    source: str
    where: str
    grade: Grade
    toxic_source: str


def tissue_ranges(crop: str = "") -> tuple[TissueRange, ...]:
    """Every range in the tables, or those of one crop."""
    rows = read_table("tissue_ranges.csv", TissueRange)
    return tuple(row for row in rows if crop in ("", row.crop))


def tissue_range(nutrient: str, sampling: Sampling, *, source: str = "") -> TissueRange:
    """The range that was made for just this sample.

    Parameters
    ----------
    nutrient : str
        Symbol of the element, for instance ``"Zn"``.
    sampling : Sampling
        Crop, part and stage.
    source : str, default ""
        Key of the source to go by. Left empty, the one published source is taken; a
        range from memory is taken only when its source is named.

    Returns
    -------
    TissueRange
        The one range that fits.

    Raises
    ------
    UnknownChoiceError
        If no range was made for this crop, stage and part; the mend lists what there is.
    MissingInputError
        If several published sources fit and none is named.

    Examples
    --------
    >>> sampling = Sampling("wheat", PlantPart.YOUNG_LEAF, zadoks=25)
    >>> tissue_range("Zn", sampling).adequate_from
    15.0
    """
    rows = [row for row in tissue_ranges(sampling.crop) if row.nutrient == nutrient]
    fitting = [row for row in rows if row.part is sampling.part and _is_at(row, sampling)]
    if source:
        chosen = [row for row in fitting if row.source == source]
    else:
        chosen = [row for row in fitting if row.grade is Grade.PUBLISHED]
    if len(chosen) == 1:
        return chosen[0]
    if chosen:
        raise MissingInputError(
            f"several sources tell {nutrient} in this sample and they differ",
            mend=f"Choose one of: {', '.join(row.source for row in chosen)}",
        )
    raise UnknownChoiceError(
        f"no range of {nutrient} was made for {_told(sampling)}", mend=_what_there_is(rows, fitting)
    )


def tissue_class(results: ArrayLike, limits: TissueRange) -> NDArray[np.str_]:
    """Class of each sample, for one nutrient.

    On a limit itself a result is adequate where adequacy begins, still adequate where it
    ends, and toxic where toxicity begins.

    Parameters
    ----------
    results : array_like
        Concentrations in dry matter; NaN where there is none. [limits.unit]
    limits : TissueRange
        The range made for this crop, stage and part.

    Returns
    -------
    ndarray of str
        `TissueClass` of each sample; empty where there is no result or no class.

    Raises
    ------
    SoilInputError
        If a result is negative, or above 100 %.

    Examples
    --------
    >>> sampling = Sampling("wheat", PlantPart.YOUNG_LEAF, zadoks=25)
    >>> print(*tissue_class([11.0, 14.0, 30.0, 90.0, 240.0], tissue_range("Zn", sampling)))
    deficient marginal adequate high toxic or excess
    """
    named = {f"{limits.nutrient} in tissue": results}
    require_at_least_zero(**named)
    found = np.asarray(results, dtype=float)
    if limits.unit == "%" and np.any(found > PERCENT):
        raise SoilInputError(
            f"{limits.nutrient} in tissue must not be above 100 %",
            value=f"{np.nanmax(found):g}",
            mend="Check the unit: 1 % is 10 000 mg/kg",
        )
    tells_deficient = not math.isnan(limits.deficient_below)
    short = TissueClass.MARGINAL if tells_deficient else TissueClass.BELOW
    # a comparison with a limit that is not given (NaN) is never true
    conditions = [
        found >= limits.toxic_from,
        found > limits.high_above,
        found >= limits.adequate_from,
        found < limits.deficient_below,
        found < limits.adequate_from,
    ]
    choices = [
        str(known)
        for known in (
            TissueClass.TOXIC,
            TissueClass.HIGH,
            TissueClass.ADEQUATE,
            TissueClass.DEFICIENT,
            short,
        )
    ]
    return np.asarray(np.select(conditions, choices, default=str(TissueClass.NONE)))


def source_word(limits: TissueRange, found: TissueClass) -> str:
    """The source's own word for a class, for instance "low" for marginal.

    Parameters
    ----------
    limits : TissueRange
        The range.
    found : TissueClass
        A class that it gave.

    Returns
    -------
    str
        Empty where the source has no word of its own.

    Examples
    --------
    >>> sampling = Sampling("wheat", PlantPart.YOUNG_LEAF, zadoks=25)
    >>> source_word(tissue_range("Zn", sampling), TissueClass.MARGINAL)
    'critical'
    """
    if found is TissueClass.NONE:
        return ""
    place = TissueClass.MARGINAL if found is TissueClass.BELOW else found
    return limits.words[_ORDER.index(place)]


def uptake_kg_ha(
    dry_matter_t_ha: ArrayLike, concentration_percent: ArrayLike
) -> NDArray[np.float64]:
    r"""What a crop holds of a nutrient: a growing crop can hold more at a lower percentage.

    Parameters
    ----------
    dry_matter_t_ha : array_like
        Dry matter of the tops. [t/ha]
    concentration_percent : array_like
        Concentration in dry matter. [%]

    Returns
    -------
    ndarray of float
        Nutrient in the tops; NaN where an input is missing. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: U = 10 \, M \, c

    M: dry matter; c: concentration.

    Examples
    --------
    >>> uptake_kg_ha([2.0, 2.5], [0.30, 0.28]).round(1)
    array([6., 7.])
    """
    require_at_least_zero(
        dry_matter_t_ha=dry_matter_t_ha, concentration_percent=concentration_percent
    )
    # 1 t/ha at 1 % is 10 kg/ha
    return 10.0 * np.multiply(dry_matter_t_ha, concentration_percent, dtype=float)


def _is_at(row: TissueRange, sampling: Sampling) -> bool:
    """Whether a range was made for this stage."""
    if row.stage:
        return row.stage == sampling.stage
    return row.zadoks_low <= sampling.zadoks <= row.zadoks_high


def _told(sampling: Sampling) -> str:
    """A sampling as people read it."""
    stage = sampling.stage or f"Zadoks {sampling.zadoks:g}"
    return f"{sampling.crop}, {sampling.part}, {stage}"


def _what_there_is(rows: list[TissueRange], fitting: list[TissueRange]) -> str:
    """What to do instead: name an unverified source, or sample as a range asks."""
    if fitting:
        keys = ", ".join(f"{row.source} ({row.grade})" for row in fitting)
        return f"Name the source to use it: {keys}"
    if not rows:
        return "Show the laboratory's figure without a class"
    stages = (row.stage or f"Zadoks {row.zadoks_low:g} to {row.zadoks_high:g}" for row in rows)
    known = dict.fromkeys(f"{row.part} at {stage}" for row, stage in zip(rows, stages, strict=True))
    return f"Ranges were made for: {'; '.join(known)}"
