"""How needs are worked out: what is grown, and the choices behind each rule."""

import math
from dataclasses import dataclass, field
from enum import StrEnum

from vrxapp.agronomy.cation_balance import FreeSalt
from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.agronomy.critical_values import CriticalValue
from vrxapp.agronomy.crop_removal import Removal
from vrxapp.agronomy.figures import Figure
from vrxapp.agronomy.gypsum_values import Dispersion, GypsumChoices, GypsumMethod
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.agronomy.own_rule_values import OwnRule
from vrxapp.agronomy.sufficiency_values import NeedChoices
from vrxapp.agronomy.trace_rates import TraceRate
from vrxapp.agronomy.water_target import WaterTarget
from vrxapp.errors import MissingInputError


class Purpose(StrEnum):
    """What an operation is for: which need it covers."""

    PHOSPHORUS = "phosphorus"
    LIME = "lime"
    GYPSUM = "gypsum"
    NITROGEN = "nitrogen"
    POTASSIUM = "potassium"
    SULFUR = "sulfur"
    MAGNESIUM = "magnesium"
    CALCIUM = "calcium"
    ZINC = "zinc"
    COPPER = "copper"
    MANGANESE = "manganese"
    BORON = "boron"


SYMBOLS = {
    Purpose.NITROGEN: "N",
    Purpose.PHOSPHORUS: "P",
    Purpose.POTASSIUM: "K",
    Purpose.SULFUR: "S",
    Purpose.MAGNESIUM: "Mg",
    Purpose.CALCIUM: "Ca",
    Purpose.ZINC: "Zn",
    Purpose.COPPER: "Cu",
    Purpose.MANGANESE: "Mn",
    Purpose.BORON: "B",
}
"""The elements that are needs of their own; lime and gypsum are amendments."""
NUTRIENTS = (Purpose.POTASSIUM, Purpose.SULFUR, Purpose.MAGNESIUM, Purpose.CALCIUM)
TRACES = (
    Purpose.ZINC,
    Purpose.COPPER,
    Purpose.MANGANESE,
    Purpose.BORON,
)


@dataclass(frozen=True, slots=True)
class CropPlan:
    """What is to be grown, how much of it is aimed at, and what it is worth.

    Parameters
    ----------
    crop : str
        Key of the crop.
    target_yield_t_ha : float
        Yield aimed at. [t/ha]
    water : WaterTarget or None
        How that was worked out from water; None where it was told.
    price_t : float
        Price of the crop at the farm, above 0; NaN where not told. No rate reads it. [currency/t]
    """

    crop: str
    target_yield_t_ha: float
    water: WaterTarget | None = None
    price_t: float = math.nan

    def __post_init__(self) -> None:
        """Refuse a yield that no paddock gives, and a price that no crop has."""
        if math.isnan(self.price_t):
            # one NaN for all, so that plans that tell the same compare equal
            object.__setattr__(self, "price_t", math.nan)
        elif not (self.price_t > 0 and math.isfinite(self.price_t)):
            raise MissingInputError(
                f"a crop price of {self.price_t:g} a tonne is not possible",
                mend="Give a price above zero, or none",
            )
        if not 0.0 <= self.target_yield_t_ha <= 200.0:
            raise MissingInputError(
                f"a target yield of {self.target_yield_t_ha:g} t/ha is not possible",
                mend="Give tonnes per hectare, from 0 to 200",
            )


@dataclass(frozen=True, slots=True)
class PhosphorusPlan:
    """How phosphorus needs are worked out.

    Parameters
    ----------
    critical : CriticalValue
        The calibration that the soil test is read against.
    build_up_factor_kg_ha_per_mg_kg : float
        Phosphorus that lifts the test by one unit; NaN leaves build-up out, because
        the published values disagree and the choice is the agronomist's.
    build_up_years : float
        Years over which build-up is shared. [years]
    removal : Removal or None
        Phosphorus in the harvest by an analysis of the agronomist's own; None for the
        published figure.
    """

    critical: CriticalValue
    build_up_factor_kg_ha_per_mg_kg: float = math.nan
    build_up_years: float = 1.0
    removal: Removal | None = None

    def __post_init__(self) -> None:
        """Refuse a factor or a number of years that cannot be."""
        if self.build_up_factor_kg_ha_per_mg_kg <= 0 or not 1.0 <= self.build_up_years <= 20.0:
            raise MissingInputError(
                f"build-up with {self.build_up_factor_kg_ha_per_mg_kg:g} kg P/ha per mg/kg over "
                f"{self.build_up_years:g} years is not possible",
                mend="Give a factor above zero, and from 1 to 20 years",
            )


@dataclass(frozen=True, slots=True)
class LimePlan:
    """How the need for lime is worked out; there is no default method.

    Parameters
    ----------
    method : LimeMethod
        The method that the agronomist chose.
    choices : LimeChoices
        Targets, and what else the method asks for.
    bulk_density_t_m3 : float
        Bulk density of the limed layer, where the method reads one. [t/m³]
    texture : str
        Texture of the whole paddock, where the method reads one.
    upkeep : LimeUpkeep or None
        Maintenance lime on top, where it was asked for.
    """

    method: LimeMethod
    choices: LimeChoices
    bulk_density_t_m3: float = math.nan
    texture: str = ""
    upkeep: LimeUpkeep | None = None


@dataclass(frozen=True, slots=True)
class NutrientPlan:
    """How the need of potassium, sulfur, magnesium or calcium is worked out.

    Parameters
    ----------
    purpose : Purpose
        Which of them.
    critical : CriticalRange or None
        The calibration; None where cation balance is asked for.
    choices : NeedChoices
        Policy, years and limit.
    bulk_density_t_m3 : float
        Bulk density of the layer; NaN leaves the need of a poor layer untold. [t/m³]
    texture : str
        Texture of the paddock; empty where not told.
    removal_kg_t : float
        The agronomist's own figure of what a tonne of harvest carries away; NaN for the
        published one. [kg/t]
    scheme : str
        Whose shares of the exchange are aimed at; only cation balance reads it.
    free_salt : FreeSalt
        Whether the samples held free lime, gypsum or salt; cation balance must be told.
    """

    purpose: Purpose
    critical: CriticalRange | None = None
    choices: NeedChoices = field(default_factory=NeedChoices)
    bulk_density_t_m3: float = math.nan
    texture: str = ""
    removal_kg_t: float = math.nan
    scheme: str = ""
    free_salt: FreeSalt = FreeSalt.NOT_TOLD


@dataclass(frozen=True, slots=True)
class TracePlan:
    """How a trace element is judged: by one soil test, with a rate only where one was chosen."""

    purpose: Purpose
    test: str
    rate: TraceRate | None = None


@dataclass(frozen=True, slots=True)
class GypsumPlan:
    """How the need for gypsum is worked out; there is no default method.

    Parameters
    ----------
    method : GypsumMethod
        The method that the agronomist chose.
    choices : GypsumChoices
        Target and years.
    dispersion : Dispersion
        What the test of aggregates in rainwater showed on this paddock.
    bulk_density_t_m3 : float
        Bulk density of the layer. [t/m³]
    texture : str
        Texture of the paddock; empty where not told.
    """

    method: GypsumMethod
    choices: GypsumChoices
    dispersion: Dispersion = Dispersion.NOT_TESTED
    bulk_density_t_m3: float = math.nan
    texture: str = ""


@dataclass(frozen=True, slots=True)
class NitrogenPlan:
    """How the need for nitrogen is worked out.

    Parameters
    ----------
    efficiency : Figure
        Share of the nitrogen within reach that ends in the grain; there is no default.
    protein_percent : float
        Protein aimed at; NaN counts the nitrogen of an ordinary harvest. [%]
    layers_cm : tuple of str
        Layers in which nitrate was measured, from the top down. [cm]
    bulk_density_t_m3 : float
        Bulk density of these layers. [t/m³]
    growing_season_rain_mm : float
        Rain expected while the crop grows; NaN leaves mineralisation out. [mm]
    legume_n_kg_ha : float
        What the legume before brings, where no soil test was taken after it. [kg N/ha]
    other_n_kg_ha : float
        Manure and irrigation water. [kg N/ha]
    """

    efficiency: Figure
    protein_percent: float = math.nan
    layers_cm: tuple[str, ...] = ("0-10",)
    bulk_density_t_m3: float = math.nan
    growing_season_rain_mm: float = math.nan
    legume_n_kg_ha: float = 0.0
    other_n_kg_ha: float = 0.0


@dataclass(frozen=True, slots=True)
class OwnRulePlan:
    """A need worked out by a rule of the agronomist's own, as it was when it was chosen."""

    rule: OwnRule

    @property
    def purpose(self) -> Purpose:
        """The need of the element that the rule speaks of."""
        return next(p for p, symbol in SYMBOLS.items() if symbol == self.rule.element)


NeedPlan = LimePlan | GypsumPlan | NitrogenPlan | NutrientPlan | TracePlan | OwnRulePlan
"""Any plan that a season may have or lack; it always has one for phosphorus."""
