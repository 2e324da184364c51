"""Figures, rules and sources in their window, by keys and clicks."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QPushButton,
    QTabWidget,
    QTextBrowser,
    QTreeWidget,
    QWidget,
)

from vrxapp.sources import Grade, bibliography, source
from vrxapp.workflows.rule_book import BOOK
from vrxapp.workflows.worked_figures.example import example_inputs
from vrxapp.workflows.worked_figures.registry import FIGURES
from vrxapp.workflows.worked_figures.working import worked

LEFT = Qt.MouseButton.LeftButton
KEYS = Qt.Key


def find(parent, kind, name):
    found = parent.findChild(kind, name)
    assert found is not None, name
    return found


@pytest.fixture
def dialog(qtbot, window):
    """The window for figures, opened by its key."""
    action = find(window, QAction, "workFigureAction")
    assert action.shortcut() == QKeySequence("Ctrl+Shift+W")
    modifiers = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window, KEYS.Key_W, modifiers)
    dialog = find(window, QDialog, "figuresDialog")
    qtbot.waitUntil(dialog.isVisible)
    return dialog


def items(tree):
    """Every entry of a list, headings left out."""
    for row in range(tree.topLevelItemCount()):
        top = tree.topLevelItem(row)
        yield from [top.child(i) for i in range(top.childCount())] or [top]


def search(qtbot, dialog, name, text):
    field = find(dialog, QLineEdit, f"{name}Search")
    field.clear()
    qtbot.keyClicks(field, text)
    return find(dialog, QTreeWidget, f"{name}List")


def click(qtbot, tree, text):
    """Click the entry with a text."""
    (item,) = [one for one in items(tree) if one.text(0) == text]
    tree.scrollToItem(item)
    qtbot.mouseClick(tree.viewport(), LEFT, pos=tree.visualItemRect(item).center())


def answer(dialog):
    return find(dialog, QTextBrowser, "figureAnswer").toPlainText()


def test_the_map_can_still_be_used_beside_it_and_it_opens_once(qtbot, window, dialog):
    assert not dialog.isModal()
    find(window, QAction, "sourcesAction").trigger()
    assert len(window.findChildren(QDialog, "figuresDialog")) == 1
    assert find(dialog, QTabWidget, "figuresTabs").currentIndex() == 2


def test_every_figure_stands_under_its_subject(dialog):
    tree = find(dialog, QTreeWidget, "figuresList")
    assert [item.text(0) for item in items(tree)] == [figure.title for figure in FIGURES]


def test_a_figure_is_searched_for_filled_in_and_worked_out_by_keys_alone(qtbot, dialog):
    search(qtbot, dialog, "figures", "saturation percentage")
    assert find(dialog, QLabel, "figureTitle").text() == "ECe from EC 1:5 by saturation percentage"
    qtbot.keyClick(find(dialog, QLineEdit, "figuresSearch"), KEYS.Key_Return)
    first = find(dialog, QLineEdit, "ec_1_5_ds_mField")
    qtbot.waitUntil(first.hasFocus)
    qtbot.keyClicks(first, "0.5")
    assert "Still to give: Water of the saturated paste [kg/kg]." in answer(dialog)
    qtbot.keyClick(first, KEYS.Key_Tab)
    second = find(dialog, QLineEdit, "saturation_water_kg_kgField")
    assert second.hasFocus()
    qtbot.keyClicks(second, "0.43")
    assert "ECe: 4.753 dS/m" in answer(dialog)
    assert "EC_e = (2.46 + 3.03 / θ) EC_(1:5)" in answer(dialog)
    assert "[published]" in answer(dialog)
    assert "1 % of gypsum" in answer(dialog)


def test_a_wrong_value_is_told_with_its_mend_and_the_next_key_mends_it(qtbot, dialog):
    click(qtbot, search(qtbot, dialog, "figures", "ESP SAR"), "ESP from SAR")
    field = find(dialog, QLineEdit, "sarField")
    qtbot.keyClicks(field, "1x")
    assert "SAR of the saturation extract: '1x' is no number. Write a number" in answer(dialog)
    assert not find(dialog, QPushButton, "figureCopyButton").isEnabled()
    qtbot.keyClick(field, KEYS.Key_Backspace)
    qtbot.keyClicks(field, "0")
    assert "ESP: 11.89 %" in answer(dialog)


def test_nothing_is_chosen_unasked_and_an_unverified_choice_says_so(qtbot, dialog):
    click(qtbot, search(qtbot, dialog, "figures", "yield crop salt"), "Yield of a crop under salt")
    crop = find(dialog, QComboBox, "cropField")
    assert crop.currentData() == ""
    (wheat,) = [crop.itemText(i) for i in range(crop.count()) if crop.itemData(i) == "wheat"]
    assert "unverified" in wheat
    qtbot.keyClicks(find(dialog, QLineEdit, "ece_ds_mField"), "8")
    qtbot.keyClicks(crop, "Wheat")
    assert crop.currentData() == "wheat"
    assert "Relative yield: 85.8 %" in answer(dialog)
    assert "From memory and unverified: maas-hoffman-1977" in answer(dialog)


def test_a_number_is_taken_from_a_table_or_typed(qtbot, dialog):
    tree = search(qtbot, dialog, "figures", "lime harvest")
    click(qtbot, tree, "Lime that balances a harvest")
    qtbot.keyClicks(find(dialog, QLineEdit, "yield_t_haField"), "3")
    lime = find(dialog, QComboBox, "lime_kg_tField")
    qtbot.keyClicks(lime.lineEdit(), "10")
    assert "Pure lime: 30 kg/ha" in answer(dialog)
    lime.setFocus()
    lime.lineEdit().clear()
    for _ in range(lime.count()):
        qtbot.keyClick(lime, KEYS.Key_Down)
        if lime.currentText() == "Wheat grain: 9":
            break
    assert "Pure lime: 27 kg/ha" in answer(dialog)


def test_what_was_typed_waits_for_the_next_visit(qtbot, dialog):
    tree = search(qtbot, dialog, "figures", "esp")
    click(qtbot, tree, "ESP from SAR")
    qtbot.keyClicks(find(dialog, QLineEdit, "sarField"), "5")
    click(qtbot, tree, "Class of an ESP")
    click(qtbot, tree, "ESP from SAR")
    assert find(dialog, QLineEdit, "sarField").text() == "5"
    assert "ESP: 5.763 %" in answer(dialog)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.name)
def test_the_example_of_each_figure_works_out_as_in_the_terminal(qtbot, page, figure):
    page.list.choose(figure.name)
    button = find(page, QPushButton, "figureExampleButton")
    if example_inputs(figure):
        qtbot.mouseClick(button, LEFT)
    told = find(page, QTextBrowser, "figureAnswer").toPlainText()
    for line in worked(figure, example_inputs(figure)).lines:
        assert f"{line.label}: {line.text}" in told


@pytest.fixture
def page(qtbot):
    """The page of figures alone."""
    from vrxapp.desktop.figures.figure_page import FigurePage

    page = FigurePage()
    qtbot.addWidget(page)
    page.show()
    return page


def test_a_result_is_copied_as_text(qtbot, dialog):
    click(qtbot, search(qtbot, dialog, "figures", "ESP SAR"), "ESP from SAR")
    qtbot.mouseClick(find(dialog, QPushButton, "figureExampleButton"), LEFT)
    qtbot.mouseClick(find(dialog, QPushButton, "figureCopyButton"), LEFT)
    copied = QGuiApplication.clipboard().text()
    assert copied.startswith("ESP from SAR\nESP: 11.89 %")
    assert "richards-1954" in copied


def test_the_arrow_down_leads_from_the_search_into_the_list(qtbot, dialog):
    tree = search(qtbot, dialog, "figures", "pbi")
    qtbot.keyClick(find(dialog, QLineEdit, "figuresSearch"), KEYS.Key_Down)
    assert tree.hasFocus()
    first = find(dialog, QLabel, "figureTitle").text()
    qtbot.keyClick(tree, KEYS.Key_Down)
    assert find(dialog, QLabel, "figureTitle").text() != first


def test_words_that_nothing_has_leave_an_empty_form_and_say_so(qtbot, dialog):
    search(qtbot, dialog, "figures", "yoghurt")
    assert find(dialog, QLabel, "figuresNoneLabel").isVisible()
    assert answer(dialog) == ""
    assert not find(dialog, QPushButton, "figureExampleButton").isEnabled()
    search(qtbot, dialog, "figures", "pbi")
    assert not find(dialog, QLabel, "figuresNoneLabel").isVisible()


def test_every_rule_is_read_with_equation_source_and_check_value(qtbot, window, dialog):
    find(window, QAction, "explainRulesAction").trigger()
    tree = search(qtbot, dialog, "rules", "")
    assert len(list(items(tree))) == len(BOOK)
    click(qtbot, search(qtbot, dialog, "rules", "gypsum sodium"), "Gypsum")
    told = find(dialog, QTextBrowser, "rulesText").toPlainText()
    assert "G = 0.0861 Na d ρ" in told
    assert source("prohaska-2022").citation in told
    assert "GYP-01" in told


def test_a_source_in_an_answer_leads_to_its_entry(qtbot, dialog):
    click(qtbot, search(qtbot, dialog, "figures", "ESP SAR"), "ESP from SAR")
    qtbot.mouseClick(find(dialog, QPushButton, "figureExampleButton"), LEFT)
    text = find(dialog, QTextBrowser, "figureAnswer")
    qtbot.mouseClick(text.viewport(), LEFT, pos=place_of_link(text, "richards-1954"))
    assert find(dialog, QTabWidget, "figuresTabs").currentIndex() == 2
    told = find(dialog, QTextBrowser, "sourcesText").toPlainText()
    assert told.startswith("richards-1954")
    assert source("richards-1954").citation in told


def place_of_link(text, words):
    cursor = text.document().find(words)
    cursor.setPosition(cursor.selectionStart() + 3)
    text.setTextCursor(cursor)
    text.ensureCursorVisible()
    return text.cursorRect(cursor).center()


def test_the_bibliography_is_searched_and_narrowed_by_grade(qtbot, window, dialog):
    find(window, QAction, "sourcesAction").trigger()
    tree = find(dialog, QTreeWidget, "sourcesList")
    assert len(list(items(tree))) == len(bibliography())
    grade = find(dialog, QComboBox, "sourceGradeCombo")
    qtbot.keyClicks(grade, "from")
    known = {entry.key for entry in bibliography() if entry.grade is Grade.UNVERIFIED}
    assert {item.text(0).removesuffix(" (unverified)") for item in items(tree)} == known
    assert f"{len(known)} of" in find(dialog, QLabel, "sourceCountLabel").text()
    click(qtbot, search(qtbot, dialog, "sources", "moody-2007"), "moody-2007 (unverified)")
    told = find(dialog, QTextBrowser, "sourcesText").toPlainText()
    assert source("moody-2007").citation in told
    assert "critical_values.csv, 1 row" in told


def test_what_can_be_pressed_has_a_name_and_a_tip(dialog):
    for widget in dialog.findChildren(QWidget):
        if isinstance(widget, QPushButton | QLineEdit | QComboBox | QTreeWidget | QTextBrowser):
            inside = isinstance(widget.parent(), QComboBox)
            assert inside or widget.objectName(), widget
            named = widget.accessibleName() or getattr(widget, "text", str)()
            assert inside or named, widget.objectName()
