"""A target yield out of the water that a season is expected to bring, with its steps."""

import math
from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.agronomy.trail import TrailStep, filled
from vrxapp.agronomy.yield_potential import (
    OVERESTIMATE_CAUTION,
    STORED_SHARE_OF_SUMMER_RAIN,
    YieldBenchmark,
    stored_water,
    water_limited_yield,
    yield_benchmark,
    yield_benchmarks,
    yield_target,
)
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

_PULSES = "pulses"
_DECIMALS = 2  # as every sentence prints it, so that the sum can be redone


@dataclass(frozen=True, slots=True)
class WaterTarget:
    """How a target yield was worked out from water; nothing of it has a default.

    Parameters
    ----------
    benchmark : str
        Key of the yield benchmark.
    growing_season_rain_mm : float
        Rain expected while the crop grows. [mm]
    share : float
        Share of the potential that is aimed at, above 0 to 1. [-]
    stored_water_mm : float
        Water in the soil at sowing that roots can reach, as it was probed; NaN where the
        summer's rain tells it. [mm]
    summer_rain_mm : float
        Rain between harvest and sowing; NaN where the stored water was told. [mm]
    """

    benchmark: str
    growing_season_rain_mm: float
    share: float
    stored_water_mm: float = math.nan
    summer_rain_mm: float = math.nan

    def __post_init__(self) -> None:
        """Refuse a target of which a part is missing or told twice."""
        for name in ("stored_water_mm", "summer_rain_mm"):
            if math.isnan(getattr(self, name)):
                # one NaN for all, so that targets that tell the same compare equal
                object.__setattr__(self, name, math.nan)
        if math.isnan(self.growing_season_rain_mm) or math.isnan(self.share):
            raise MissingInputError(
                "a target from water needs the season's rain and the share to aim at; neither has "
                "a default",
                mend="Give both; usual is 60 to 80 % of the potential",
            )
        if math.isnan(self.stored_water_mm) == math.isnan(self.summer_rain_mm):
            raise MissingInputError(
                "a target from water needs the stored water, or the summer's rain to tell it by",
                mend="Give one of the two; 0 where the soil was dry at sowing",
            )


def benchmarks_for(crop: str) -> tuple[YieldBenchmark, ...]:
    """The benchmarks that fit a crop, published ones first.

    Examples
    --------
    >>> [row.key for row in benchmarks_for("wheat")]
    ['wheat-south-australia', 'wheat-western-australia']
    """
    is_pulse = known_crop(crop).fixes_nitrogen == "yes" and known_crop(crop).product == "grain"
    names = {crop, _PULSES} if is_pulse else {crop}
    found = [row for row in yield_benchmarks() if row.crop in names]
    return tuple(sorted(found, key=lambda row: row.grade is not Grade.PUBLISHED))


def target_by_water(water: WaterTarget, crop: str) -> float:
    """The target yield, to two decimals. [t/ha]

    Parameters
    ----------
    water : WaterTarget
        Rain, stored water, benchmark and share.
    crop : str
        Key of the crop.

    Raises
    ------
    UnknownChoiceError
        If there is no such benchmark, or it was made for another crop.
    SoilInputError
        If a value lies outside its range.

    Examples
    --------
    300 mm and a third of 90 mm of summer rain, less 110 mm, at 20 kg/mm: 4.4 t/ha.

    >>> target_by_water(
    ...     WaterTarget("wheat-south-australia", 300.0, 0.75, summer_rain_mm=90.0), "wheat"
    ... )
    3.3
    """
    return round(float(yield_target(_potential(water, crop), water.share)), _DECIMALS)


def water_steps(water: WaterTarget | None, crop: str, count: int) -> tuple[TrailStep, ...]:
    """How the target came from the water; none where it was told.

    Parameters
    ----------
    water : WaterTarget or None
        How it was worked out.
    crop : str
        Key of the crop.
    count : int
        Number of places.
    """
    if water is None:
        return ()
    known = _benchmark(water, crop)
    potential, target = float(_potential(water, crop)), target_by_water(water, crop)
    mark = "" if known.grade is Grade.PUBLISHED else f", {known.grade}"
    return (
        TrailStep(
            "water_stored", "water stored at sowing", "mm", filled(_stored(water), count), ""
        ),
        TrailStep(
            "water_potential",
            "water-limited yield",
            "t/ha",
            filled(potential, count),
            f"{known.name}{mark}: ({water.growing_season_rain_mm:g} mm of rain + "
            f"{_stored_words(water)} − {known.evaporation_mm:g} mm that evaporate) × "
            f"{known.kg_ha_per_mm:g} kg/ha per mm ÷ {KILOGRAMS_PER_TONNE:g} = {{water_potential}} "
            f"t/ha ({known.where}).",
            source=known.source,
            grade=known.grade,
        ),
        TrailStep(
            "water_caution",
            "what the potential leaves out",
            "",
            filled("overestimates", count),
            OVERESTIMATE_CAUTION,
            source="oliver-2008",
            grade=Grade.PUBLISHED,
        ),
        TrailStep(
            "water_target",
            "target yield from water",
            "t/ha",
            filled(target, count),
            f"The target is {water.share * PERCENT:g} % of it: {{water_target}} t/ha.",
            grade=Grade.YOURS,
        ),
    )


def _benchmark(water: WaterTarget, crop: str) -> YieldBenchmark:
    """The benchmark, if it fits the crop."""
    known = yield_benchmark(water.benchmark)
    fitting = benchmarks_for(crop)
    if known not in fitting:
        keys = ", ".join(row.key for row in fitting)
        raise UnknownChoiceError(
            f"the yield benchmark {known.name!r} was not made for {known_crop(crop).name.lower()}",
            mend=f"Choose one of: {keys}"
            if keys
            else "There is none; tell the target yield itself",
        )
    return known


def _potential(water: WaterTarget, crop: str) -> np.float64:
    """Yield that the water allows. [t/ha]"""
    found = water_limited_yield(
        water.growing_season_rain_mm, _benchmark(water, crop), stored_water_mm=_stored(water)
    )
    return np.float64(found.potential_t_ha)


def _stored(water: WaterTarget) -> float:
    """Water in the soil at sowing. [mm]"""
    if math.isnan(water.summer_rain_mm):
        return water.stored_water_mm
    return float(stored_water(water.summer_rain_mm))


def _stored_words(water: WaterTarget) -> str:
    """The stored water as the sum tells it."""
    if math.isnan(water.summer_rain_mm):
        return f"{water.stored_water_mm:g} mm stored"
    parts = round(1.0 / STORED_SHARE_OF_SUMMER_RAIN)
    return f"{water.summer_rain_mm:g} mm of summer rain ÷ {parts} stored"
