"""A list of what a season has, and the buttons below it."""

from collections.abc import Callable, Iterable, Mapping
from functools import partial

from PySide6.QtCore import QSignalBlocker, SignalInstance
from PySide6.QtWidgets import QGridLayout, QListWidget, QPushButton, QWidget

Press = Callable[[], None] | SignalInstance
"""What a button does: a slot, or a signal that tells of it."""


class RowList(QListWidget):
    """One line a thing; what the program chooses in it is not told as if a user had."""

    def __init__(self, name: str, told: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(told)

    def show_lines(self, lines: list[str]) -> None:
        """Write the lines; the chosen row stays chosen as long as there is one."""
        row = self.currentRow()
        blocker = QSignalBlocker(self)
        self.clear()
        self.addItems(lines)
        self.setCurrentRow(row if row < len(lines) else -1)
        del blocker

    def choose_untold(self, row: int) -> bool:
        """Choose a row, -1 for none; whether another was chosen before."""
        if row == self.currentRow():
            return False
        blocker = QSignalBlocker(self)
        self.setCurrentRow(row)
        del blocker
        return True


def put_buttons(
    grid: QGridLayout,
    parent: QWidget,
    buttons: Iterable[tuple[str, str, str, Press]],
    *,
    row: int = 0,
) -> dict[str, QPushButton]:
    """Put buttons into a grid, two a row, from a row on.

    Parameters
    ----------
    grid : QGridLayout
        The grid.
    parent : QWidget
        Whose they are.
    buttons : iterable of tuple
        Object name, text, tooltip, and what each does.
    row : int, optional
        The first row.
    """
    made = {}
    for at, (name, text, tip, do) in enumerate(buttons):
        made[name] = _button(name, text, tip, parent)
        made[name].clicked.connect(do)
        grid.addWidget(made[name], row + at // 2, at % 2)
    return made


def put_tools(
    grid: QGridLayout,
    parent: QWidget,
    tools: Mapping[str, tuple[str, str]],
    *,
    what: str,
    pressed: Callable[[str], None],
    columns: int = 2,
) -> dict[str, QPushButton]:
    """Put buttons that take a tool in hand into the first rows of a grid.

    Parameters
    ----------
    grid : QGridLayout
        The grid.
    parent : QWidget
        Whose they are.
    tools : mapping of str to tuple of str
        Text and tooltip of each tool, by its key.
    what : str
        What the tools are for, as object names tell it.
    pressed : callable
        Is given the key of the tool.
    columns : int, optional
        How many stand side by side.
    """
    made = {}
    for at, (key, (text, tip)) in enumerate(tools.items()):
        button = _button(f"{key}{what}Button", text, tip, parent)
        button.setCheckable(True)
        button.clicked.connect(partial(pressed, str(key)))
        grid.addWidget(button, at // columns, at % columns)
        made[str(key)] = button
    return made


def _button(name: str, text: str, tip: str, parent: QWidget) -> QPushButton:
    button = QPushButton(text, parent)
    button.setObjectName(name)
    button.setToolTip(tip)
    return button
