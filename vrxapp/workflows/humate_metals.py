"""Metals of a humate's analysis out of words, for screen and terminal alike."""

import math
import re

from vrxapp.errors import MissingInputError
from vrxapp.inputs.humate_metals import humate_metal_limits


def metals_from(text: str) -> tuple[tuple[str, float], ...]:
    """Metals with their content in the dry matter, in the order of the limits. [mg/kg]

    Parameters
    ----------
    text : str
        Such as ``"Cd 0.4, Pb 12"``; empty for none. What lies below detection is left out.

    Raises
    ------
    MissingInputError
        If it cannot be read, a metal is told twice, or there is no limit for it.

    Examples
    --------
    >>> metals_from("pb 12, Cd=0.4")
    (('Cd', 0.4), ('Pb', 12.0))
    """
    known = {limit.metal.casefold(): limit.metal for limit in humate_metal_limits()}
    found: dict[str, float] = {}
    for part in filter(None, (piece.strip() for piece in text.split(","))):
        metal, _, number = re.sub(r"[=:\s]+", " ", part).partition(" ")
        try:
            content = float(number)
        except ValueError:
            content = math.nan
        name = known.get(metal.casefold())
        if name is None or name in found or not (math.isfinite(content) and content >= 0):
            raise MissingInputError(
                f"cannot read the metal {part!r}",
                mend=f"Write such as Cd 0.4, Pb 12 in mg/kg of dry matter, each once, of: "
                f"{', '.join(known.values())}",
            )
        found[name] = content
    return tuple((metal, found[metal]) for metal in known.values() if metal in found)


def metals_text(metals: tuple[tuple[str, float], ...]) -> str:
    """The metals as they are typed.

    Examples
    --------
    >>> metals_text((("Cd", 0.4), ("Pb", 12.0)))
    'Cd 0.4, Pb 12'
    """
    return ", ".join(f"{metal} {content:g}" for metal, content in metals)
