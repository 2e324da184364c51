"""`vrxapp operation`: the passes of a season in a farm file."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.operation_options import (
    LIME_OPTIONS,
    MACHINE_OPTIONS,
    OPERATION_OPTIONS,
    lime_settings,
    machine_of,
    operation_settings,
)
from vrxapp.cli.operation_parts import humate, seed_row
from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.operations import (
    add_operation,
    free_operation_id,
    remove_operation,
    set_lime_plan,
)
from vrxapp.edits.prices import DEFAULT_CURRENCY, set_price
from vrxapp.edits.rates import set_machine, set_product, set_rate_cap
from vrxapp.farm import Farm, season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.files.product_list import read_product_list
from vrxapp.inputs.compatibility import require_no_refusal
from vrxapp.inputs.products import product_called
from vrxapp.prescription.mix import products_of, spread_name
from vrxapp.season import operation_called
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.operation_settings import lime_plan_from, operation_from

_FILE = click.Path(path_type=Path)


@click.group()
def operation() -> None:
    """List, add, change and remove the passes of a season.

    \b
    Example:
        vrxapp operation list --farm farm.gpkg
    """


operation.add_command(humate)
operation.add_command(seed_row)


@operation.command("list")
@with_options(*FARM_OPTIONS)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the passes of a season.

    \b
    Example:
        vrxapp operation list --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    records = [
        {
            "operation": o.name,
            "purpose": str(o.purpose),
            "product": spread_name(o),
            "placed": "spread" if o.seed_row is None else "with the seed",
            "machine": o.machine.name,
            "timing": o.timing,
        }
        for o in season_called(whole, season_name).operations
    ]
    if as_json:
        print_json(records)
        return
    table = Table(*records[0], box=box.SIMPLE_HEAD)
    for record in records:
        table.add_row(*record.values())
    Console(soft_wrap=True, highlight=False).print(table)


@operation.command()
@click.argument("name")
@with_options(*FARM_OPTIONS, *OPERATION_OPTIONS, *LIME_OPTIONS)
@click.option("--products", type=_FILE, help="Your own products with prices (CSV).")
def add(name: str, farm: Path, season_name: str, **given: Any) -> None:
    """Plan a pass called NAME after those that are there, and save the farm.

    \b
    Example:
        vrxapp operation add "Top-up" --farm farm.gpkg --product triple_superphosphate
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    own = read_product_list(given["products"]) if given["products"] else ()
    kept = tuple(p for p in whole.products if p.key not in {o.key for o in own})
    whole = replace(whole, products=(*own, *kept))
    season = season_called(whole, season_name)
    made = operation_from(
        operation_settings(given, name=name),
        whole.products,
        operation_id=free_operation_id(season),
    )
    require_no_refusal(products_of(made))
    season = add_operation(season, made)
    lime = lime_plan_from(lime_settings(given))
    season = set_lime_plan(season, lime) if lime is not None else season
    machines = (*whole.machines, *(m for m in (made.machine,) if m not in whole.machines))
    write_farm(replace(with_season(whole, season), machines=machines), farm)
    click.echo(f"Added {made.name}: {spread_name(made)}, {made.machine.name}. Saved {farm}")


@operation.command()
@click.argument("name")
@with_options(*FARM_OPTIONS)
@click.option("--product", help="Another product of the farm's list.")
@click.option("--cap", type=float, help="Highest rate of product; 0 for none. [kg/ha]")
@click.option("--price", type=float, help="Price of its product delivered; 0 for none. [per t]")
@click.option("--currency", default="", help="Of the price; none: as it is, else AUD.")
def change(name: str, farm: Path, season_name: str, **given: Any) -> None:
    """Change the pass called NAME: its product, cap or price; the rest stays as it is.

    A price is the product's own, in every pass that spreads it.

    \b
    Example:
        vrxapp operation change "MAP before sowing" --farm farm.gpkg --cap 120 --price 950
    """
    before, notes = open_farm(farm)
    print_notes(notes)
    after = _changed(before, season_name, name, given)
    if after is before:
        click.echo("Nothing to change.")
        return
    write_farm(after, farm)
    made = operation_called(season_called(after, season_name), name)
    price, cap = made.product.price_per_tonne, made.rate_cap_kg_ha
    click.echo(
        f"{made.name}: {made.product.name}, "
        + ("no price, " if math.isnan(price) else f"{price:g} {made.product.currency}/t, ")
        + ("no cap" if math.isinf(cap) else f"at most {cap:g} kg/ha")
        + f". Saved {farm}"
    )


def _changed(farm: Farm, season_name: str, name: str, given: dict[str, Any]) -> Farm:
    """The farm with one pass changed; the same farm where nothing changes."""
    season = season_called(farm, season_name)
    asked = operation_called(season, name).id
    if given["product"] is not None:
        # a pass may spread what the farm's list no longer has
        known = {p.key: p for p in (*farm.products, operation_called(season, name).product)}
        chosen = product_called(given["product"], tuple(known.values()))
        season = set_product(season, asked, chosen)
    if given["cap"] is not None:
        season = set_rate_cap(season, asked, given["cap"] or math.inf)
    changed = operation_called(season, name)
    require_no_refusal(products_of(changed))
    farm = with_season(farm, season)
    if given["price"] is None:
        return farm
    product = changed.product
    currency = given["currency"] or product.currency or DEFAULT_CURRENCY
    return set_price(farm, product.key, given["price"] or math.nan, currency)


@operation.command("machine")
@click.argument("name")
@with_options(*FARM_OPTIONS, *MACHINE_OPTIONS)
def change_machine(name: str, farm: Path, season_name: str, **given: Any) -> None:
    """Change the machine of the pass called NAME; what is not given stays as it is.

    \b
    Example:
        vrxapp operation machine "MAP before sowing" --farm farm.gpkg --swath 27 --lowest 30
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    changed = operation_called(season, name)
    machine = machine_of(given, start=changed.machine)
    after = set_machine(season, changed.id, machine)
    if after is season:
        click.echo("Nothing to change.")
        return
    write_farm(with_season(whole, after), farm)
    click.echo(
        f"{changed.name}: {machine.name}, swath {machine.swath_width_m:g} m, step "
        f"{machine.rate_step_kg_ha:g} kg/ha, from {machine.lowest_rate_kg_ha:g} to "
        f"{machine.highest_rate_kg_ha:g} kg/ha. Saved {farm}"
    )


@operation.command()
@click.argument("name")
@with_options(*FARM_OPTIONS)
def remove(name: str, farm: Path, season_name: str) -> None:
    """Take the pass called NAME out of the plan, and save the farm.

    \b
    Example:
        vrxapp operation remove "Top-up" --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    gone = operation_called(season, name)
    write_farm(with_season(whole, remove_operation(season, gone.id)), farm)
    click.echo(f"Removed {gone.name}. Saved {farm}")
