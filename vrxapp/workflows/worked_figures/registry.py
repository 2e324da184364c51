"""Every figure that can be worked out, by subject, and how one of them is found."""

from vrxapp.errors import UnknownChoiceError
from vrxapp.workflows.worked_figures.crop_figures import NUTRIENTS, RESPONSE, YIELD
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.humate_figures import HUMATES
from vrxapp.workflows.worked_figures.lime_figures import LIME
from vrxapp.workflows.worked_figures.product_figures import PRODUCTS
from vrxapp.workflows.worked_figures.reading import near
from vrxapp.workflows.worked_figures.sampling_figures import SAMPLING
from vrxapp.workflows.worked_figures.soil_figures import CONVERSIONS, SALT, SOIL

FIGURES: tuple[WorkedFigure, ...] = (
    *CONVERSIONS,
    *SOIL,
    *SALT,
    *LIME,
    *NUTRIENTS,
    *YIELD,
    *RESPONSE,
    *PRODUCTS,
    *HUMATES,
    *SAMPLING,
)
"""Every figure, in the order of their subjects."""


def figure_called(name: str) -> WorkedFigure:
    """The figure with this name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend names those that were perhaps meant.
    """
    wanted = name.strip().casefold().replace("_", "-").replace(" ", "-")
    for figure in FIGURES:
        if figure.name == wanted:
            return figure
    meant = near(wanted, [figure.name for figure in FIGURES])
    mend = f"Did you mean: {', '.join(meant)}?" if meant else "vrxapp work lists them all"
    raise UnknownChoiceError(f"there is no figure {name!r}", mend=mend)


def figures_with(words: str) -> dict[Subject, tuple[WorkedFigure, ...]]:
    """The figures that every one of some words is found in, by subject; all without words.

    Examples
    --------
    >>> [figure.name for figure in figures_with("lime harvest")[Subject.LIME]]
    ['lime-for-harvest']
    """
    wanted = words.casefold().split()
    found = [figure for figure in FIGURES if all(word in _searched(figure) for word in wanted)]
    by_subject = {
        subject: tuple(figure for figure in found if figure.subject is subject)
        for subject in Subject
    }
    return {subject: figures for subject, figures in by_subject.items() if figures}


def _searched(figure: WorkedFigure) -> str:
    """What a search looks through."""
    doc = (figure.function.__doc__ or "").partition("\n")[0]
    return f"{figure.name} {figure.title} {figure.subject} {doc}".casefold()
