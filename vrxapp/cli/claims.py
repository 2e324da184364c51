"""`vrxapp claims`: what people say of humates, and how far each claim is proven."""

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
from vrxapp.cli.printing import print_json

NO_CREDIT = "No rate takes a nutrient or a yield credit from any of these; lay a check strip."


@click.command()
@click.option(
    "--material",
    type=click.Choice([m.name.lower().replace("_", "-") for m in HumicMaterial]),
    help="Only what is claimed for one material, the best proven first.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def claims(material: str | None, as_json: bool) -> None:
    """List what is claimed for humates: how far it is proven, its size, and the source.

    \b
    Example:
        vrxapp claims --material soluble-humate
    """
    chosen = HumicMaterial[material.upper().replace("-", "_")] if material else None
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
