"""Figures of sampling: how many cores, how sure a class is, what counts as a change."""

from vrxapp.agronomy import confidence
from vrxapp.soil import sampling_size
from vrxapp.soil.laboratory_spread import laboratory_cvs
from vrxapp.workflows.worked_figures.composed import chances_of_class
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.table_choices import listed

_SPREADS = {"laboratory_cv_percent": listed(laboratory_cvs, gives="cv_percent")}

SAMPLING = (
    WorkedFigure(
        "cores-needed",
        "Cores that a sample needs",
        Subject.SAMPLING,
        sampling_size.cores_needed,
    ),
    WorkedFigure(
        "cores-needed-few",
        "Cores that a small sample needs",
        Subject.SAMPLING,
        sampling_size.cores_needed_few,
    ),
    WorkedFigure(
        "composite-spread",
        "Spread that bulking leaves",
        Subject.SAMPLING,
        sampling_size.composite_cv_percent,
    ),
    WorkedFigure(
        "cores-between-bands",
        "Cores between fertiliser bands",
        Subject.SAMPLING,
        sampling_size.cores_between_bands,
    ),
    WorkedFigure(
        "class-chances",
        "How sure a class is",
        Subject.SAMPLING,
        chances_of_class,
        offers=_SPREADS,
    ),
    WorkedFigure(
        "least-change",
        "Least difference that is a change",
        Subject.SAMPLING,
        confidence.least_change,
        offers=_SPREADS,
    ),
    WorkedFigure(
        "is-change",
        "Are two results a change?",
        Subject.SAMPLING,
        confidence.is_change,
        offers=_SPREADS,
    ),
)
