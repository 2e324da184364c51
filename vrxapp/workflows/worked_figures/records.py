"""Figures and their workings as records, for programs to read."""

from vrxapp.workflows.explained import CitedSource
from vrxapp.workflows.worked_figures.example import example_inputs
from vrxapp.workflows.worked_figures.figure import WorkedFigure
from vrxapp.workflows.worked_figures.figure_inputs import FigureInput, figure_inputs
from vrxapp.workflows.worked_figures.working import Working, equation_lines


def figure_record(figure: WorkedFigure) -> dict[str, object]:
    """What a figure is and what it takes."""
    return {
        "figure": figure.name,
        "title": figure.title,
        "subject": str(figure.subject),
        "inputs": [_input_record(entry) for entry in figure_inputs(figure)],
        "example": dict(example_inputs(figure)),
    }


def working_record(working: Working) -> dict[str, object]:
    """A result with all that belongs beside it."""
    return {
        "figure": working.figure.name,
        "title": working.figure.title,
        "inputs": dict(working.given),
        "results": [
            {
                "label": line.label,
                "unit": line.unit,
                "values": list(line.values),
                "no_value": line.why_none,
            }
            for line in working.lines
        ],
        "equation": list(equation_lines(working.figure)),
        "function": working.about.name,
        "cautions": list(working.cautions),
        "sources": [_source_record(cited) for cited in working.sources],
    }


def _input_record(entry: FigureInput) -> dict[str, object]:
    return {
        "name": entry.name,
        "told": entry.told,
        "unit": entry.unit,
        "kind": str(entry.kind),
        "needed": entry.is_needed,
        "default": entry.default,
        "choices": [choice.key for choice in entry.choices],
        "offers": [offer.key for offer in entry.offers],
    }


def _source_record(cited: CitedSource) -> dict[str, object]:
    return {
        "key": cited.source.key,
        "citation": cited.source.citation,
        "grade": str(cited.source.grade),
        "seen": cited.source.seen,
        "where": cited.where,
    }
