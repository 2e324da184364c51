"""The budget as a knob: switched on, typed, dragged as one step, ordered, undone."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QCheckBox,
    QDoubleSpinBox,
    QLabel,
    QListWidget,
    QPushButton,
    QSlider,
    QStyle,
    QStyleOptionSlider,
    QWidget,
)

from vrxapp.edits.operations import add_operation
from vrxapp.season import Operation

LEFT = Qt.MouseButton.LeftButton


def find(window, kind, name):
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


def rates(window):
    return list(window.desk.document.plan().rates_kg_ha)


@pytest.fixture
def kept(qtbot, window):
    """The window with the season kept to a budget, as a click on the switch gives it."""
    check = find(window, QCheckBox, "budgetCheck")
    qtbot.mouseClick(check, LEFT, pos=QPoint(10, check.height() // 2))
    return window


def handle(slider):
    option = QStyleOptionSlider()
    slider.initStyleOption(option)
    return (
        slider.style()
        .subControlRect(
            QStyle.ComplexControl.CC_Slider, option, QStyle.SubControl.SC_SliderHandle, slider
        )
        .center()
    )


def test_switching_the_budget_on_starts_from_the_full_cost(kept):
    money = find(kept, QDoubleSpinBox, "budgetSpinBox")
    assert find(kept, QWidget, "budgetFields").isVisible()
    assert money.isVisible()
    assert money.value() == pytest.approx(8091, abs=1)
    assert find(kept, QSlider, "budgetSlider").value() == 200
    assert "paid in full" in find(kept, QLabel, "budgetShortLabel").text()
    assert rates(kept) == [89.0, 125.0, 140.0, 55.0]


def test_without_a_budget_only_the_switch_is_shown(window):
    assert find(window, QCheckBox, "budgetCheck").isVisible()
    assert not find(window, QDoubleSpinBox, "budgetSpinBox").isVisible()
    assert not find(window, QListWidget, "budgetOrder").isVisible()


def test_a_typed_budget_cuts_the_map_says_what_is_short_and_is_undone(qtbot, kept):
    money = find(kept, QDoubleSpinBox, "budgetSpinBox")
    money.setFocus()
    money.selectAll()
    qtbot.keyClicks(money, "5000")
    qtbot.keyClick(money, Qt.Key.Key_Return)
    assert rates(kept) == [55.0, 77.0, 86.0, 34.0]
    said = find(kept, QLabel, "budgetShortLabel").text()
    assert "62 % paid" in said
    assert "Red rise 11.88" in said
    find(kept, QAction, "undoAction").trigger()
    assert rates(kept) == [89.0, 125.0, 140.0, 55.0]
    find(kept, QAction, "undoAction").trigger()
    assert kept.desk.document.season.budget is None


def test_dragging_previews_and_becomes_one_step_on_release(qtbot, kept):
    slider = find(kept, QSlider, "budgetSlider")
    stack = kept.desk.document.undo_stack
    steps = stack.count()
    start = handle(slider)
    qtbot.mousePress(slider, LEFT, pos=start)
    for away in (20, 60, 90):
        qtbot.mouseMove(slider, QPoint(start.x() - away, start.y()))
    previewed = rates(kept)
    assert previewed[0] < 89.0
    assert stack.count() == steps
    qtbot.mouseRelease(slider, LEFT, pos=QPoint(start.x() - 90, start.y()))
    assert rates(kept) == previewed
    assert stack.count() == steps + 1
    find(kept, QAction, "undoAction").trigger()
    assert rates(kept) == [89.0, 125.0, 140.0, 55.0]
    assert slider.value() == 200


def test_the_slider_is_moved_by_keys_too(qtbot, kept):
    slider = find(kept, QSlider, "budgetSlider")
    slider.setFocus()
    qtbot.keyClick(slider, Qt.Key.Key_PageDown)
    assert kept.desk.document.season.budget.money == pytest.approx(0.9 * 8091, abs=2)
    assert rates(kept)[0] < 89.0


def test_who_gets_money_first_is_changed_by_a_click(qtbot, kept):
    document = kept.desk.document
    first = document.season.operations[0]
    top_up = Operation("op-b", "Top-up", "June", first.product, first.machine)
    document.edit("Add", lambda season: add_operation(season, top_up))
    order = find(kept, QListWidget, "budgetOrder")
    assert order.isVisible()
    assert [order.item(row).text() for row in range(2)] == [first.name, "Top-up"]
    qtbot.mouseClick(order.viewport(), LEFT, pos=order.visualItemRect(order.item(1)).center())
    qtbot.mouseClick(find(kept, QPushButton, "budgetSoonerButton"), LEFT)
    assert [order.item(row).text() for row in range(2)] == ["Top-up", first.name]
    assert document.season.budget.order == ("op-b", first.id)
    find(kept, QAction, "undoAction").trigger()
    assert order.item(0).text() == first.name


def test_switching_off_gives_the_full_rates_back(qtbot, kept):
    slider = find(kept, QSlider, "budgetSlider")
    slider.setFocus()
    qtbot.keyClick(slider, Qt.Key.Key_Home)
    assert rates(kept) == [0.0] * 4
    check = find(kept, QCheckBox, "budgetCheck")
    qtbot.mouseClick(check, LEFT, pos=QPoint(10, check.height() // 2))
    assert rates(kept) == [89.0, 125.0, 140.0, 55.0]
    assert kept.desk.document.season.budget is None
