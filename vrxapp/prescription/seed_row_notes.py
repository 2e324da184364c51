"""A rate placed with the seed against the guides: it warns, and changes no rate."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.inputs.seed_groups import TENDEREST, seed_group, seed_placement
from vrxapp.inputs.seed_placement import (
    SEED_CAUTION,
    SeedCheck,
    nitrogen_counted_percent,
    seed_placed_check,
)
from vrxapp.prescription.humate_notes import zones_told
from vrxapp.season import Operation


def seed_row_notes(
    product_kg_ha: NDArray[np.float64],
    operation: Operation,
    *,
    crop: str,
    zone_names: tuple[str, ...],
) -> tuple[Note, ...]:
    """What is wrong with a rate beside the seed; empty where it is spread over the ground."""
    if operation.seed_row is None:
        return ()
    check = seed_placed_check(
        product_kg_ha, operation.product, seed_placement(operation.seed_row, crop)
    )
    notes = [
        Note(f"placed with the seed, {zones_told(zone_names, check.warning == text)}: {text}")
        for text in dict.fromkeys(check.warning)
        if text
    ]
    if seed_group(crop) is None:
        notes.append(
            Note(
                f"no guide for fertiliser with the seed of this crop was read: it is judged as "
                f"the tenderest group ({TENDEREST})",
                mend="Ask your seed supplier, or place the fertiliser apart from the seed",
            )
        )
    return (*notes, Note(_guide(check, operation), mend=SEED_CAUTION))


def _guide(check: SeedCheck, operation: Operation) -> str:
    """What the guides allow here, whether it is kept or not."""
    most = (
        "nothing in it is limited by a guide"
        if np.isinf(check.highest_rate_kg_ha)
        else f"the guides allow {check.highest_rate_kg_ha:.0f} kg/ha of {operation.product.name}"
    )
    has_nitrogen = nitrogen_counted_percent(operation.product) > 0
    reason = f"; {check.safe_n.reason}" if check.safe_n.reason and has_nitrogen else ""
    sources = ", ".join(dict.fromkeys((check.safe_n.source, check.safe_p.source)))
    return (
        f"with the seed on {check.utilisation_percent:.0f} % of the ground {most}{reason} "
        f"[{sources}]; no rate was changed for it"
    )
