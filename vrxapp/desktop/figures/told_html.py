"""Workings, rules and sources as the text that a page shows."""

from collections.abc import Iterable
from html import escape

from vrxapp.errors import VrxError
from vrxapp.workflows.explained import CitedSource, ExplainedFunction, explained_function
from vrxapp.workflows.source_uses import SourceUse
from vrxapp.workflows.worked_figures.figure import WorkedFigure
from vrxapp.workflows.worked_figures.figure_inputs import FigureInput, figure_inputs
from vrxapp.workflows.worked_figures.working import (
    PLAIN_SUM,
    Working,
    equation_lines,
    with_labels,
)

LINK = "source:"
_FEW, _FEW_PT, _MANY_PT = 3, 13, 10
_MONO = "font-family: monospace; white-space: pre-wrap"


def working_html(working: Working) -> str:
    """A result, and beneath it all that belongs beside it."""
    points = _FEW_PT if len(working.lines) <= _FEW else _MANY_PT
    results = "".join(
        f"<p style='font-size:{points}pt; margin:0 0 4px 0'>{escape(line.label)}: "
        f"<b>{escape(line.text)}</b></p>"
        for line in working.lines
    )
    cautions = [escape(text) for text in working.cautions]
    return results + _listed("Mind", cautions) + _beneath(working.figure, working.sources)


def waiting_html(figure: WorkedFigure, missing: Iterable[FigureInput]) -> str:
    """What is still to give, above what can be told anyway."""
    told = "; ".join(
        f"{entry.label} [{entry.unit}]" if entry.unit else entry.label for entry in missing
    )
    about = _beneath(figure, explained_function(figure.function).sources)
    return f"<p><i>Still to give: {escape(told)}.</i></p>{about}"


def refused_html(figure: WorkedFigure, error: VrxError) -> str:
    """What is wrong and how to mend it, above what can be told anyway."""
    about = _beneath(figure, explained_function(figure.function).sources)
    return f"<p><b>{escape(with_labels(figure, str(error)))}</b></p>{about}"


def rule_html(needs: str, functions: Iterable[ExplainedFunction]) -> str:
    """A rule function by function, in the rule's order."""
    return f"<p>Serves: {escape(needs)}</p>" + "".join(map(_function_html, functions))


def source_html(use: SourceUse) -> str:
    """An entry of the bibliography, and where its numbers stand."""
    entry = use.source
    rows = [
        f"{escape(name)}, {count} {'row' if count == 1 else 'rows'}" for name, count in use.tables
    ]
    return (
        f"<h3>{escape(entry.key)}</h3><p>{escape(entry.citation)}</p>"
        f"<p>Grade: <b>{escape(str(entry.grade))}</b>. What was read: {escape(entry.seen)}.</p>"
        + _listed("Tables with numbers of it", rows)
        + _listed("Parts of the program that cite it", map(escape, use.modules))
    )


def _beneath(figure: WorkedFigure, sources: Iterable[CitedSource]) -> str:
    """Equation, inputs with their range, sources and check values."""
    about = explained_function(figure.function)
    cited = [_source(one) for one in sources]
    first, *notes = (*map(escape, equation_lines(figure)), "")
    equation = f"<p style='{_MONO}'>{first}</p>" + "".join(f"<p>{note}</p>" for note in notes)
    checks = (f"{escape(check.id)}: {escape(check.told)}" for check in about.checks)
    return (
        f"<p>{escape(about.told)}</p>"
        + (f"<h4>Equation</h4>{equation}" if first else "")
        + _listed("Inputs and their range", map(_input, figure_inputs(figure)))
        + (_listed("Sources", cited) if cited else f"<h4>Sources</h4><p>{escape(PLAIN_SUM)}</p>")
        + _listed("Check values", checks)
    )


def _function_html(function: ExplainedFunction) -> str:
    """One function of a rule."""
    parts = {
        "Equations and notes": function.notes,
        "Takes": function.takes,
        "Gives": function.gives,
        "Refuses": function.refuses,
    }
    told = "".join(
        f"<h4>{title}</h4><p style='{_MONO}'>{escape(text)}</p>"
        for title, text in parts.items()
        if text
    )
    checks = [f"{escape(check.id)}: {escape(check.told)}" for check in function.checks]
    example = function.example
    return (
        f"<hr><h3>{escape(function.name.rpartition('.')[2])}</h3><p>{escape(function.told)}</p>"
        + told
        + _listed("Sources", map(_source, function.sources))
        + _listed("Check values", checks)
        + (f"<h4>Worked example</h4><p style='{_MONO}'>{escape(example)}</p>" if example else "")
    )


def _source(cited: CitedSource) -> str:
    """A source with its grade, as a link to its entry."""
    entry, where = cited.source, f" Here: {escape(cited.where)}" if cited.where else ""
    return (
        f"<a href='{LINK}{escape(entry.key)}'>{escape(entry.key)}</a> "
        f"<b>[{escape(str(entry.grade))}]</b> {escape(entry.citation)} "
        f"<i>Seen: {escape(entry.seen)}.</i>{where}"
    )


def _input(entry: FigureInput) -> str:
    """An input in full."""
    return escape(f"{entry.told} [{entry.unit}]" if entry.unit else entry.told)


def _listed(title: str, items: Iterable[str]) -> str:
    """A heading with points beneath; nothing where there are none."""
    points = "".join(f"<li>{item}</li>" for item in items)
    return f"<h4>{title}</h4><ul style='margin-top:0'>{points}</ul>" if points else ""
