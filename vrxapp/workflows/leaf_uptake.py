"""What a crop holds by its leaf test, and the hint that phosphorus keeps its zinc down."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.tissue import PlantPart, Sampling, uptake_kg_ha
from vrxapp.agronomy.tissue_overload import LeafAction, hints_at_phosphorus_induced_zinc
from vrxapp.agronomy.trail import printed_value
from vrxapp.errors import SoilInputError
from vrxapp.files.leaf_sheet import LeafSheet
from vrxapp.soil.results_table import Limit
from vrxapp.sources import source
from vrxapp.units import conversion_factor

WHOLE_TOPS = (PlantPart.WHOLE_SHOOT, PlantPart.CLOVER_HERBAGE)
"""Parts that are all of the tops; the nutrient in a leaf is not that in the tops."""
_HINT_SOURCE = "p-induced-zn"


def leaf_uptake(
    sheet: LeafSheet, sampling: Sampling, dry_matter_t_ha: float
) -> NDArray[np.float64] | None:
    """What the tops hold of each nutrient, where whole tops were sampled. [kg/ha]

    Parameters
    ----------
    sheet : LeafSheet
        The results.
    sampling : Sampling
        What was sampled.
    dry_matter_t_ha : float
        Dry matter of the tops; NaN where not told. [t/ha]

    Returns
    -------
    ndarray of float, samples × nutrients, or None
        NaN where there is no result, or only a limit; None where no dry matter was told or
        not the whole tops were sampled.

    Raises
    ------
    SoilInputError
        If the dry matter is negative or infinite.
    """
    if math.isnan(dry_matter_t_ha):
        return None
    if not 0.0 <= dry_matter_t_ha < math.inf:
        raise SoilInputError(
            "the dry matter must be a number of zero or more",
            value=f"{dry_matter_t_ha:g}",
            mend="Give the dry matter of the tops in t/ha",
        )
    if sampling.part not in WHOLE_TOPS:
        return None
    to_percent = np.array([conversion_factor(unit, "%") for unit in sheet.units])
    told = np.where(sheet.limits == Limit.NONE, sheet.values, np.nan)
    return uptake_kg_ha(dry_matter_t_ha, told * to_percent)


def uptake_lines(
    sheet: LeafSheet, uptake: NDArray[np.float64] | None, dry_matter_t_ha: float
) -> tuple[str, ...]:
    """What the tops of each sample hold, one line a sample; why not, where it cannot be told."""
    if math.isnan(dry_matter_t_ha):
        return ()
    if uptake is None:
        return (
            "What the crop holds can be told only where the whole tops were sampled, not from "
            "leaves.",
        )
    lines = []
    for sample, row in zip(sheet.samples, uptake, strict=True):
        pairs = zip(sheet.nutrients, row, strict=True)
        parts = [f"{name} {_amount(float(kg))}" for name, kg in pairs if math.isfinite(kg)]
        if parts:
            lines.append(
                f"{sample}: the tops hold {', '.join(parts)} kg/ha, at "
                f"{printed_value(dry_matter_t_ha)} t/ha of dry matter."
            )
    return tuple(lines)


def phosphorus_zinc_hints(
    sheet: LeafSheet, classes: NDArray[np.str_], actions: NDArray[np.str_]
) -> NDArray[np.bool_]:
    """Samples in which much phosphorus may be the cause of little zinc.

    Parameters
    ----------
    sheet : LeafSheet
        The results.
    classes, actions : ndarray of str, samples × nutrients
        Classes that an action can follow from, and the actions; one that was sprayed on
        these leaves too lately to tell gives no hint.
    """
    if not {"P", "Zn"} <= set(sheet.nutrients):
        return np.zeros(len(sheet.samples), dtype=bool)
    phosphorus, zinc = (sheet.nutrients.index(name) for name in ("P", "Zn"))
    waits = np.any(actions[:, [phosphorus, zinc]] == LeafAction.WAIT, axis=1)
    hints = hints_at_phosphorus_induced_zinc(classes[:, phosphorus], classes[:, zinc])
    return np.asarray(hints & ~waits)


def hint_lines(sheet: LeafSheet, hints: NDArray[np.bool_]) -> tuple[str, ...]:
    """The hint for each sample that gives it, with its grade."""
    grade = source(_HINT_SOURCE).grade
    return tuple(
        f"{sample}, P and Zn: phosphorus is over its range and zinc under it, so much phosphorus "
        "may be what keeps zinc down: hold phosphorus back before you add zinc. A hint, from "
        f"which no rate follows ({_HINT_SOURCE}; {grade})."
        for sample, is_hinted in zip(sheet.samples, hints, strict=True)
        if is_hinted
    )


def _amount(kg_ha: float) -> str:
    """An amount to two figures where it is small, as those of trace elements are."""
    return f"{kg_ha:.2g}" if 0 < kg_ha < 1 else f"{kg_ha:.1f}".removesuffix(".0")
