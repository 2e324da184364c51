"""Maintenance lime that an agronomist asks for beside a method: harvests, nitrogen, and years."""

import math
from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.lime_maintenance import (
    LimeRemoval,
    lime_for_harvest,
    lime_for_nitrogen,
    lime_removals,
    nitrogen_acidity,
    printed_acidities,
)
from vrxapp.agronomy.trail import TrailStep, filled
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

_UNIT = "t CaCO3/ha"


@dataclass(frozen=True, slots=True)
class LimeUpkeep:
    """What maintenance lime is to balance; nothing of it is counted unasked.

    Parameters
    ----------
    harvest : str
        Key of what is taken away each year, see `lime_removals`; empty for none.
    nitrogen : str
        Key of the source of nitrogen, see `nitrogen_acidities`; empty for none.
    nitrogen_kg_ha : float
        Nitrogen applied each year. [kg N/ha]
    leached_fraction : float
        Share of it lost as nitrate, 0 to 1; there is no default. [-]
    years : float
        Years that the lime is to last. [years]
    """

    harvest: str = ""
    nitrogen: str = ""
    nitrogen_kg_ha: float = 0.0
    leached_fraction: float = math.nan
    years: float = 1.0

    def __post_init__(self) -> None:
        """Refuse maintenance of nothing, and what is not whole."""
        if math.isnan(self.leached_fraction):
            # one NaN for all, so that plans that tell the same compare equal
            object.__setattr__(self, "leached_fraction", math.nan)
        if not (self.harvest or self.nitrogen):
            raise MissingInputError(
                "maintenance lime balances a harvest or nitrogen, and neither was told",
                mend="Choose what is taken away, or the source of nitrogen",
            )
        if self.nitrogen and not (self.nitrogen_kg_ha > 0 and 0 <= self.leached_fraction <= 1):
            raise MissingInputError(
                "maintenance lime for nitrogen needs its rate and the share that is leached; "
                "neither has a default",
                mend="Give kg N/ha a year above 0, and a share from 0 to 100 %",
            )
        if not 1.0 <= self.years <= 20.0:
            raise MissingInputError(
                f"maintenance for {self.years:g} years is not possible", mend="Give 1 to 20 years"
            )


def lime_removal(key: str) -> LimeRemoval:
    """The harvest with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in lime_removals():
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"no harvest has the key {key!r} for maintenance lime",
        mend=f"Choose one of: {', '.join(known.key for known in lime_removals())}",
    )


def upkeep_t_ha(upkeep: LimeUpkeep, yield_t_ha: float) -> float:
    r"""Pure lime for maintenance: what balances harvests and nitrogen, and no more.

    Parameters
    ----------
    upkeep : LimeUpkeep
        Harvest, nitrogen and years; added only where the agronomist asks for it.
    yield_t_ha : float
        Yield taken away each year, zero or more. [t/ha]

    Returns
    -------
    float
        Pure lime for all the years, never below zero; NaN without a yield. [t CaCO3/ha]

    Raises
    ------
    UnknownChoiceError
        If a harvest or a source of nitrogen is unknown.
    SoilInputError
        If the yield is negative.

    Notes
    -----
    .. math:: L = \max(0, n \, (Y \, l + L_N) / 1000)

    References
    ----------
    .. [1] dpird-lime-program. Table 1.
    .. [2] nsw-dpi-nitrogen. Acid of nitrogen.

    Examples
    --------
    3 t/ha of wheat at 9 kg/t, and 60 kg N/ha of urea with a quarter leached, for 5 years:

    >>> upkeep = LimeUpkeep("wheat_grain", "urea", 60.0, 0.25, years=5.0)
    >>> round(upkeep_t_ha(upkeep, 3.0), 3)
    0.403
    """
    yearly = _harvest_kg(upkeep, yield_t_ha) + _nitrogen_kg(upkeep)
    # numpy's, for Python's makes nothing out of a yield that is not known
    return float(np.maximum(0.0, yearly * upkeep.years / KILOGRAMS_PER_TONNE))


def upkeep_steps(upkeep: LimeUpkeep | None, yield_t_ha: float, count: int) -> tuple[TrailStep, ...]:
    """How the maintenance came about; its step ``upkeep`` is zero where none was asked for.

    Parameters
    ----------
    upkeep : LimeUpkeep or None
        What it is to balance.
    yield_t_ha : float
        Yield taken away each year. [t/ha]
    count : int
        Number of places.
    """
    if upkeep is None:
        return (TrailStep("upkeep", "maintenance lime", _UNIT, np.zeros(count), ""),)
    total = TrailStep(
        "upkeep",
        "maintenance lime",
        _UNIT,
        filled(upkeep_t_ha(upkeep, yield_t_ha), count),
        f"Maintenance for {upkeep.years:g} years comes to {{upkeep}} t of pure lime per hectare, "
        "as asked for.",
        grade=Grade.YOURS,
    )
    return (
        *_harvest_steps(upkeep, yield_t_ha, count),
        *_nitrogen_steps(upkeep, count),
        total,
    )


def _harvest_steps(upkeep: LimeUpkeep, yield_t_ha: float, count: int) -> tuple[TrailStep, ...]:
    """What balances the harvest."""
    if not upkeep.harvest:
        return ()
    known = lime_removal(upkeep.harvest)
    return (
        TrailStep(
            "upkeep_harvest",
            "maintenance lime of the harvest, a year",
            "kg CaCO3/ha",
            filled(_harvest_kg(upkeep, yield_t_ha), count),
            f"{known.name}: {yield_t_ha:g} t/ha × {known.lime_kg_t:g} kg/t = {{upkeep_harvest}} kg "
            "of pure lime a year.",
            source=known.source,
            grade=known.grade,
        ),
    )


def _nitrogen_steps(upkeep: LimeUpkeep, count: int) -> tuple[TrailStep, ...]:
    """What balances the nitrogen, and what lists print of its source."""
    if not upkeep.nitrogen:
        return ()
    known, leached = nitrogen_acidity(upkeep.nitrogen), upkeep.leached_fraction * PERCENT
    step = TrailStep(
        "upkeep_nitrogen",
        "maintenance lime of the nitrogen, a year",
        "kg CaCO3/ha",
        filled(_nitrogen_kg(upkeep), count),
        f"{known.name}: {upkeep.nitrogen_kg_ha:g} kg N/ha with {leached:g} % of it "
        "leached is balanced by {upkeep_nitrogen} kg of pure lime a year; below zero it "
        "saves lime.",
        source=known.source,
        grade=known.grade,
    )
    printed = tuple(
        TrailStep(
            "upkeep_printed",
            "equivalent acidity as lists print it",
            "kg CaCO3 per 100 kg",
            filled(row.lime_kg_per_100_kg, count),
            f"Lists print {{upkeep_printed}} kg of lime for 100 kg of {row.name.lower()}; that "
            "holds half of the nitrogen's acid already and is added to nothing.",
            source=row.source,
            grade=row.grade,
        )
        for row in printed_acidities()
        if row.key == upkeep.nitrogen
    )
    return (step, *printed)


def _harvest_kg(upkeep: LimeUpkeep, yield_t_ha: float) -> float:
    """Pure lime of a year's harvest. [kg/ha]"""
    if not upkeep.harvest:
        return 0.0
    return float(lime_for_harvest(yield_t_ha, lime_removal(upkeep.harvest).lime_kg_t))


def _nitrogen_kg(upkeep: LimeUpkeep) -> float:
    """Pure lime of a year's nitrogen. [kg/ha]"""
    if not upkeep.nitrogen:
        return 0.0
    known = nitrogen_acidity(upkeep.nitrogen)
    return float(
        lime_for_nitrogen(
            upkeep.nitrogen_kg_ha,
            known.acid_mol_per_mol_n,
            leached_fraction=upkeep.leached_fraction,
        )
    )
