"""One paddock in one season, and one pass over it: the values that everything reads.

They are frozen; an edit makes a new one and leaves the older whole, which is what
undo is. What can be worked out (needs, rates, totals) is not stored here.
"""

import math
from dataclasses import dataclass, field

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.agronomy.organic_dressing import OrganicDressing
from vrxapp.agronomy.paddock_history import PaddockHistory
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.ground.ground_points import GroundPoint
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.sample_plan import SamplePlan
from vrxapp.ground.zones import Zones
from vrxapp.inputs.humate_acceptance import HumateTest
from vrxapp.inputs.products import Product
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.need_plans import (
    CropPlan,
    GypsumPlan,
    LimePlan,
    NitrogenPlan,
    NutrientPlan,
    OwnRulePlan,
    PhosphorusPlan,
    Purpose,
    TracePlan,
)
from vrxapp.soil.by_place import RowMatch
from vrxapp.soil.results_table import ResultsTable
from vrxapp.spreading.machine import Machine
from vrxapp.trials.strips import CheckStrip


@dataclass(frozen=True, slots=True)
class HumateShare:
    """Soluble humate that travels with the fertiliser of an operation.

    Parameters
    ----------
    product : Product
        The humate.
    share_percent : float
        Its share of the **fertiliser's** mass, above 0: 5 % makes 105 kg of 100. [%]
    cap_kg_ha : float
        Most humate that any place gets in the season, from all operations together. [kg/ha]
    policy : FertiliserPolicy
        What happens to the fertiliser; nothing is taken off it unless somebody chose to.
    cut_fraction : float
        Share of the fertiliser that comes off where the humate reaches its cap; NaN for the
        policies that take none. [-]
    test : HumateTest
        What is known of the humate as delivered; nothing unless somebody told it.
    """

    product: Product
    share_percent: float
    cap_kg_ha: float
    policy: FertiliserPolicy = FertiliserPolicy.KEEP
    cut_fraction: float = math.nan
    test: HumateTest = field(default_factory=HumateTest)

    def __post_init__(self) -> None:
        """Refuse a share, a cap or a cut that cannot be."""
        if not (0.0 < self.share_percent <= 100.0 and self.cap_kg_ha > 0.0):
            raise MissingInputError(
                f"humate at {self.share_percent:g} % of the fertiliser and at most "
                f"{self.cap_kg_ha:g} kg/ha is not possible",
                mend="Give a share above 0 up to 100 %, and a cap above zero",
            )
        if self.policy is FertiliserPolicy.SHARE_OFF and not 0.0 < self.cut_fraction < 1.0:
            raise MissingInputError(
                "the share of the fertiliser that comes off is not set; it has no default",
                mend="Give it above 0 and below 100 %; common is a third, where the humate "
                "reaches its cap (on the command line: --humate-cut)",
            )


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Operation:
    """One pass over the paddock with its own product and machine.

    Parameters
    ----------
    id, name : str
        Lasting name for the program, and what people call the pass.
    timing : str
        When it is planned, in the user's words.
    product : Product
        What is spread, as it was when it was chosen.
    machine : Machine
        The spreader as set up for this product.
    rate_cap_kg_ha : float
        Highest rate of product that the agronomist allows; infinite for none. [kg/ha]
    revision : int
        Counts the plans that were handed over, from 1.
    purpose : Purpose
        Which need the product covers.
    humate : HumateShare or None
        Soluble humate that travels with the product.
    seed_row : SeedRow or None
        How product and seed lie together; None where it is spread over the ground.
    """

    id: str
    name: str
    timing: str
    product: Product
    machine: Machine
    rate_cap_kg_ha: float = math.inf
    revision: int = 1
    purpose: Purpose = Purpose.PHOSPHORUS
    humate: HumateShare | None = None
    seed_row: SeedRow | None = None

    def __post_init__(self) -> None:
        """Refuse a cap that is no rate."""
        if not self.rate_cap_kg_ha > 0:
            raise MissingInputError(
                f"a cap of {self.rate_cap_kg_ha:g} kg/ha allows nothing to be spread",
                mend="Give a cap above zero, or none",
            )


@dataclass(frozen=True, slots=True)
class SeasonBudget:
    """Money for all passes of a season, and who gets it first.

    Parameters
    ----------
    money : float
        Money there is for products, zero or more. [currency]
    currency : str
        Its currency, for instance ``"AUD"``; empty where prices tell none.
    order : tuple of str
        Ids of operations, the most urgent first; those not named follow in the order of
        the season.
    """

    money: float
    currency: str = ""
    order: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse money that cannot be and an order that names a pass twice."""
        if not 0.0 <= self.money < math.inf:
            raise MissingInputError(
                f"a budget of {self.money:g} is not possible", mend="Give money of zero or more"
            )
        if len(set(self.order)) != len(self.order):
            raise MissingInputError(
                "the order of the budget names an operation twice",
                mend="Name each operation once, the most urgent first",
            )


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Season:
    """One paddock in one season.

    Parameters
    ----------
    id, name : str
        Lasting name for the program, and what people call the season.
    paddock : Paddock
        Boundary and exclusions.
    zones : Zones
        Parts that are treated alike.
    tests : ResultsTable or None
        The laboratory's results.
    row_matches : tuple of RowMatch
        Samples joined to zones by hand.
    crop : CropPlan
        What is to be grown.
    phosphorus : PhosphorusPlan
        How phosphorus needs are worked out.
    strips : tuple of CheckStrip
        Ground left untreated by every operation.
    operations : tuple of Operation
        Passes in the order in which they are made.
    lime : LimePlan or None
        How lime needs are worked out; None until the agronomist has chosen.
    gypsum : GypsumPlan or None
        The same for gypsum.
    nitrogen : NitrogenPlan or None
        The same for nitrogen.
    nutrients : tuple of NutrientPlan
        The same for potassium, sulfur, magnesium and calcium, one each.
    traces : tuple of TracePlan
        The same for trace elements, one each.
    layers : tuple of LinkedRaster
        Rasters that the paddock is looked at with.
    budget : SeasonBudget or None
        Money that the passes are kept to; None for no limit.
    dressings : tuple of OrganicDressing
        Compost, manure and litter spread this year or the year before, whole paddock.
    history : PaddockHistory or None
        What earlier years left; None where nothing was told.
    own_rules : tuple of OwnRulePlan
        Rules of the agronomist's own, at most one a need; each goes before any other way.
    ground_points : tuple of GroundPoint
        Gate, dump site, powerline and others that whoever works there must find or avoid.
    sample_plan : SamplePlan or None
        Where samples are to be taken, and into which bags; None where nothing is planned.
    guidance : tuple of GuidanceLine
        Lines that machines steer along.
    """

    id: str
    name: str
    paddock: Paddock
    zones: Zones
    tests: ResultsTable | None
    row_matches: tuple[RowMatch, ...]
    crop: CropPlan
    phosphorus: PhosphorusPlan
    strips: tuple[CheckStrip, ...]
    operations: tuple[Operation, ...]
    lime: LimePlan | None = None
    gypsum: GypsumPlan | None = None
    nitrogen: NitrogenPlan | None = None
    nutrients: tuple[NutrientPlan, ...] = ()
    traces: tuple[TracePlan, ...] = ()
    layers: tuple[LinkedRaster, ...] = ()
    budget: SeasonBudget | None = None
    dressings: tuple[OrganicDressing, ...] = ()
    history: PaddockHistory | None = None
    own_rules: tuple[OwnRulePlan, ...] = ()
    ground_points: tuple[GroundPoint, ...] = ()
    sample_plan: SamplePlan | None = None
    guidance: tuple[GuidanceLine, ...] = ()


def operation_called(season: Season, name: str) -> Operation:
    """The operation with this id or name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for operation in season.operations:
        if name.casefold() in (operation.id.casefold(), operation.name.casefold()):
            return operation
    raise UnknownChoiceError(
        f"no operation is called {name!r}",
        mend=f"Choose one of: {', '.join(o.name for o in season.operations) or 'none yet'}",
    )
