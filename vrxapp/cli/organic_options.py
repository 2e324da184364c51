"""Options that tell a batch of compost, manure or litter."""

import math
from collections.abc import Callable
from typing import Any

import click

from vrxapp.agronomy.organic_dressing import Basis, typical_keys
from vrxapp.agronomy.organics import OrganicMaterial
from vrxapp.workflows.organics import OrganicSettings


def _percent(name: str, text: str) -> Callable[[Any], Any]:
    return click.option(name, type=float, default=math.nan, help=f"{text} [%]")


ORGANIC_OPTIONS: tuple[Callable[[Any], Any], ...] = (
    click.option(
        "--typical", type=click.Choice(typical_keys()), help="A published typical analysis."
    ),
    click.option(
        "--material",
        type=click.Choice([str(m) for m in OrganicMaterial]),
        help="For your own analysis: the kind whose published release it follows.",
    ),
    click.option(
        "--basis",
        type=click.Choice([str(b) for b in Basis]),
        default=str(Basis.DRY),
        show_default=True,
        help="What your own percentages are counted by.",
    ),
    _percent("--moisture", "Water by the mass as supplied."),
    _percent("--n", "Nitrogen, your own analysis."),
    _percent("--p", "Phosphorus, as the element."),
    _percent("--k", "Potassium, as the element."),
    _percent("--s", "Sulfur."),
    _percent("--ammonium-n", "The part of the nitrogen that is ammonium."),
)
"""Options of verbs that ask for a batch."""


def organic_settings(given: dict[str, Any], *, name: str = "") -> OrganicSettings:
    """What the options tell of the batch."""
    return OrganicSettings(
        typical=given["typical"] or "",
        name=name,
        material=given["material"] or "",
        basis=given["basis"],
        moisture_percent=given["moisture"],
        n_percent=given["n"],
        p_percent=given["p"],
        k_percent=given["k"],
        s_percent=given["s"],
        ammonium_n_percent=given["ammonium_n"],
    )
