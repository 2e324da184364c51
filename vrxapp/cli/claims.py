"""`vrxapp claims`: what people say of humates, and how far each claim is proven."""

from dataclasses import asdict

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.humate_claims import (
    HumateClaim,
    HumicMaterial,
    claims_for,
    humate_claims,
    told_size,
)
from vrxapp.agronomy.humate_credits import humate_credits
from vrxapp.cli.printing import print_json

NO_CREDIT = "No rate takes a nutrient or a yield credit from any of these; lay a check strip."


@click.command()
@click.option(
    "--material",
    type=click.Choice([m.name.lower().replace("_", "-") for m in HumicMaterial]),
    help="Only what is claimed for one material, the best proven first.",
)
@click.option("--credits", "is_of_credits", is_flag=True, help="What may be credited instead.")
@click.option(
    "--accepted",
    "is_accepted",
    is_flag=True,
    help="For --credits: seen to dissolve in the farm's water, and measured by ISO 19822.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def claims(material: str | None, is_of_credits: bool, is_accepted: bool, as_json: bool) -> None:
    """List what is claimed for humates: how far it is proven, its size, and the source.

    \b
    Examples:
        vrxapp claims --material soluble-humate
        vrxapp claims --credits --accepted
    """
    chosen = HumicMaterial[material.upper().replace("-", "_")] if material else None
    if is_of_credits:
        asked = tuple(HumicMaterial) if chosen is None else (chosen,)
        _print_credits(asked, is_accepted=is_accepted, as_json=as_json)
        return
    found = humate_claims() if chosen is None else claims_for(chosen)
    if as_json:
        print_json([_record(claim) for claim in found])
        return
    table = Table(box=box.SIMPLE_HEAD)
    table.add_column("Claim, and what to make of it", ratio=5)
    table.add_column("How far proven", ratio=2)
    table.add_column("Effect", ratio=3)
    table.add_column("Source and grade", ratio=3, overflow="fold")
    for claim in found:
        table.add_row(
            f"{claim.claim}. {claim.reading}",
            str(claim.evidence),
            told_size(claim) or "none read",
            f"{claim.source}: {claim.where} ({claim.grade})",
            end_section=True,
        )
    console = Console(highlight=False)
    console.print(table)
    console.print(NO_CREDIT, markup=False)


def _print_credits(
    materials: tuple[HumicMaterial, ...], *, is_accepted: bool, as_json: bool
) -> None:
    """What each effect of some materials may stand for."""
    found = [c for m in materials for c in humate_credits(m, is_accepted=is_accepted)]
    if as_json:
        print_json([{key: str(value) for key, value in asdict(row).items()} for row in found])
        return
    table = Table("Effect", "Material", "Standing", "Why", "Source and grade", box=box.SIMPLE_HEAD)
    for row in found:
        source = f"{row.source}: {row.where} ({row.grade})"
        table.add_row(str(row.effect), str(row.material), str(row.standing), row.reason, source)
    console = Console(highlight=False)
    console.print(table)
    console.print(NO_CREDIT, markup=False)


def _record(claim: HumateClaim) -> dict[str, object]:
    """A claim as a record with units in its names."""
    return {
        "id": claim.id,
        "claim": claim.claim,
        "materials": list(claim.materials),
        "evidence": str(claim.evidence),
        "effect_percent": claim.effect_percent,
        "low_percent": claim.low_percent,
        "high_percent": claim.high_percent,
        "interval": claim.interval,
        "measure": claim.measure,
        "reading": claim.reading,
        "source": claim.source,
        "where": claim.where,
        "grade": str(claim.grade),
    }
