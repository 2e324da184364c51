"""A list of what a season has, and the buttons below it."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from vrxapp.desktop.stages.row_list import RowList, put_buttons, put_tools


def test_the_chosen_row_stays_while_there_is_one_and_nothing_is_told(qtbot):
    rows, told = RowList("gates", "Gates", None), []
    qtbot.addWidget(rows)
    rows.show_lines(["North", "South"])
    rows.setCurrentRow(1)
    rows.currentRowChanged.connect(told.append)
    rows.show_lines(["North gate", "South gate", "East gate"])
    assert rows.currentItem().text() == "South gate"
    rows.show_lines(["North gate"])
    assert rows.currentRow() == -1
    assert told == []


def test_what_the_map_chooses_is_not_told_back(qtbot):
    rows, told = RowList("gates", "Gates", None), []
    qtbot.addWidget(rows)
    rows.show_lines(["North", "South"])
    rows.currentRowChanged.connect(told.append)
    assert rows.choose_untold(1)
    assert not rows.choose_untold(1)
    assert rows.currentRow() == 1
    assert told == []


def test_buttons_do_what_they_say_below_the_tools(qtbot):
    holder, pressed = QWidget(), []
    qtbot.addWidget(holder)
    grid = QGridLayout(holder)
    tools = {"line": ("Line", "Draw a line"), "area": ("Area", "Draw an area")}
    made = put_tools(grid, holder, tools, what="Fence", pressed=pressed.append)
    more = (("goneButton", "Remove", "Take it away", lambda: pressed.append("gone")),)
    made |= put_buttons(grid, holder, more, row=1)
    for button in made.values():
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert pressed == ["line", "area", "gone"]
    assert [b.objectName() for b in made.values()] == [
        "lineFenceButton", "areaFenceButton", "goneButton",
    ]  # fmt: skip
    assert [b.isCheckable() for b in made.values()] == [True, True, False]
    assert grid.itemAtPosition(1, 0).widget().toolTip() == "Take it away"
