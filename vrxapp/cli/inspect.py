"""`vrxapp inspect`: what is in a file, before anything is done with it."""

from pathlib import Path

import click

from vrxapp.cli.options import CRS_OPTION, as_json
from vrxapp.cli.printing import print_json
from vrxapp.workflows.describe import described, told_lines


@click.command()
@click.argument("path", type=click.Path(path_type=Path))
@CRS_OPTION
@as_json
def inspect(path: Path, crs: str, as_json: bool) -> None:
    """Tell what the file at PATH holds: shapes, a lab sheet or a raster.

    \b
    Example:
        vrxapp inspect boundary.geojson
    """
    record = described(path, crs)
    if as_json:
        print_json(record)
        return
    click.echo("\n".join(told_lines(record)))
