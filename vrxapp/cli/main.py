"""The terminal's verbs under one roof, and the one place where errors end."""

import sys

import click
from rich.console import Console

from vrxapp import __version__
from vrxapp.cli.budget import budget
from vrxapp.cli.claims import claims
from vrxapp.cli.demo import demo
from vrxapp.cli.dressing import dressing
from vrxapp.cli.explain import explain
from vrxapp.cli.ground import ground
from vrxapp.cli.history import history
from vrxapp.cli.inspect import inspect
from vrxapp.cli.interpolate import interpolate
from vrxapp.cli.interpret import interpret
from vrxapp.cli.lab import lab
from vrxapp.cli.layer import layer
from vrxapp.cli.leaf import leaf
from vrxapp.cli.limes import limes
from vrxapp.cli.make_zones import make_zones
from vrxapp.cli.needs import needs
from vrxapp.cli.new_farm import new_farm
from vrxapp.cli.next_sample import next_sample
from vrxapp.cli.operation import operation
from vrxapp.cli.organic import organic
from vrxapp.cli.plan import plan
from vrxapp.cli.prescribe import prescribe
from vrxapp.cli.sample_plan import sample_plan
from vrxapp.cli.sources import sources
from vrxapp.cli.why import why
from vrxapp.cli.work import work
from vrxapp.cli.zones import zones
from vrxapp.errors import VrxError
from vrxapp.progress import Cancelled


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="vrxapp")
def vrxapp() -> None:
    """From a soil test for each part of a paddock to what goes where.

    Without a verb it opens the window (with the "desktop" extra installed).

    \b
    Try it on the invented sample farm:
        vrxapp demo
    """


vrxapp.add_command(claims)
vrxapp.add_command(budget)
vrxapp.add_command(demo)
vrxapp.add_command(dressing)
vrxapp.add_command(ground)
vrxapp.add_command(history)
vrxapp.add_command(prescribe)
vrxapp.add_command(why)
vrxapp.add_command(inspect)
vrxapp.add_command(lab)
vrxapp.add_command(layer)
vrxapp.add_command(limes)
vrxapp.add_command(make_zones)
vrxapp.add_command(needs)
vrxapp.add_command(interpolate)
vrxapp.add_command(interpret)
vrxapp.add_command(leaf)
vrxapp.add_command(new_farm)
vrxapp.add_command(next_sample)
vrxapp.add_command(operation)
vrxapp.add_command(organic)
vrxapp.add_command(plan)
vrxapp.add_command(zones)
vrxapp.add_command(sample_plan)
vrxapp.add_command(sources)
vrxapp.add_command(explain)
vrxapp.add_command(work)


def main() -> None:
    """Run the terminal; an error becomes one plain sentence and exit code 1."""
    try:
        vrxapp()
    except VrxError as error:
        Console(stderr=True, soft_wrap=True).print(f"Error: {error}", style="bold", markup=False)
        sys.exit(1)
    except (Cancelled, KeyboardInterrupt):
        Console(stderr=True).print("Stopped; nothing was changed.")
        sys.exit(130)
