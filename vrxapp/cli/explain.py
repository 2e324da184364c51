"""`vrxapp explain`: what a rule works out, from where, within which range, and an example."""

from dataclasses import asdict
from textwrap import indent

import click
from rich.console import Console

from vrxapp.cli.options import as_json
from vrxapp.cli.printing import print_json
from vrxapp.workflows.explained import ExplainedFunction, explained
from vrxapp.workflows.rule_book import BOOK, BookRule, rules_called


@click.command()
@click.argument("rule", required=False)
@as_json
def explain(rule: str | None, as_json: bool) -> None:
    """Explain RULE: equations, inputs and range, sources, check values, a worked example.

    RULE is a rule or a need; without it the rules are listed.

    \b
    Example:
        vrxapp explain gypsum
    """
    if rule is None:
        _list(as_json=as_json)
        return
    chosen = rules_called(rule)
    if as_json:
        print_json([_record(one) for one in chosen])
        return
    console = Console(soft_wrap=True, highlight=False)
    for one in chosen:
        console.print(f"{one.name.upper()}  (for {_needs(one)})\n", markup=False)
        for function in explained(one):
            for line in _lines(function):
                console.print(line, markup=False)


def _list(*, as_json: bool) -> None:
    """The rules with the needs that they serve."""
    if as_json:
        print_json([{"rule": rule.name, "needs": list(map(str, rule.purposes))} for rule in BOOK])
        return
    width = max(len(rule.name) for rule in BOOK)
    for rule in BOOK:
        click.echo(f"{rule.name:<{width}}  {_needs(rule)}")


def _needs(rule: BookRule) -> str:
    return ", ".join(map(str, rule.purposes)) or rule.serves


def _record(rule: BookRule) -> dict[str, object]:
    return {
        "rule": rule.name,
        "needs": list(map(str, rule.purposes)),
        "functions": [asdict(function) for function in explained(rule)],
    }


def _lines(function: ExplainedFunction) -> list[str]:
    """A function as it is printed: what is empty is left out."""
    sources = [
        f"{cited.source.key} [{cited.source.grade}]: {cited.source.citation} "
        f"(seen: {cited.source.seen})" + (f" Here: {cited.where}" if cited.where else "")
        for cited in function.sources
    ]
    parts = {
        "Equations and notes": function.notes,
        "Takes": function.takes,
        "Gives": function.gives,
        "Refuses": function.refuses,
        "Sources": "\n".join(sources),
        "Tested by": "\n".join(f"{check.id}  {check.told}" for check in function.checks),
        "Worked example": function.example,
    }
    lines = [function.name, indent(function.told, "  "), ""]
    for title, text in parts.items():
        if text:
            lines += [f"  {title}", indent(text, "    "), ""]
    return lines
