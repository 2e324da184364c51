"""A figure to be worked out: its name, its title, and the function that works it out.

All else (inputs, units, equation, range, sources, example) is read from that function, so that
the words cannot part from the code.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from vrxapp.sources import Grade


class Subject(StrEnum):
    """What a figure is about; figures are listed under it in this order."""

    CONVERSIONS = "Units and forms"
    SOIL = "Soil and its mass"
    SALT = "Salt and sodium"
    LIME = "Lime and gypsum"
    NUTRIENTS = "Nutrients"
    YIELD = "Water and yield"
    RESPONSE = "Response and money"
    PRODUCTS = "Products and mixes"
    HUMATES = "Humates"
    SAMPLING = "Sampling and sureness"


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose, or one number to take out of a table.

    Parameters
    ----------
    key, name : str
        What is typed, and what people read.
    value : object
        What the function is given for it.
    source, where : str
        Key of the bibliography, and the place in it; empty where it has none.
    grade : Grade or None
        How well it is known.
    """

    key: str
    name: str
    value: object
    source: str = ""
    where: str = ""
    grade: Grade | None = None


Choices = Callable[[], tuple[Choice, ...]]
"""A list to choose from, read from its table when it is asked for."""


@dataclass(frozen=True, slots=True)
class WorkedFigure:
    """A figure and what its function cannot say by itself.

    Parameters
    ----------
    name : str
        What is typed: short words with hyphens.
    title : str
        What people read.
    subject : Subject
        What it is about.
    function : callable
        The function of the core that works it out.
    choices : mapping of str to Choices
        Lists for inputs that take nothing else.
    offers : mapping of str to Choices
        Lists for inputs that take a number or a word of one's own as well.
    cautions : tuple of str
        What has to stand beside the result; beside a yes-or-no only where it is yes.
    """

    name: str
    title: str
    subject: Subject
    function: Callable[..., object]
    choices: Mapping[str, Choices] = field(default_factory=dict)
    offers: Mapping[str, Choices] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
