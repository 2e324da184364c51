"""`vrxapp plan`: how a season's needs are worked out, one verb a need."""

import math
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.cation_balance import FreeSalt, cation_targets
from vrxapp.agronomy.gypsum_values import Dispersion, GypsumMethod
from vrxapp.agronomy.sufficiency_values import NeedChoices, NeedPolicy
from vrxapp.agronomy.trace_rates import Placement
from vrxapp.cli.operation_options import LIME_OPTIONS, lime_settings
from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.cli.plan_crop import crop, phosphorus
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.need_plans import drop_need_plan, need_plan_of, set_need_plan
from vrxapp.errors import MissingInputError
from vrxapp.farm import rule_called, season_called, with_own_rules, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.need_plans import NUTRIENTS, TRACES, NeedPlan, OwnRulePlan, Purpose
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.need_settings import (
    EFFICIENCIES,
    GypsumSettings,
    NitrogenSettings,
    NutrientSettings,
    TraceSettings,
    gypsum_plan_from,
    nitrogen_plan_from,
    nutrient_plan_from,
    trace_plan_from,
)
from vrxapp.workflows.need_words import plan_words
from vrxapp.workflows.operation_settings import lime_plan_from
from vrxapp.workflows.own_rules import open_own_rules

_OWN = click.option("--reason", default="", help="Where a value of your own comes from.")
_DENSITY = click.option("--bulk-density", type=float, default=math.nan, help="Of the layer. [t/m³]")
_TEXTURE = click.option("--texture", default="", help="Texture of the paddock.")


@click.group()
def plan() -> None:
    """Say how needs are worked out in a season; nothing unverified is ever the default.

    \b
    Example:
        vrxapp plan nutrient sulfur --farm farm.gpkg --bulk-density 1.4
    """


@plan.command("list")
@with_options(*FARM_OPTIONS)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List how each need of a season is worked out.

    \b
    Example:
        vrxapp plan list --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    records = [
        {"need": str(purpose), "worked out by": plan_words(season, purpose)} for purpose in Purpose
    ]
    if as_json:
        print_json(records)
        return
    table = Table("Need", "Worked out by", box=box.SIMPLE_HEAD)
    for record in records:
        table.add_row(*record.values())
    Console(soft_wrap=True, highlight=False).print(table)


@plan.command()
@click.argument("need", type=click.Choice([str(p) for p in Purpose]))
@with_options(*FARM_OPTIONS)
def drop(need: str, farm: Path, season_name: str) -> None:
    """Work NEED out no longer; phosphorus goes back to its standard way.

    \b
    Example:
        vrxapp plan drop sulfur --farm farm.gpkg
    """
    _change(farm, season_name, partial(drop_need_plan, purpose=Purpose(need)), Purpose(need))


plan.add_command(crop)
plan.add_command(phosphorus)


@plan.command()
@with_options(*FARM_OPTIONS, *LIME_OPTIONS)
def lime(farm: Path, season_name: str, **given: Any) -> None:
    """Work lime out; there is no default method.

    \b
    Example:
        vrxapp plan lime --farm farm.gpkg --lime-method tolerated-aluminium \\
            --tolerated-aluminium 10 --upkeep-harvest wheat_grain --upkeep-years 5
    """
    made = lime_plan_from(lime_settings(given))
    if made is None:
        raise MissingInputError("lime has no default method", mend="Give --lime-method")
    _set(farm, season_name, lambda _: made, Purpose.LIME)


@plan.command()
@with_options(*FARM_OPTIONS, _DENSITY, _TEXTURE)
@click.option("--method", type=click.Choice([str(m) for m in GypsumMethod]), required=True)
@click.option("--target-esp", type=float, required=True, help="ESP to be reached. [%]")
@click.option(
    "--dispersion",
    type=click.Choice([str(d) for d in Dispersion if d]),
    help="What aggregates did in rainwater; without it nothing can be told.",
)
@click.option("--exchange-factor", type=float, default=math.nan, help="1.1 to 1.3, for oster.")
@click.option("--field-factor", type=float, default=1.0, show_default=True)
@click.option("--years", type=float, default=1.0, show_default=True, help="Staged over.")
def gypsum(farm: Path, season_name: str, **given: Any) -> None:
    """Work gypsum out.

    \b
    Example:
        vrxapp plan gypsum --farm farm.gpkg --method exchange --target-esp 5 \\
            --dispersion disperses --bulk-density 1.3
    """
    settings = GypsumSettings(
        method=GypsumMethod(given["method"]),
        target_esp_percent=given["target_esp"],
        dispersion=Dispersion(given["dispersion"] or ""),
        exchange_factor=given["exchange_factor"],
        field_factor=given["field_factor"],
        years=given["years"],
        bulk_density_t_m3=given["bulk_density"],
        texture=given["texture"],
    )
    _set(farm, season_name, lambda _: gypsum_plan_from(settings), Purpose.GYPSUM)


@plan.command()
@with_options(*FARM_OPTIONS, _DENSITY, _OWN)
@click.option(
    "--efficiency",
    type=click.Choice(EFFICIENCIES),
    help="Share of the nitrogen within reach that ends in the grain; there is no default.",
)
@click.option("--own-efficiency", type=float, default=math.nan, help="Your own share, 0 to 1.")
@click.option("--protein", type=float, default=math.nan, help="Protein aimed at. [%]")
@click.option("--layer", "layers", multiple=True, help="A layer with nitrate, such as 0-10. [cm]")
@click.option("--rain", type=float, default=math.nan, help="Rain while the crop grows. [mm]")
@click.option("--legume", type=float, default=0.0, help="From the legume before. [kg N/ha]")
@click.option("--other", type=float, default=0.0, help="From manure and water. [kg N/ha]")
def nitrogen(farm: Path, season_name: str, **given: Any) -> None:
    """Work nitrogen out.

    \b
    Example:
        vrxapp plan nitrogen --farm farm.gpkg --efficiency efficiency_rule --protein 11.5 \\
            --rain 250 --bulk-density 1.4
    """
    settings = NitrogenSettings(
        efficiency=given["efficiency"] or "",
        own_efficiency=given["own_efficiency"],
        reason=given["reason"],
        protein_percent=given["protein"],
        layers_cm=tuple(given["layers"]),
        bulk_density_t_m3=given["bulk_density"],
        growing_season_rain_mm=given["rain"],
        legume_n_kg_ha=given["legume"],
        other_n_kg_ha=given["other"],
    )
    _set(farm, season_name, lambda s: nitrogen_plan_from(settings, s.tests), Purpose.NITROGEN)


@plan.command()
@click.argument("need", type=click.Choice([str(p) for p in NUTRIENTS]))
@with_options(*FARM_OPTIONS, _DENSITY, _TEXTURE, _OWN)
@click.option("--range", "range_key", default="", help="Key of a published critical range.")
@click.option("--test", default="", help="Soil test of a range of your own, such as colwell_k.")
@click.option("--depth", "depth_cm", default="0-10", show_default=True, help="Its layer. [cm]")
@click.option("--own-low", type=float, default=math.nan, help="Low end of your own range.")
@click.option("--own-high", type=float, default=math.nan, help="High end; none: the same.")
@click.option(
    "--policy",
    type=click.Choice([str(p) for p in NeedPolicy]),
    default=str(NeedPolicy.SUFFICIENCY),
    show_default=True,
)
@click.option("--years", type=float, default=1.0, show_default=True, help="Build-up shared over.")
@click.option("--most", type=float, default=math.nan, help="Most in this season. [kg/ha]")
@click.option("--removal", type=float, default=math.nan, help="Your own removal. [kg/t]")
@click.option(
    "--scheme",
    type=click.Choice(sorted({t.scheme for t in cation_targets()})),
    help="Whose shares of the exchange, for cation-balance.",
)
@click.option(
    "--free-salt",
    type=click.Choice([str(f) for f in FreeSalt if f]),
    help="Free lime, gypsum or salt in the samples, for cation-balance.",
)
def nutrient(need: str, farm: Path, season_name: str, **given: Any) -> None:
    """Work NEED out: potassium, sulfur, magnesium or calcium.

    \b
    Example:
        vrxapp plan nutrient potassium --farm farm.gpkg --test colwell_k --own-low 45 \\
            --reason "district trials" --bulk-density 1.4
    """
    settings = NutrientSettings(
        Purpose(need),
        range_key=given["range_key"],
        test=given["test"],
        depth_cm=given["depth_cm"],
        own_low=given["own_low"],
        own_high=given["own_high"],
        reason=given["reason"],
        choices=NeedChoices(
            NeedPolicy(given["policy"]), build_up_years=given["years"], most_kg_ha=given["most"]
        ),
        bulk_density_t_m3=given["bulk_density"],
        texture=given["texture"],
        removal_kg_t=given["removal"],
        scheme=given["scheme"] or "",
        free_salt=FreeSalt(given["free_salt"] or ""),
    )

    def made(season: Season) -> NeedPlan:
        return nutrient_plan_from(settings, season.crop.crop, season.tests)

    _set(farm, season_name, made, Purpose(need))


@plan.command()
@click.argument("need", type=click.Choice([str(p) for p in TRACES]))
@with_options(*FARM_OPTIONS, _OWN)
@click.option("--test", default="", help="Soil test; none: one of the sheet with classes.")
@click.option("--rate", "rate_key", default="", help="Key of a rate that was tried.")
@click.option("--own-rate", type=float, default=math.nan, help="Your own. [kg/ha of the element]")
@click.option(
    "--placement",
    type=click.Choice([str(p) for p in Placement]),
    default=str(Placement.BROADCAST),
    show_default=True,
)
def trace(need: str, farm: Path, season_name: str, **given: Any) -> None:
    """Judge a trace element: the class always, a rate only where you choose one.

    \b
    Example:
        vrxapp plan trace copper --farm farm.gpkg --rate copper-worked-in
    """
    settings = TraceSettings(
        Purpose(need),
        test=given["test"],
        rate_key=given["rate_key"],
        own_rate_kg_ha=given["own_rate"],
        placement=Placement(given["placement"]),
        reason=given["reason"],
    )
    _set(farm, season_name, lambda s: trace_plan_from(settings, s.tests), Purpose(need))


@plan.command()
@click.argument("file", type=click.Path(path_type=Path))
@with_options(*FARM_OPTIONS)
@click.option("--rule", "name", default="", help="Which rule of the file; none: the only one.")
def own(file: Path, farm: Path, season_name: str, name: str) -> None:
    """Work a need out by a rule of your own, from a TOML FILE.

    The farm keeps all rules of the file. A rule is a table with these keys; cap_kg_ha and
    crop may be left out, and nothing else is known:

    \b
        ["My potash"]
        analyte = "colwell_k"          # the soil test, and so its method
        test_unit = "mg/kg"
        depth_cm = "0-10"
        element = "K"                  # the element, never the oxide
        shape = "straight lines"       # or "steps"
        breakpoints = [0, 40, 80]      # rising
        needs_kg_ha = [50, 30, 0]
        cap_kg_ha = 45
        crop = "wheat"
        source = "District trials, my reading"

    \b
    Example:
        vrxapp plan own rules.toml --rule "My potash" --farm farm.gpkg
    """
    rules = open_own_rules(file)
    chosen = OwnRulePlan(rule_called(rules, name))
    whole, notes = open_farm(farm)
    print_notes(notes)
    after = set_need_plan(season_called(whole, season_name), chosen)
    write_farm(with_own_rules(with_season(whole, after), rules), farm)
    click.echo(
        f"{str(chosen.purpose).capitalize()}: {plan_words(after, chosen.purpose)}. Saved {farm}"
    )


def _set(
    farm: Path, season_name: str, made: Callable[[Season], NeedPlan], purpose: Purpose
) -> None:
    """Make a plan for a season and save the farm with it."""
    _change(farm, season_name, lambda season: set_need_plan(season, made(season)), purpose)


def _change(
    farm: Path, season_name: str, change: Callable[[Season], Season], purpose: Purpose
) -> None:
    """Change a season, save the farm, and say how the need is worked out now."""
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    after = change(season)
    write_farm(with_season(whole, after), farm)
    is_planned = purpose is Purpose.PHOSPHORUS or need_plan_of(after, purpose) is not None
    told = plan_words(after, purpose) if is_planned else "no longer worked out"
    click.echo(f"{str(purpose).capitalize()}: {told}. Saved {farm}")
