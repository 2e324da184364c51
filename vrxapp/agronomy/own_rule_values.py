"""What a rule of the agronomist's own says, checked when it is made."""

import difflib
import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import NoReturn

import numpy as np

from vrxapp.agronomy.critical_ranges import layer_thickness_cm
from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.crops import crops
from vrxapp.agronomy.trace_rates import Placement, TraceElement, own_trace_rate
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.analytes import analyte, analytes

MOST_BREAKPOINTS = 100
HIGHEST_NEED_KG_HA = 2000.0
"""No element is spread by the tonne; a need above it is a slip of the unit."""


class OwnShape(StrEnum):
    """How the need goes from one breakpoint to the next."""

    STEPS = "steps"
    LINES = "straight lines"


@dataclass(frozen=True, slots=True)
class OwnRule:
    """Needs that the agronomist sets against the results of one soil test.

    Parameters
    ----------
    name : str
        What the rule is called.
    analyte : str
        Key of the soil test, and so of its method.
    depth_cm : str
        The layer that was sampled, such as ``"0-10"``. [cm]
    element : Nutrient
        The element that is needed.
    shape : OwnShape
        By steps a need holds from its breakpoint to just below the next; by straight
        lines it changes evenly between them.
    breakpoints : tuple of float
        Results, rising. Below the first no need is told; from the last on its need
        holds. [unit of the test]
    needs_kg_ha : tuple of float
        The need at each breakpoint. [kg of the element/ha]
    source : str
        Where the rule comes from, in the agronomist's words.
    cap_kg_ha : float
        Most that any place gets; NaN for no cap. [kg of the element/ha]
    crop : str
        Key of the crop that the rule was made for; empty for any.

    Raises
    ------
    SoilInputError
        If a part cannot be; the error's column names the part.
    """

    name: str
    analyte: str
    depth_cm: str
    element: Nutrient
    shape: OwnShape
    breakpoints: tuple[float, ...]
    needs_kg_ha: tuple[float, ...]
    source: str
    cap_kg_ha: float = math.nan
    crop: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no rule, or would do harm."""
        _check_words(self)
        _check_points(self)
        _check_safety(self)


def trace_element_of(rule: OwnRule) -> TraceElement | None:
    """The rule's element where it is a trace element."""
    return next((trace for trace in TraceElement if str(trace) == str(rule.element)), None)


def _check_words(rule: OwnRule) -> None:
    """Refuse a rule without name or source, and a test or layer that nobody knows."""
    for part in ("name", "source"):
        if not str(getattr(rule, part)).strip():
            _refuse(part, f"a rule needs its {part}", mend=f"Give the {part} in a few words")
    _check_key("analyte", rule.analyte, [known.key for known in analytes()])
    if rule.crop:
        _check_key("crop", rule.crop, [known.key for known in crops()])
    if not _is_layer(rule.depth_cm):
        _refuse("depth_cm", f"{rule.depth_cm!r} is no soil layer", mend="Write it as 0-10")


def _check_key(part: str, key: str, known: list[str]) -> None:
    """Refuse a key that nobody knows, offering those that look like it."""
    if key not in known:
        near = difflib.get_close_matches(key, known, n=4, cutoff=0.4) or sorted(known)
        _refuse(part, f"{key!r} is not known", mend=f"Choose a key such as: {', '.join(near)}")


def _is_layer(depth_cm: str) -> bool:
    """Whether a layer is told as every sheet tells it, such as 0-10."""
    try:
        layer_thickness_cm(depth_cm)
    except UnknownChoiceError:
        return False
    top, bottom = (float(end) for end in depth_cm.split("-"))
    return depth_cm == f"{top:g}-{bottom:g}"


def _check_points(rule: OwnRule) -> None:
    """Refuse breakpoints that do not rise or cannot be measured, and needs that cannot be."""
    points, needs, test = rule.breakpoints, rule.needs_kg_ha, analyte(rule.analyte)
    if not 1 <= len(points) <= MOST_BREAKPOINTS:
        _refuse(
            "breakpoints", f"there are {len(points)}", mend=f"Give from 1 to {MOST_BREAKPOINTS}"
        )
    if len(points) != len(needs):
        _refuse(
            "needs_kg_ha",
            f"there are {len(needs)} needs for {len(points)} breakpoints",
            mend="Give one need for each breakpoint",
        )
    for at in points:
        if not (test.lowest <= at <= test.highest):
            _refuse(
                "breakpoints",
                f"{test.name} goes from {test.lowest:g} to {test.highest:g} {test.unit}",
                value=f"{at:g}",
                mend="Check the value and its unit",
            )
    for before, after in pairwise(points):
        if not before < after:
            _refuse(
                "breakpoints",
                f"they must rise, but {after:g} follows {before:g}",
                mend="Put them in order, each once",
            )


def _check_safety(rule: OwnRule) -> None:
    """Refuse a need or a cap that cannot be meant, and a trace element above its cap."""
    for need in rule.needs_kg_ha:
        if not 0.0 <= need <= HIGHEST_NEED_KG_HA:
            _refuse(
                "needs_kg_ha",
                f"a need lies between 0 and {HIGHEST_NEED_KG_HA:g} kg/ha",
                value=f"{need:g}",
                mend="Give kilograms of the element (not the oxide) per hectare",
            )
    if not (math.isnan(rule.cap_kg_ha) or 0.0 < rule.cap_kg_ha <= HIGHEST_NEED_KG_HA):
        _refuse("cap_kg_ha", "a cap lies above zero", value=f"{rule.cap_kg_ha:g}", mend="Mend it")
    most = float(np.fmin(max(rule.needs_kg_ha), rule.cap_kg_ha))
    trace = trace_element_of(rule)
    if trace is not None and most > 0:
        try:
            own_trace_rate(trace, most, placement=Placement.BROADCAST, reason=rule.source)
        except SoilInputError as error:
            note = error.note
            _refuse("needs_kg_ha", note.message, value=note.value, mend=note.mend)


def _refuse(part: str, message: str, *, mend: str, value: str = "") -> NoReturn:
    """Raise for one part of a rule."""
    raise SoilInputError(message, column=part, value=value, mend=mend)
