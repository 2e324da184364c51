"""`vrxapp ground`: hectares, exclusions, points to find or avoid, and guidance lines."""

from pathlib import Path

import click
from rich.console import Console

from vrxapp.cli.ground_edits import opened_season
from vrxapp.cli.ground_exclusions import exclusions
from vrxapp.cli.ground_guidance import guidance
from vrxapp.cli.ground_points import points
from vrxapp.cli.options import FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json
from vrxapp.ground.ground_facts import ground_facts


@click.group()
def ground() -> None:
    """Tell a paddock's hectares; keep its exclusions, ground points and guidance lines.

    \b
    Example:
        vrxapp ground show --farm farm.gpkg
    """


@ground.command("show")
@with_options(*FARM_OPTIONS)
@as_json
def show(farm: Path, season_name: str, as_json: bool) -> None:
    """Tell hectares, what is excluded, and the coordinate system.

    \b
    Example:
        vrxapp ground show --farm farm.gpkg --paddock "Long Bend"
    """
    season = opened_season(farm, season_name)
    facts = ground_facts(season.paddock)
    if as_json:
        print_json(
            {
                "paddock": facts.paddock,
                "paddock_ha": round(facts.paddock_ha, 4),
                "excluded_ha": round(facts.excluded_ha, 4),
                "spreadable_ha": round(facts.spreadable_ha, 4),
                "hole_ha": round(facts.hole_ha, 4),
                "coordinate_system": facts.crs,
                "exclusions": len(season.paddock.exclusions),
                "ground_points": len(season.ground_points),
                "guidance_lines": len(season.guidance),
            }
        )
        return
    console = Console(soft_wrap=True, highlight=False)
    holes = f"  holes                {facts.hole_ha:,.2f} ha, no part of the paddock"
    for line in (
        facts.paddock,
        f"  inside the boundary  {facts.paddock_ha:,.2f} ha",
        f"  excluded             {facts.excluded_ha:,.2f} ha, setbacks included",
        f"  to spread            {facts.spreadable_ha:,.2f} ha",
        *([holes] if facts.hole_ha > 0.0 else []),
        f"  coordinate system    {facts.crs}",
    ):
        console.print(line, markup=False)


ground.add_command(exclusions)
ground.add_command(guidance)
ground.add_command(points)
