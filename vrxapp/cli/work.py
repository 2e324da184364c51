"""`vrxapp work`: a single figure worked out, with its equation, sources and doubts."""

import shlex
from collections.abc import Iterable

import click
from rich.console import Console

from vrxapp.cli.options import as_json
from vrxapp.cli.printing import print_json
from vrxapp.errors import MissingInputError
from vrxapp.workflows.explained import CitedSource
from vrxapp.workflows.worked_figures.example import example_inputs
from vrxapp.workflows.worked_figures.figure import Choice, WorkedFigure
from vrxapp.workflows.worked_figures.figure_inputs import FigureInput, figure_inputs
from vrxapp.workflows.worked_figures.records import figure_record, working_record
from vrxapp.workflows.worked_figures.registry import figure_called, figures_with
from vrxapp.workflows.worked_figures.working import PLAIN_SUM, Working, equation_lines, worked


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("figure", required=False)
@click.argument("inputs", nargs=-1, metavar="[INPUT=VALUE]...")
@click.option("--find", "words", default="", help="List only figures with these words.")
@as_json
def work(figure: str | None, inputs: tuple[str, ...], words: str, as_json: bool) -> None:
    """Work FIGURE out: an equation, a conversion or a class that one wants at hand.

    Without FIGURE all are listed by subject; without inputs FIGURE tells what it takes. A
    list of numbers gives a result for each, and ? stands for one that nobody knows. The
    beginning of an input's name is enough.

    \b
    Example:
        vrxapp work ece-by-line ec=0.5 line=shaw-1981
        vrxapp work soil-mass depth=10 bulk="1.0, 1.3"
    """
    if figure is None:
        _list(words, as_json=as_json)
        return
    chosen = figure_called(figure)
    if not inputs and figure_inputs(chosen):
        _describe(chosen, as_json=as_json)
        return
    working = worked(chosen, dict(map(_pair, inputs)))
    if as_json:
        print_json(working_record(working))
    else:
        _print(_working_lines(working))


def _pair(text: str) -> tuple[str, str]:
    """A name and a value out of INPUT=VALUE."""
    name, equals, value = text.partition("=")
    if not (name.strip() and equals and value.strip()):
        raise MissingInputError(
            f"cannot read the input {text!r}", mend="Write it as INPUT=VALUE, without spaces"
        )
    return name, value


def _list(words: str, *, as_json: bool) -> None:
    """The figures by subject."""
    found = figures_with(words)
    if as_json:
        print_json([figure_record(figure) for figures in found.values() for figure in figures])
        return
    if not found:
        raise MissingInputError(
            f"no figure has the words {words!r}", mend="vrxapp work lists them all"
        )
    width = max(len(figure.name) for figures in found.values() for figure in figures)
    for subject, figures in found.items():
        _print([str(subject), *(f"  {one.name:<{width}}  {one.title}" for one in figures), ""])


def _describe(figure: WorkedFigure, *, as_json: bool) -> None:
    """What a figure takes, with an example to copy."""
    if as_json:
        print_json(figure_record(figure))
        return
    lines = [figure.title, ""]
    for entry in figure_inputs(figure):
        lines += _input_lines(entry)
    typed = (f"{name}={value}" for name, value in example_inputs(figure).items())
    _print([*lines, "Example", f"  {shlex.join(['vrxapp', 'work', figure.name, *typed])}"])


def _input_lines(entry: FigureInput) -> list[str]:
    """One input: what it is, how it is given, what may be chosen."""
    unit = f"  [{entry.unit}]" if entry.unit else ""
    needed = "" if entry.is_needed else f"; {entry.default or 'none'} where it is left out"
    lines = [f"{entry.name}{unit}", f"  {entry.told}", f"  Give {entry.kind}{needed}."]
    lines += [f"  Choose: {_keys(entry.choices)}"] if entry.choices else []
    lines += [f"  Or take from a table: {_keys(entry.offers)}"] if entry.offers else []
    return [*lines, ""]


def _keys(choices: Iterable[Choice]) -> str:
    return ", ".join(dict.fromkeys(choice.key for choice in choices))


def _working_lines(working: Working) -> list[str]:
    """A working as it is printed: what is empty is left out."""
    lines = [working.figure.title, ""]
    lines += [f"  {line.label}: {line.text}" for line in working.lines]
    parts = {
        "With": list(working.with_inputs),
        "Equation": list(equation_lines(working.figure)),
        "Mind": list(working.cautions),
        "Sources": list(map(_source_line, working.sources)) or [PLAIN_SUM],
    }
    for title, told in parts.items():
        lines += ["", title, *(f"  {text}" for text in told)] if told else []
    return lines


def _source_line(cited: CitedSource) -> str:
    entry = cited.source
    here = f" Here: {cited.where}" if cited.where else ""
    return f"{entry.key} [{entry.grade}]: {entry.citation} (seen: {entry.seen}){here}"


def _print(lines: Iterable[str]) -> None:
    console = Console(soft_wrap=True, highlight=False)
    for line in lines:
        console.print(line, markup=False)
