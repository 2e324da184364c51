"""`vrxapp why`: why a zone gets its rate, down to the published table."""

import click

from vrxapp.cli.options import Chosen, as_json, plan_options
from vrxapp.cli.printing import print_json, print_sentences
from vrxapp.prescription.pipeline import prescription
from vrxapp.prescription.pipeline import why as why_of


@click.command()
@click.argument("zone")
@plan_options
@as_json
def why(chosen: Chosen, zone: str, as_json: bool) -> None:
    """Tell why ZONE gets its rate: every step with its numbers and sources.

    \b
    Example:
        vrxapp why "Creek flat" --farm farm.gpkg --paddock "Long Bend"
    """
    sentences = why_of(prescription(chosen.season, chosen.operation), zone)
    if as_json:
        print_json(
            [{"text": s.text, "source": s.source, "grade": str(s.grade or "")} for s in sentences]
        )
        return
    print_sentences(sentences)
