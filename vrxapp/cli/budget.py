"""`vrxapp budget`: what a season's money reaches, and what falls short where."""

import math
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.bar import Bar
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.budget import set_budget
from vrxapp.errors import MissingInputError
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.prescription.budget import BudgetPlan
from vrxapp.prescription.season_shortfall import Shortfall, shortfalls
from vrxapp.season import Season, SeasonBudget
from vrxapp.workflows.budget_settings import BudgetSettings, budget_from, curves_from
from vrxapp.workflows.curve_budget import NOTES, CurveBudget, CurveRow, curve_budget, curve_rows
from vrxapp.workflows.farm_files import open_farm

_BAR_WIDTH = 24
_OPTIONS = (
    *FARM_OPTIONS,
    click.option("--money", type=float, default=math.nan, help="Money for products. [currency]"),
    click.option("--currency", default="", help="Its currency; else that of the prices."),
    click.option(
        "--priority",
        metavar="OP1,OP2",
        help="Operations in the order in which they get money; others follow as they are made.",
    ),
    click.option(
        "--curve",
        "curves",
        multiple=True,
        metavar="OPERATION[/ZONE]=CURVE",
        help="The response curve of an operation, or of one zone, from your own trials; may be "
        "given often. CURVE is mitscherlich:PLATEAU,RESPONSE,C for PLATEAU - RESPONSE × "
        "exp(-C × x), linear-plateau:UNFED,SLOPE,KNOT for UNFED + SLOPE × the lesser of x and "
        "KNOT, or quadratic:UNFED,SLOPE,BEND for UNFED + SLOPE × x + BEND × x²; without a kind "
        "it is the first. Yields in t/ha; x is what is given in the unit of the need (kg/ha of "
        "the element; t/ha of lime and gypsum).",
    ),
    click.option(
        "--crop-price",
        type=float,
        default=math.nan,
        help="For --curve; else as the season has it. [currency/t]",
    ),
    click.option(
        "--extra-return",
        type=float,
        default=0.0,
        help="For --curve: return asked for beyond each unit of money; 1 doubles it.",
    ),
    click.option("--save", is_flag=True, help="Keep the season to this budget in the farm file."),
    click.option("--off", is_flag=True, help="Take the budget out of the farm file."),
)


@click.command()
@with_options(*_OPTIONS)
@as_json
def budget(farm: Path, season_name: str, save: bool, off: bool, **given: Any) -> None:
    """Show how far the money of a season reaches, by your own order of priority.

    The first operation gets all it needs, then the next; the one at which the money runs out
    is cut everywhere by the same share, and rates below the machine's lowest become none. With
    response curves the money goes where the next of it earns most instead; such rates are shown
    but not saved.

    \b
    Examples:
        vrxapp budget --farm farm.gpkg --money 5000 --priority "MAP before sowing,Lime" --save
        vrxapp budget --farm farm.gpkg --money 5000 --crop-price 330 \\
            --curve "MAP before sowing=4.2,0.9,0.12" \\
            --curve "MAP before sowing/Creek flat=linear-plateau:4.4,0.02,12"
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    if off:
        write_farm(with_season(whole, set_budget(season, None)), farm)
        click.echo(f"Took the budget out. Saved {farm}", err=True)
        return
    told = BudgetSettings(given["money"], given["currency"], given["priority"])
    money = budget_from(told, season)
    if given["curves"]:
        _by_curves(season, money, save=save, given=given)
        return
    kept = set_budget(season, money)
    _print_shortfalls(kept, money, as_json=given["as_json"])
    if save:
        write_farm(with_season(whole, kept), farm)
        click.echo(f"Saved {farm}", err=True)


def _by_curves(season: Season, money: SeasonBudget, *, save: bool, given: dict[str, Any]) -> None:
    """Put the money where it earns most, and show the return against the budget."""
    crop_price = season.crop.price_t if math.isnan(given["crop_price"]) else given["crop_price"]
    if math.isnan(crop_price):
        raise MissingInputError(
            "a curve tells yield, and its worth is not known", mend="Give --crop-price"
        )
    if save:
        raise MissingInputError(
            "rates by response curves are shown but not saved",
            mend="Leave --save out, or give --priority without --curve",
        )
    found = curve_budget(
        season,
        curves_from(given["curves"], season),
        money=money.money,
        crop_price_t=crop_price,
        extra_return=given["extra_return"],
    )
    record = _curve_record(season, money, found)
    if given["as_json"]:
        print_json(record)
    else:
        _print_curves(record)


def _returns(plan: BudgetPlan) -> dict[str, float]:
    """Money spent and earned by one plan."""
    return {
        "spent": plan.spent,
        "crop_value": plan.crop_value,
        "net_return": plan.net_return,
        "last_dollar_earned": plan.last_dollar_earned,
    }


def _curve_record(season: Season, money: SeasonBudget, by: CurveBudget) -> dict[str, Any]:
    """The best rates and the return against the budget, as a record."""
    rows = curve_rows(by, season.zones.names)
    return {
        "budget": money.money,
        "currency": money.currency,
        **_returns(by.best),
        "still_to_win": by.best.still_to_win,
        "operations": [
            {
                "operation": operation.name,
                "zones": [_zone_record(row) for row in rows if row.operation == operation.name],
            }
            for operation in by.found.operations
        ],
        "left_out": [{"operation": name, "reason": lack} for name, lack in by.found.left_out],
        "return_against_budget": [
            {"budget": float(spend), **_returns(plan)}
            for spend, plan in zip(by.budgets, by.plans, strict=True)
        ],
        "notes": list(NOTES),
    }


def _zone_record(row: CurveRow) -> dict[str, Any]:
    """One zone of one operation as a record."""
    return {key: value for key, value in asdict(row).items() if key != "operation"}


def _print_curves(record: dict[str, Any]) -> None:
    """The best rates and the return against the budget, for people."""
    console = Console(soft_wrap=True, highlight=False)
    currency = record["currency"]
    for operation in record["operations"]:
        console.print(_zone_table(operation, money=f"in {currency}/ha" if currency else "per ha"))
    if any(zone["best_rate_is_held"] for o in record["operations"] for zone in o["zones"]):
        console.print("* held to the highest rate; the curve alone asks for more", markup=False)
    console.print(
        f"Spent {record['spent']:,.0f} of {record['budget']:,.0f} {currency}; crop gained "
        f"{record['crop_value']:,.0f}; net {record['net_return']:,.0f}. The last dollar earned "
        f"{record['last_dollar_earned']:.2f}",
        markup=False,
    )
    if record["still_to_win"] > 0:
        console.print(f"At most {record['still_to_win']:,.0f} more could be won.", markup=False)
    console.print(_return_plot(record["return_against_budget"]))
    for left in record["left_out"]:
        console.print(f"{left['operation']} gets nothing here: {left['reason']}", markup=False)
    for note in record["notes"]:
        console.print(f"Note: {note}.", markup=False)


def _zone_table(operation: dict[str, Any], *, money: str) -> Table:
    """Rates and margins of one operation, with the budget and by the curve alone."""
    title = f"{operation['operation']} (rates in kg/ha, margins {money})"
    table = _table(title, "Zone", "rate", "below need", "margin", "best rate", "its margin")
    for zone in operation["zones"]:
        held = "*" if zone["best_rate_is_held"] else ""
        table.add_row(
            zone["zone"],
            _number(zone["rate_kg_ha"]),
            _number(zone["below_need_kg_ha"]),
            _whole(zone["margin_per_ha"]),
            _number(zone["best_rate_kg_ha"]) + held,
            _whole(zone["best_margin_per_ha"]),
        )
    return table


def _return_plot(lines: list[dict[str, float]]) -> Table:
    """Return against budget in numbers, and the net return of each budget as a bar."""
    table = _table("Return against budget", "budget", "spent", "crop", "last dollar", "net")
    table.add_column("net return")
    most = max(line["net_return"] for line in lines)
    for line in lines:
        money = [line["budget"], line["spent"], line["crop_value"]]
        net = line["net_return"]
        bar = Bar(max(most, 1.0), 0.0, max(net, 0.0), width=_BAR_WIDTH)
        last = f"{line['last_dollar_earned']:.2f}" if line["spent"] > 0 else "-"
        table.add_row(*(f"{value:,.0f}" for value in money), last, f"{net:,.0f}", bar)
    return table


def _print_shortfalls(season: Season, money: SeasonBudget, *, as_json: bool) -> None:
    """How far the money reaches by priority."""
    found = shortfalls(season)
    counted = [short for short in found if not short.lack]
    record = {
        "budget": money.money,
        "currency": money.currency,
        "full_cost": sum(short.full_cost for short in counted),
        "cost": sum(short.cost for short in counted),
        "operations": [_record(short, season.zones.names) for short in found],
    }
    if as_json:
        print_json(record)
        return
    console = Console(soft_wrap=True, highlight=False)
    for short in counted:
        title = f"{short.operation.name}: {short.cost:,.0f} of {short.full_cost:,.0f}"
        need = f"short {short.need_unit}"
        table = _table(title, "Zone", "full kg/ha", "rate kg/ha", need)
        for row, name in enumerate(season.zones.names):
            table.add_row(
                name, *(_number(c[row]) for c in (short.full_kg_ha, short.rates_kg_ha, short.short))
            )
        console.print(table)
    console.print(
        f"Budget {money.money:,.0f} {money.currency}: in full "
        f"{record['full_cost']:,.0f}, with the budget {record['cost']:,.0f}",
        markup=False,
    )
    for short in found:
        if short.lack:
            console.print(f"Not counted: {short.operation.name}, {short.lack}", markup=False)


def _record(short: Shortfall, zones: tuple[str, ...]) -> dict[str, Any]:
    """One operation as a record."""
    return {
        "operation": short.operation.name,
        "share": short.share,
        "not_counted": short.lack,
        "full_cost": short.full_cost,
        "cost": short.cost,
        "need_unit": short.need_unit,
        "zones": [
            {
                "zone": name,
                "full_kg_ha": float(short.full_kg_ha[row]),
                "rate_kg_ha": float(short.rates_kg_ha[row]),
                "short": float(short.short[row]),
            }
            for row, name in enumerate(zones)
        ],
    }


def _table(title: str, first: str, *others: str) -> Table:
    """A table whose numbers stand to the right."""
    table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left")
    table.add_column(first)
    for heading in others:
        table.add_column(heading, justify="right")
    return table


def _number(value: float) -> str:
    """A number for a table; a dash where there is none."""
    return "-" if math.isnan(value) else f"{value:,.2f}".rstrip("0").rstrip(".")


def _whole(value: float) -> str:
    """Money for a table; a dash where there is none."""
    return "-" if math.isnan(value) else f"{value:,.0f}"
