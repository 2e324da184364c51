"""What a leaf test says: classes, ratios and the advice on over-supply, for screen and terminal."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.tissue import (
    PlantPart,
    Sampling,
    TissueClass,
    TissueRange,
    source_word,
    tissue_ranges,
)
from vrxapp.agronomy.tissue_overload import (
    NEVER_MORE_HUMATE,
    PULL_BACK,
    RULE_SOURCE,
    LeafAction,
    OverloadAdvice,
    overload_advice,
)
from vrxapp.agronomy.tissue_ratios import TissueRatio, place_of_ratio, ratio_of, tissue_ratios
from vrxapp.agronomy.tissue_sheet import SheetClasses, sheet_classes
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.files.leaf_sheet import LeafSheet, leaf_nutrients
from vrxapp.sources import Grade
from vrxapp.workflows.leaf_uptake import (
    hint_lines,
    leaf_uptake,
    phosphorus_zinc_hints,
    uptake_lines,
)

_ZADOKS = re.compile(r"(?:z|gs|zadoks)? ?([0-9]{1,2}(?:\.[0-9]+)?)", re.I)
_ANY_STAGE = (0.0, 99.0)
_TYPICAL = "typical"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RatioColumn:
    """A ratio of each sample, and where it lies against its limits."""

    ratio: TissueRatio
    values: NDArray[np.float64]
    places: NDArray[np.str_]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LeafReport:
    """A leaf test with its classes, ratios and advice.

    Parameters
    ----------
    sheet : LeafSheet
        The results.
    sampling : Sampling
        What was sampled.
    found : SheetClasses
        Classes and the ranges behind them.
    ratios : tuple of RatioColumn
        Ratios made for just this crop, part and stage.
    advice : OverloadAdvice
        Actions, and the samples that call for pulling back.
    dry_matter_t_ha : float
        Dry matter of the tops; NaN where not told. [t/ha]
    uptake_kg_ha : ndarray of float, samples × nutrients, or None
        What the tops hold; None where it cannot be told. [kg/ha]
    zinc_hints : ndarray of bool
        Samples in which much phosphorus may be what keeps zinc down.
    """

    sheet: LeafSheet
    sampling: Sampling
    found: SheetClasses
    ratios: tuple[RatioColumn, ...]
    advice: OverloadAdvice
    dry_matter_t_ha: float
    uptake_kg_ha: NDArray[np.float64] | None
    zinc_hints: NDArray[np.bool_]


def leaf_crops() -> tuple[str, ...]:
    """Crops that have leaf ranges."""
    return tuple(dict.fromkeys(row.crop for row in tissue_ranges()))


def leaf_parts(crop: str) -> tuple[PlantPart, ...]:
    """Plant parts that a crop has ranges for."""
    return tuple(dict.fromkeys(row.part for row in tissue_ranges(crop)))


def leaf_stages(crop: str, part: PlantPart) -> tuple[str, ...]:
    """Stages that a crop and part have ranges for: words, or ``Zadoks`` with a code."""
    rows = [row for row in tissue_ranges(crop) if row.part is part]
    words = dict.fromkeys(row.stage for row in rows if row.stage)
    spans = {(row.zadoks_low, row.zadoks_high) for row in rows if not row.stage}
    codes = sorted({code for span in spans - {_ANY_STAGE} for code in span})
    return (*words, *(f"Zadoks {code:g}" for code in codes))


def leaf_sources(sampling: Sampling) -> tuple[TissueRange, ...]:
    """One range of each source that fits a sampling, to choose a source from."""
    rows = sorted(_fitting(sampling), key=lambda row: row.source)
    return tuple(next(group) for _, group in groupby(rows, key=lambda row: row.source))


def shown(key: str) -> str:
    """A key of crop, part or stage as people read it."""
    return key.replace("_", " ")


def sampling_from(crop: str, part: str, stage: str) -> Sampling:
    """What was sampled, out of words.

    Parameters
    ----------
    crop, part : str
        Crop and plant part, as `leaf_crops` and `leaf_parts` list them; blanks may stand
        for underscores.
    stage : str
        Stage in words as `leaf_stages` lists it, or a Zadoks code such as ``"Zadoks 25"``.

    Raises
    ------
    UnknownChoiceError
        If there are no ranges for it; the mend lists what there is.
    SoilInputError
        If there is no such Zadoks code.
    """
    known = _chosen("crop", crop, leaf_crops())
    chosen = PlantPart(_chosen(f"part of {known}", part, [str(p) for p in leaf_parts(known)]))
    stages = leaf_stages(known, chosen)
    code = _ZADOKS.fullmatch(stage.strip())
    if code is not None and any(name.startswith("Zadoks") for name in stages):
        return Sampling(known, chosen, zadoks=float(code[1]))
    return Sampling(known, chosen, stage=_chosen(f"stage of {known}, {chosen},", stage, stages))


def leaf_report(
    sheet: LeafSheet,
    sampling: Sampling,
    *,
    source: str = "",
    sprayed: Iterable[str] = (),
    dry_matter_t_ha: float = math.nan,
) -> LeafReport:
    """What a leaf test says.

    Parameters
    ----------
    sheet : LeafSheet
        The results.
    sampling : Sampling
        What was sampled, the same for all rows.
    source : str, default ""
        Key of the source to go by; without it only published ranges count.
    sprayed : iterable of str
        Elements sprayed on these leaves, each as ``NUTRIENT=DAYS`` ago.
    dry_matter_t_ha : float, optional
        Dry matter of the tops, to tell what they hold. [t/ha]

    Raises
    ------
    UnknownChoiceError
        If nothing published fits and no source is named, or a name is not known.
    MissingInputError
        If a spray cannot be read.
    SoilInputError
        If the dry matter cannot be.
    """
    _refuse_unnamed(sampling, source)
    found = sheet_classes(sheet.values, sheet.nutrients, sampling=sampling, source=source)
    days = np.array([_days_of(name, tuple(sprayed)) for name in sheet.nutrients])
    acted_on = _acted_on(found)
    advice = overload_advice(
        acted_on,
        _places(sheet),
        days_since_spray=np.broadcast_to(days, found.classes.shape),
    )
    return LeafReport(
        sheet,
        sampling,
        found,
        _ratios(sheet, sampling),
        advice,
        dry_matter_t_ha,
        leaf_uptake(sheet, sampling, dry_matter_t_ha),
        phosphorus_zinc_hints(sheet, acted_on, advice.actions),
    )


def advice_lines(report: LeafReport) -> tuple[str, ...]:
    """What to do, one sentence a nutrient that is out of its range, then what holds for all."""
    lines = []
    for row, sample in enumerate(report.sheet.samples):
        for column, nutrient in enumerate(report.sheet.nutrients):
            action = str(report.advice.actions[row, column])
            if action in (LeafAction.NONE, LeafAction.MAINTAIN):
                continue
            cut = report.advice.cut_percent[row, column]
            most = f". Until a second sample agrees, cut it by at most {cut:g} %"
            tail = most if np.isfinite(cut) and cut < 100.0 else ""
            found = report.found.classes[row, column]
            lines.append(f"{sample}, {nutrient} ({found}): {action}{tail}.")
        if report.advice.pulls_back[row]:
            lines.append(f"{sample}: {PULL_BACK}.")
    lines += hint_lines(report.sheet, report.zinc_hints)
    lines += uptake_lines(report.sheet, report.uptake_kg_ha, report.dry_matter_t_ha)
    if np.any(report.advice.high_count > 0):
        lines.append(f"{NEVER_MORE_HUMATE}.")
    typical = [limits.nutrient for limits in report.found.ranges if limits and is_typical(limits)]
    if typical:
        lines.append(
            f"{', '.join(typical)}: the ranges tell what is common, not what a crop needs or is "
            "harmed by, so no action follows from low or high."
        )
    if np.any(report.advice.actions != LeafAction.NONE):
        lines.append(
            f"The actions are a convention of this program ({RULE_SOURCE}); labels and your own "
            "judgement come first."
        )
    return tuple(lines)


def is_typical(limits: TissueRange) -> bool:
    """Whether a range only tells what is common, so that no action follows from leaving it."""
    return source_word(limits, TissueClass.ADEQUATE) == _TYPICAL


def range_words(limits: TissueRange) -> str:
    """A range as people read it, with its unit."""
    parts = [
        f"{word} {limit:g}"
        for word, limit in (
            ("deficient below", limits.deficient_below),
            ("adequate from", limits.adequate_from),
            ("high above", limits.high_above),
            ("toxic from", limits.toxic_from),
        )
        if np.isfinite(limit)
    ]
    return f"{', '.join(parts)} {limits.unit}"


def source_words(limits: TissueRange, found: str) -> str:
    """The source of a class, its place and grade; a toxic limit may have one of its own."""
    text = f"{limits.source}, {limits.where}; {limits.grade}"
    if found == TissueClass.TOXIC and limits.toxic_source not in ("", limits.source):
        return f"{text}; toxic limit {limits.toxic_source}"
    return text


def _chosen(what: str, given: str, known: Iterable[str]) -> str:
    """The choice that a word stands for."""
    choices = list(known)
    wanted = " ".join(given.replace("_", " ").split()).casefold()
    for choice in choices:
        if wanted == shown(choice).casefold():
            return choice
    lacking = (
        f"no {what} is told" if not wanted else f"there are no leaf ranges for {what} {given!r}"
    )
    raise UnknownChoiceError(lacking, mend=f"Choose one of: {', '.join(choices)}")


def _fitting(sampling: Sampling) -> list[TissueRange]:
    """Ranges of all nutrients that were made for a sampling."""
    return [
        row
        for row in tissue_ranges(sampling.crop)
        if row.part is sampling.part
        and (
            row.stage == sampling.stage
            if row.stage
            else row.zadoks_low <= sampling.zadoks <= row.zadoks_high
        )
    ]


def _refuse_unnamed(sampling: Sampling, source: str) -> None:
    """Refuse a sampling that only unverified ranges fit until one is named, and other names."""
    fitting = leaf_sources(sampling)
    listed = ", ".join(f"{row.source} ({row.grade})" for row in fitting)
    if source and source not in {row.source for row in fitting}:
        raise UnknownChoiceError(
            f"the source {source!r} has no range for this sample",
            mend=f"Choose one of: {listed}" if listed else "Choose another stage or part",
        )
    rows = _fitting(sampling)
    if not source and rows and not any(row.grade is Grade.PUBLISHED for row in rows):
        raise UnknownChoiceError(
            "only ranges that nobody has verified fit this sample",
            mend=f"Name the source to use it all the same: {listed}",
        )


def _acted_on(found: SheetClasses) -> NDArray[np.str_]:
    """The classes that an action can follow from: of a typical range only what is toxic."""
    typical = np.array([limits is not None and is_typical(limits) for limits in found.ranges])
    is_toxic = found.classes == TissueClass.TOXIC
    return np.where(typical & ~is_toxic, str(TissueClass.NONE), found.classes)


def _days_of(nutrient: str, sprayed: tuple[str, ...]) -> float:
    """Days since a nutrient was sprayed on the leaves; NaN for never. [d]"""
    days = float("nan")
    for text in sprayed:
        name, equals, told = (part.strip() for part in text.partition("="))
        known = {row.key.casefold(): row.key for row in leaf_nutrients()}
        if not equals or not told.isdigit() or name.casefold() not in known:
            raise MissingInputError(
                f"cannot read the spray {text!r}",
                mend="Write nutrient and days since it was sprayed, for instance Zn=5",
            )
        days = float(told) if known[name.casefold()] == nutrient else days
    return days


def _places(sheet: LeafSheet) -> NDArray[np.intp]:
    """The place of each row: its zone, else its sample id, so that repeats can agree."""
    names = [
        f"{paddock}/{zone}" if zone else f"{paddock}//{sample}"
        for paddock, zone, sample in zip(sheet.paddocks, sheet.zones, sheet.samples, strict=True)
    ]
    _, places = np.unique(np.array(names), return_inverse=True)
    return places.astype(np.intp)


def _ratios(sheet: LeafSheet, sampling: Sampling) -> tuple[RatioColumn, ...]:
    """The ratios whose two elements were measured."""
    columns = {name: sheet.values[:, column] for column, name in enumerate(sheet.nutrients)}
    units = dict(zip(sheet.nutrients, sheet.units, strict=True))
    found = []
    for ratio in tissue_ratios(sampling):
        above, below = ratio.numerator, ratio.denominator
        if above in columns and below in columns and units[above] == units[below]:
            values = ratio_of(columns[above], columns[below])
            found.append(RatioColumn(ratio, values, place_of_ratio(values, ratio)))
    return tuple(found)
