"""What spreading on the surface brings with it: ammonia that urea may lose, lime left on top.

Nothing here changes a rate; it is told beside the rate, with its range and source.
"""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.figures import Figure
from vrxapp.agronomy.lime_quality import SPLIT_ADVICE, is_too_much_on_top
from vrxapp.agronomy.lime_tables import incorporation_limit, lime_textures
from vrxapp.agronomy.trail import TrailStep
from vrxapp.agronomy.volatilisation import (
    VOLATILISATION_CAUTION,
    nitrogen_volatilised,
    volatilisation_losses,
)
from vrxapp.errors import Note
from vrxapp.need_plans import Purpose
from vrxapp.prescription.humate_notes import zones_told
from vrxapp.prescription.supply import brings, supply_per_kg
from vrxapp.season import Operation
from vrxapp.sources import Grade
from vrxapp.units import PERCENT

NEED_UNIT = "kg N/ha"


def ammonia_steps(
    product_kg_ha: NDArray[np.float64], operation: Operation
) -> tuple[TrailStep, ...]:
    """Nitrogen that urea may lose to the air, as a range; none where it lies with the seed.

    Parameters
    ----------
    product_kg_ha : ndarray of float
        Product on each zone. [kg/ha]
    operation : Operation
        The pass.
    """
    if not _is_urea_on_top(operation):
        return ()
    urea_n = np.nan_to_num(product_kg_ha) * operation.product.urea_n_percent / PERCENT
    spread = urea_n > 0
    known = [loss for loss in volatilisation_losses() if not math.isnan(loss.low)]
    return (
        TrailStep("urea_n", "nitrogen spread as urea", NEED_UNIT, urea_n, ""),
        *(step for loss in known for step in _loss_steps(urea_n, loss, spread)),
    )


def _loss_steps(
    urea_n: NDArray[np.float64], loss: Figure, spread: NDArray[np.bool_]
) -> tuple[TrailStep, ...]:
    """The likely loss by one figure, between its ends."""
    name = f"ammonia_{loss.key}"
    ends = {"low": loss.low, "high": loss.high}
    return (
        *(
            TrailStep(
                f"{name}_{end}",
                f"ammonia, {loss.name.lower()}, {end}",
                NEED_UNIT,
                nitrogen_volatilised(urea_n, percent),
                "",
            )
            for end, percent in ends.items()
        ),
        TrailStep(
            name,
            f"ammonia, {loss.name.lower()}",
            NEED_UNIT,
            nitrogen_volatilised(urea_n, loss.value),
            f"{loss.name}: on the surface, of {{urea_n}} kg N/ha as urea some {{{name}}} kg N/ha "
            f"may be lost as ammonia ({loss.value:g} %), from {{{name}_low}} to {{{name}_high}}. "
            "Nothing is added to the rate for it.",
            source=loss.source,
            grade=loss.grade,
            told=spread,
        ),
    )


def on_top_steps(
    product_kg_ha: NDArray[np.float64], operation: Operation, textures: NDArray[np.str_]
) -> tuple[TrailStep, ...]:
    """Where more lime is spread at once than should be left on top.

    Parameters
    ----------
    product_kg_ha : ndarray of float
        Product on each zone. [kg/ha]
    operation : Operation
        The pass.
    textures : ndarray of str
        Texture of each zone; where it is empty the lowest limit counts.
    """
    if not brings(operation.product, Purpose.LIME):
        return ()
    pure = np.nan_to_num(product_kg_ha) * supply_per_kg(operation.product, Purpose.LIME)
    limit = incorporation_limit(textures)
    own = [row.texture for row in lime_textures() if np.isfinite(row.incorporate_above_t_ha)]
    whose = np.where(
        np.isin(np.strings.lower(textures), own),
        np.strings.add("on ", textures),
        "on any texture, the lowest that is told",
    )
    return (
        TrailStep("on_top_limit", "lime that may be left on top", "t CaCO3/ha", limit, ""),
        TrailStep("on_top_ground", "ground that the limit is for", "", whose, ""),
        TrailStep(
            "on_top",
            "pure lime spread at once",
            "t CaCO3/ha",
            pure,
            f"That is {{on_top}} t of pure lime per hectare, more than {{on_top_limit}} t "
            f"{{on_top_ground}} (a limit from memory, unverified). {SPLIT_ADVICE}",
            source="sfs-lime",
            grade=Grade.UNVERIFIED,
            told=is_too_much_on_top(pure, textures),
        ),
    )


def spread_notes(
    steps: tuple[TrailStep, ...], operation: Operation, zone_names: tuple[str, ...]
) -> tuple[Note, ...]:
    """What these steps come to for the whole pass."""
    by_name = {step.name: step for step in steps}
    notes = []
    urea = by_name.get("urea_n")
    if urea is not None and np.any(np.asarray(urea.values, dtype=float) > 0):
        notes.append(Note(VOLATILISATION_CAUTION, mend="The range stands in each zone's reasons"))
    elif _may_hold_urea(operation):
        notes.append(
            Note(
                f"the forms of nitrogen in {operation.product.name} are not told, so what it may "
                "lose as ammonia cannot be told",
                mend="Give urea_n_percent in the product list; 0 where it holds no urea",
            )
        )
    on_top = by_name.get("on_top")
    if on_top is not None and on_top.told is not None and np.any(on_top.told):
        zones = zones_told(zone_names, on_top.told)
        notes.append(Note(f"much lime at once (in {zones})", mend=SPLIT_ADVICE))
    return tuple(notes)


def _is_urea_on_top(operation: Operation) -> bool:
    """Whether a pass leaves urea on the surface."""
    return operation.seed_row is None and operation.product.urea_n_percent > 0


def _may_hold_urea(operation: Operation) -> bool:
    """Whether a pass for nitrogen spreads nitrogen of which no form was told."""
    product = operation.product
    return (
        operation.seed_row is None
        and operation.purpose is Purpose.NITROGEN
        and product.n_percent > 0
        and math.isnan(product.urea_n_percent)
    )
