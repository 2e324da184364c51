"""Tables that are only read."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QTableWidget, QVBoxLayout, QWidget

from vrxapp.desktop.stages.shown_table import fill_row, prepare_table


@pytest.fixture
def table(qtbot):
    """A table of two rows above a field."""
    holder = QWidget()
    table, field = QTableWidget(2, 0, holder), QLineEdit(holder)
    field.setObjectName("below")
    prepare_table(table, "prices", "Prices of products", ("Product", "Price", "Unit"))
    for row, texts in enumerate((("Lime", "43", "t"), ("Gypsum", "120", "t"))):
        fill_row(table, row, texts, words=(0, 2))
    layout = QVBoxLayout(holder)
    layout.addWidget(table)
    layout.addWidget(field)
    qtbot.addWidget(holder)
    holder.show()
    yield table
    holder.close()


def test_numbers_stand_to_the_right_and_words_to_the_left(table):
    right = Qt.AlignmentFlag.AlignRight
    shown = [bool(table.item(1, column).textAlignment() & right) for column in range(3)]
    assert shown == [False, True, False]
    assert [table.item(1, column).text() for column in range(3)] == ["Gypsum", "120", "t"]


def test_the_tab_key_leaves_the_table(qtbot, table):
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_Tab)
    assert table.parent().findChild(QLineEdit, "below").hasFocus()


def test_nothing_can_be_typed_into_it(qtbot, table):
    table.setFocus()
    table.setCurrentCell(0, 1)
    qtbot.keyClicks(table, "7")
    assert table.state() == QTableWidget.State.NoState
    assert table.item(0, 1).text() == "43"
    assert table.accessibleName() == "Prices of products"
