"""The risk of losing phosphorus to water beside a need: no build-up there, and why."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.phosphorus import LOSS_RISK_RATIO, PhosphorusNeed, has_raised_loss_risk
from vrxapp.agronomy.phosphorus_loss import LossFlag
from vrxapp.agronomy.trail import TrailStep
from vrxapp.soil.by_place import PlaceResults
from vrxapp.sources import Grade


def without_build_up(need: PhosphorusNeed, is_raised: NDArray[np.bool_]) -> PhosphorusNeed:
    """The same need without build-up on ground that loses phosphorus to water.

    Parameters
    ----------
    need : PhosphorusNeed
        The need as its own test tells it. [kg P/ha]
    is_raised : ndarray of bool
        Where the risk of loss is raised.
    """
    known = ~np.isnan(need.build_up_kg_ha)
    build_up = np.where(is_raised & known, 0.0, need.build_up_kg_ha)
    return replace(
        need,
        need_kg_ha=build_up + need.replacement_kg_ha,
        build_up_kg_ha=build_up,
        risk_of_loss=need.risk_of_loss | is_raised,
    )


def loss_steps(
    colwell_mg_kg: NDArray[np.float64], pbi: PlaceResults, flag: LossFlag
) -> tuple[TrailStep, ...]:
    """Whether phosphorus is likely to be lost to water, as far as the tests tell.

    Parameters
    ----------
    colwell_mg_kg : ndarray of float
        The test that the need is read from, where it is Colwell; else NaN. [mg/kg]
    pbi : PlaceResults
        Phosphorus buffering index of the same layer. [index]
    flag : LossFlag
        What Colwell P and PBI of the top 10 cm say.
    """
    by_own = np.asarray(has_raised_loss_risk(colwell_mg_kg, pbi.mean))
    (ratio,) = flag.steps
    sentence = (
        f"Build-up: none. Colwell P ÷ PBI {{told}} is above {LOSS_RISK_RATIO:g}, a raised risk of "
        "losing phosphorus to water: keep buffers to water."
    )
    return (
        replace(ratio, told=np.isfinite(flag.ratio) & ~flag.is_raised & ~by_own),
        _risk_step("loss_risk", by_own, sentence.replace("{told}", "= {test} ÷ {pbi}")),
        _risk_step(
            "loss_flag", flag.is_raised & ~by_own, sentence.replace("{told}", "of {loss_ratio}")
        ),
    )


def _risk_step(name: str, is_raised: NDArray[np.bool_], sentence: str) -> TrailStep:
    """That the risk of loss is raised."""
    return TrailStep(
        name,
        "raised risk of phosphorus loss",
        "",
        np.where(is_raised, "yes", "no"),
        sentence,
        source="moody-2006",
        grade=Grade.PUBLISHED,
        told=is_raised,
    )
