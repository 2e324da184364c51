"""Tables that are only read: rows are chosen whole, Tab leaves them, numbers stand to the right."""

from collections.abc import Container, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


def prepare_table(table: QTableWidget, name: str, told: str, headings: Sequence[str] = ()) -> None:
    """Make a table one that is only read.

    Parameters
    ----------
    table : QTableWidget
        The table.
    name, told : str
        Its object name, and what it holds in words.
    headings : sequence of str, optional
        Headings of its columns, the first of which takes what width the others leave.
    """
    table.setObjectName(name)
    table.setAccessibleName(told)
    table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
    table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
    table.setTabKeyNavigation(False)
    table.verticalHeader().hide()
    if headings:
        table.setColumnCount(len(headings))
        table.setHorizontalHeaderLabels(list(headings))
        header = table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)


def fill_row(
    table: QTableWidget, row: int, texts: Sequence[str], *, words: Container[int] = (0,)
) -> None:
    """Write a row; all but the columns of words stand to the right."""
    for column, text in enumerate(texts):
        item = QTableWidgetItem(text)
        if column not in words:
            item.setTextAlignment(_RIGHT)
        table.setItem(row, column, item)
