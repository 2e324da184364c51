"""From a few settings to an operation, and to how lime is worked out."""

import math
from dataclasses import dataclass, field

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.errors import MissingInputError
from vrxapp.inputs.humate_acceptance import HumateTest
from vrxapp.inputs.products import Product, product_called
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.need_plans import LimePlan, Purpose
from vrxapp.season import HumateShare, Operation
from vrxapp.spreading.machine import Machine
from vrxapp.units import PERCENT

STANDARD_SPREADER = Machine("Spreader", 24.0, 1.0, 0.0, 1000.0)
"""A spreader to start from, until the user gives the real one."""
LIME_SPREADER = Machine("Lime spreader", 12.0, 100.0, 0.0, 10_000.0)
"""A lime spreader to start from, until the user gives the real one."""


def starting_machine(purpose: Purpose) -> Machine:
    """The machine to start from: amendments go out by the tonne."""
    return LIME_SPREADER if purpose in (Purpose.LIME, Purpose.GYPSUM) else STANDARD_SPREADER


@dataclass(frozen=True, slots=True)
class OperationSettings:
    """What the user decides about one pass; everything has a plain start.

    Parameters
    ----------
    name, timing, product : str
        What the pass is called (empty: the product's name), when it is planned, what is spread.
    purpose : Purpose
        Which need it covers.
    machine : Machine
        The spreader.
    rate_cap_kg_ha : float
        Highest rate of product. [kg/ha]
    humate : str
        Soluble humate that travels with the product; empty for none.
    humate_share_percent, humate_cap_kg_ha : float
        Its share of the fertiliser's mass, and the most that any place gets. [%, kg/ha]
    humate_policy : FertiliserPolicy
        What happens to the fertiliser.
    humate_cut_percent : float
        Share of the fertiliser that comes off where the humate reaches its cap. [%]
    humate_test : HumateTest
        What is known of the humate as delivered.
    seed_row : SeedRow or None
        How product and seed lie together; None where it is spread.
    """

    name: str = ""
    timing: str = "not said"
    product: str = "map"
    purpose: Purpose = Purpose.PHOSPHORUS
    machine: Machine = STANDARD_SPREADER
    rate_cap_kg_ha: float = math.inf
    humate: str = ""
    humate_share_percent: float = math.nan
    humate_cap_kg_ha: float = math.nan
    humate_policy: FertiliserPolicy = FertiliserPolicy.KEEP
    humate_cut_percent: float = math.nan
    humate_test: HumateTest = field(default_factory=HumateTest)
    seed_row: SeedRow | None = None


def operation_from(
    settings: OperationSettings, products: tuple[Product, ...], *, operation_id: str
) -> Operation:
    """An operation out of its settings.

    Raises
    ------
    UnknownChoiceError
        If a product is not in the list.
    MissingInputError
        If humate is to travel with it, but its share, its cap or the cut it asks for is missing.
    """
    product = product_called(settings.product, products)
    return Operation(
        id=operation_id,
        name=settings.name or product.name,
        timing=settings.timing,
        product=product,
        machine=settings.machine,
        rate_cap_kg_ha=settings.rate_cap_kg_ha,
        purpose=settings.purpose,
        humate=humate_from(settings, products),
        seed_row=settings.seed_row,
    )


def humate_from(settings: OperationSettings, products: tuple[Product, ...]) -> HumateShare | None:
    """The humate that travels with a product out of the settings of its pass; None for none.

    Raises
    ------
    UnknownChoiceError
        If the humate is not in the list.
    MissingInputError
        If its share, its cap or the cut it asks for is missing.
    """
    if not settings.humate:
        return None
    share, cap = settings.humate_share_percent, settings.humate_cap_kg_ha
    if math.isnan(share) or math.isnan(cap):
        raise MissingInputError(
            "humate needs its share of the fertiliser and a cap; neither has a default",
            mend="Give --humate-share in percent of the fertiliser and --humate-cap in kg/ha",
        )
    return HumateShare(
        product_called(settings.humate, products),
        share,
        cap,
        settings.humate_policy,
        settings.humate_cut_percent / PERCENT,
        settings.humate_test,
    )


@dataclass(frozen=True, slots=True)
class LimeSettings:
    """How lime is to be worked out; without a method it is not.

    Parameters
    ----------
    method : LimeMethod or None
        The method.
    target_ph_cacl2, target_ph_water : float
        Targets, each on its own scale. [pH]
    buffer_function : BufferFunction or None
        Which estimate of the buffer capacity.
    tolerated_aluminium_percent : float
        Aluminium that the crop bears. [% of effective CEC]
    is_sensitive_crop : bool
        Whether the crop is sensitive to acidity.
    bulk_density_t_m3 : float
        Bulk density of the limed layer. [t/m³]
    texture : str
        Texture of the paddock.
    upkeep : LimeUpkeep or None
        Maintenance lime on top; None for none.
    """

    method: LimeMethod | None = None
    target_ph_cacl2: float = math.nan
    target_ph_water: float = math.nan
    buffer_function: BufferFunction | None = None
    tolerated_aluminium_percent: float = math.nan
    is_sensitive_crop: bool = False
    bulk_density_t_m3: float = math.nan
    texture: str = ""
    upkeep: LimeUpkeep | None = None


def lime_plan_from(settings: LimeSettings) -> LimePlan | None:
    """How lime is worked out, or None without a method.

    Raises
    ------
    MissingInputError
        If maintenance is asked for, but no method that it goes beside.
    """
    if settings.method is None:
        if settings.upkeep is not None:
            raise MissingInputError(
                "maintenance lime goes beside a method, and none was chosen",
                mend="Choose how lime is worked out (on the command line: --lime-method)",
            )
        return None
    choices = LimeChoices(
        target_ph_cacl2=settings.target_ph_cacl2,
        target_ph_water=settings.target_ph_water,
        buffer_function=settings.buffer_function,
        tolerated_aluminium_percent=settings.tolerated_aluminium_percent,
        is_sensitive_crop=settings.is_sensitive_crop,
    )
    return LimePlan(
        settings.method, choices, settings.bulk_density_t_m3, settings.texture, settings.upkeep
    )
