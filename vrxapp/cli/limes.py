"""`vrxapp limes`: the limes at hand by what works in them, and one set from its sieve."""

import math
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import as_json, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.prices import set_effective_nv
from vrxapp.errors import MissingInputError
from vrxapp.farm import Farm
from vrxapp.files.farm_file import write_farm
from vrxapp.inputs.products import product_called
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.lime_products import (
    PRICE_CAUTION,
    SieveAnalysis,
    effective_nv_of,
    lime_prices,
)

_OPTIONS = (
    click.option("--farm", type=click.Path(path_type=Path), required=True, help="The farm file."),
    click.option("--product", default="", help="The lime that the sieve analysis is of."),
    click.option(
        "--sieve",
        metavar="SHARE:NV,SHARE:NV,SHARE:NV",
        help="Share by mass and neutralising value up to 0.5 mm, up to 1 mm, and coarser. [%]",
    ),
    click.option(
        "--mesh",
        metavar="SHARE,SHARE,SHARE,SHARE",
        help="Or the shares through 60 mesh, 20 to 60, 8 to 20, and coarser, with --nv. [%]",
    ),
    click.option("--nv", type=float, default=math.nan, help="For --mesh: of the whole lime. [%]"),
    click.option("--moisture", type=float, default=0.0, help="Water as delivered. [%]"),
    click.option("--save", is_flag=True, help="Keep the value in the farm file."),
)


@click.command()
@with_options(*_OPTIONS)
@as_json
def limes(farm: Path, product: str, save: bool, as_json: bool, **given: Any) -> None:
    """List the limes at hand by what a tonne that works costs; or work one out from its sieve.

    \b
    Examples:
        vrxapp limes --farm farm.gpkg
        vrxapp limes --farm farm.gpkg --product "Pit lime" --sieve 91:92,8:72,1:62 --save
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    if product:
        whole = _sieved(whole, product, given)
    elif given["sieve"] or given["mesh"]:
        raise MissingInputError("the sieve is of no lime", mend="Give --product")
    records = [
        {
            "product": lime.product.name,
            "effective_nv_percent": lime.product.effective_nv_percent,
            "price_per_tonne": lime.product.price_per_tonne,
            "cost_per_pure_tonne": lime.cost_per_pure_t,
            "currency": lime.product.currency,
        }
        for lime in lime_prices(whole.products)
    ]
    if as_json:
        print_json(records)
    else:
        _print(records)
    if save:
        write_farm(whole, farm)
        click.echo(f"Saved {farm}", err=True)


def _sieved(farm: Farm, name: str, given: dict[str, Any]) -> Farm:
    """The farm with the effective value of one lime worked out from its sieve."""
    key = product_called(name, farm.products).key
    if bool(given["sieve"]) == bool(given["mesh"]):
        raise MissingInputError(
            "a lime's value is worked out from one sieve analysis", mend="Give --sieve or --mesh"
        )
    moisture = given["moisture"]
    if given["mesh"]:
        shares = tuple(_numbers(given["mesh"]))
        sieve = SieveAnalysis(shares, (given["nv"],), is_mesh=True, moisture_percent=moisture)
    else:
        pairs = [_numbers(pair, ":") for pair in given["sieve"].split(",")]
        if any(len(pair) != 2 for pair in pairs):
            raise _unreadable(given["sieve"])
        shares, values = zip(*pairs, strict=True)
        sieve = SieveAnalysis(shares, values, moisture_percent=moisture)
    return set_effective_nv(farm, key, effective_nv_of(sieve))


def _numbers(text: str, between: str = ",") -> list[float]:
    """Numbers out of words."""
    try:
        return [float(number) for number in text.split(between)]
    except ValueError:
        raise _unreadable(text) from None


def _unreadable(text: str) -> MissingInputError:
    """The error for a sieve that cannot be read."""
    return MissingInputError(
        f"cannot read the sieve {text!r}",
        mend="Write --sieve 91:92,8:72,1:62 or --mesh 78.8,10,2.4,7.8 --nv 95",
    )


def _print(records: list[dict[str, Any]]) -> None:
    """The limes for people."""
    headings = ("Effective NV, %", "Price per t", "A tonne that works")
    table = Table("Lime", *headings, box=box.SIMPLE_HEAD)
    for record in records:
        money = record["currency"]
        prices = (record["price_per_tonne"], record["cost_per_pure_tonne"])
        told = ("-" if math.isnan(p) else f"{p:,.2f} {money}" for p in prices)
        table.add_row(record["product"], f"{record['effective_nv_percent']:.1f}", *told)
    console = Console(soft_wrap=True, highlight=False)
    console.print(table)
    console.print(f"Note: {PRICE_CAUTION}.", markup=False)
