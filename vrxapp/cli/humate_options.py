"""Options for the humate beside a product, its policy and its test, and for the seed row."""

import math
from typing import Any

import click

from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.errors import MissingInputError
from vrxapp.inputs.humate_acceptance import HumateTest, HumicMethod
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil
from vrxapp.workflows.humate_metals import metals_from

_POLICIES = {
    "keep": FertiliserPolicy.KEEP,
    "pay": FertiliserPolicy.PAY_FROM,
    "cut": FertiliserPolicy.SHARE_OFF,
}
_METHODS = {
    "iso-19822": HumicMethod.ISO_19822,
    "precipitate": HumicMethod.ACID_PRECIPITATE,
    "colour": HumicMethod.COLOUR,
}
_WATER = {"dissolved": True, "settled": False}

HUMATE_OPTIONS = (
    click.option("--humate", default="", help="Soluble humate that travels with the product."),
    click.option(
        "--humate-share", type=float, default=math.nan, help="Of the fertiliser's mass. [%]"
    ),
    click.option(
        "--humate-cap",
        type=float,
        default=math.nan,
        help="Most humate in the season, all passes together. [kg/ha]",
    ),
    click.option(
        "--humate-policy",
        type=click.Choice(list(_POLICIES)),
        default="keep",
        show_default=True,
        help="Leave the fertiliser as it is, take the humate's cost off it, or cut it where "
        "the humate reaches its cap.",
    ),
    click.option(
        "--humate-cut",
        type=float,
        default=math.nan,
        help="Cut of the fertiliser at the cap, for the policy cut. [%]",
    ),
    click.option(
        "--humate-water-test",
        type=click.Choice(list(_WATER)),
        help="What 10 g in a litre of your own water did; none: nobody looked.",
    ),
    click.option(
        "--humic-method",
        type=click.Choice(list(_METHODS)),
        help="How its humic acid was measured; none: not told.",
    ),
    click.option("--humic-acid", type=float, default=math.nan, help="Its humic acid. [%]"),
    click.option("--humic-acid-dry", is_flag=True, help="That is told by the dry matter."),
    click.option("--humate-insoluble", type=float, default=math.nan, help="Insoluble in it. [%]"),
    click.option("--humate-moisture", type=float, default=math.nan, help="Its moisture. [%]"),
    click.option("--humate-potassium", type=float, default=math.nan, help="Its potassium. [%]"),
    click.option(
        "--humate-metals",
        default="",
        metavar="CD 0.4,PB 12",
        help="Its metals, of the dry matter; one above its limit is told. [mg/kg]",
    ),
)

SEED_OPTIONS = (
    click.option(
        "--with-seed",
        type=click.Choice([str(s) for s in SeedSoil]),
        help="Placed with the seed on a soil of this group; none: spread over the ground.",
    ),
    click.option("--row-spacing", type=float, help="From row to row. [mm]"),
    click.option("--opener-spread", type=float, help="Width that seed and product share. [mm]"),
    click.option("--drying-seedbed", is_flag=True, help="Barely moist, or warm wind dries it."),
)


def policy_of(given: dict[str, Any]) -> FertiliserPolicy:
    """What happens to the fertiliser, out of the options."""
    return _POLICIES[given["humate_policy"]]


def humate_test_of(given: dict[str, Any]) -> HumateTest:
    """What is known of the humate, out of the options."""
    return HumateTest(
        dissolves_in_own_water=_WATER.get(given["humate_water_test"]),
        method=_METHODS.get(given["humic_method"], HumicMethod.NOT_TOLD),
        humic_acid_percent=given["humic_acid"],
        is_of_dry_matter=given["humic_acid_dry"],
        insoluble_percent=given["humate_insoluble"],
        moisture_percent=given["humate_moisture"],
        potassium_percent=given["humate_potassium"],
        metals=metals_from(given["humate_metals"]),
    )


def seed_row_of(given: dict[str, Any]) -> SeedRow | None:
    """How product and seed lie together, out of the options; None where it is spread."""
    soil, row, spread = given["with_seed"], given["row_spacing"], given["opener_spread"]
    if soil is None and row is None and spread is None:
        return None
    if None in (soil, row, spread):
        raise MissingInputError(
            "placing with the seed needs soil, row spacing and the width that the opener leaves",
            mend="Give --with-seed, --row-spacing and --opener-spread, or none of them",
        )
    return SeedRow(SeedSoil(soil), spread, row, given["drying_seedbed"])
