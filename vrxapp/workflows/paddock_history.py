"""The history of a paddock in words, and from what people type."""

import math
import re

from vrxapp.agronomy.paddock_history import CropBefore, LimeSpread, PaddockHistory
from vrxapp.agronomy.trail import Trail, printed_value, told_for
from vrxapp.errors import MissingInputError
from vrxapp.need_plans import Purpose
from vrxapp.prescription.history_steps import history_steps
from vrxapp.season import Season

_NUMBER = r"\d+(?:\.\d+)?"
_LIME = re.compile(
    rf"(?P<year>\d{{4}})\s*=\s*(?P<rate>{_NUMBER})(?:@(?P<value>{_NUMBER}))?(?P<top>@top)?",
    re.IGNORECASE,
)
NOTHING = "Nothing of earlier years is noted."


def lime_words(lime: LimeSpread) -> str:
    """Lime of an earlier year in one line."""
    value = lime.effective_nv_percent
    strength = "value not told" if math.isnan(value) else f"effective NV {value:g} %"
    lies = ", never worked in" if lime.lies_on_top else ""
    return f"{lime.year}: {printed_value(lime.rate_t_ha)} t/ha of lime, {strength}{lies}"


def lime_from_text(text: str) -> LimeSpread:
    """Lime of an earlier year out of YEAR=RATE, YEAR=RATE@NV, either with ``@top``.

    Raises
    ------
    MissingInputError
        If the text cannot be read so.
    """
    found = _LIME.fullmatch(text.strip())
    if found is None:
        raise MissingInputError(
            f"cannot read the lime {text!r}",
            mend="Write it as 2023=2.5 for 2.5 t/ha in 2023, as 2023=2.5@85 with its effective "
            "neutralising value, and end it in @top where it was never worked in",
        )
    value = float(found["value"]) if found["value"] else math.nan
    return LimeSpread(
        int(found["year"]), float(found["rate"]), value, lies_on_top=bool(found["top"])
    )


def lime_text(lime: LimeSpread) -> str:
    """Lime of an earlier year as `lime_from_text` reads it."""
    value = lime.effective_nv_percent
    strength = "" if math.isnan(value) else f"@{value:g}"
    return f"{lime.year}={lime.rate_t_ha:g}{strength}{'@top' if lime.lies_on_top else ''}"


def history_lines(season: Season) -> tuple[str, ...]:
    """What is noted, and what it says to the needs, each with its source."""
    history = season.history
    if history is None:
        return (NOTHING,)
    return (
        f"Season of {history.season_year}",
        *(lime_words(lime) for lime in history.limes),
        f"Crop before: {_crop_words(history)}",
        *_phosphorus_words(history),
        *_said(season),
    )


def _crop_words(history: PaddockHistory) -> str:
    """The crop before, with what it left."""
    legume = history.crop_before in (CropBefore.PULSE, CropBefore.LEGUME_PASTURE)
    if not legume:
        return str(history.crop_before)
    what = "of grain" if history.crop_before is CropBefore.PULSE else "of shoots left"
    return f"{history.crop_before}, {printed_value(history.legume_t_ha)} t/ha {what}"


def _phosphorus_words(history: PaddockHistory) -> tuple[str, ...]:
    """Phosphorus of the year before, where it was told."""
    amount = history.phosphorus_before_kg_ha
    return () if math.isnan(amount) else (f"Phosphorus before: {printed_value(amount)} kg P/ha",)


def _said(season: Season) -> tuple[str, ...]:
    """What the history says to lime, phosphorus and nitrogen."""
    steps = (
        (purpose, sentence)
        for purpose in (Purpose.LIME, Purpose.PHOSPHORUS, Purpose.NITROGEN)
        for sentence in told_for(Trail(history_steps(season, purpose)), 0)
    )
    return tuple(
        f"{str(purpose).capitalize()}: {told.text} [{told.source}; {told.grade}]"
        for purpose, told in steps
    )
