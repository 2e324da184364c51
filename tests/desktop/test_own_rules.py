"""A rule of one's own on the Rates stage: loaded by a click, chosen, and taken back."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLabel, QToolButton, QWidget

from vrxapp.agronomy.own_rule_values import OwnShape

LEFT = Qt.MouseButton.LeftButton
RULE = """
["Twelve everywhere"]
analyte = "colwell_p"
test_unit = "mg/kg"
depth_cm = "0-10"
element = "P"
shape = "steps"
breakpoints = [0]
needs_kg_ha = [12]
source = "District trials"

["Some potash"]
analyte = "colwell_k"
test_unit = "mg/kg"
depth_cm = "0-10"
element = "K"
shape = "steps"
breakpoints = [0]
needs_kg_ha = [20]
source = "District trials"
"""


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


@pytest.fixture
def load(qtbot, window, monkeypatch, tmp_path):
    """A function that loads a file by the button, and gives what the sheet tells of it."""
    window.show_stage("rates")

    def loaded(text):
        path = tmp_path / "rules.toml"
        path.write_text(text)
        monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
        qtbot.mouseClick(find(window, QToolButton, "loadOwnRulesButton"), LEFT)
        return find(window, QLabel, "ownRuleWords").text()

    return loaded


def choose(qtbot, window, text):
    combo = find(window, QComboBox, "ownRuleCombo")
    combo.setFocus()
    qtbot.wait(QApplication.keyboardInputInterval() + 50)
    qtbot.keyClicks(combo, text)
    assert combo.currentText().startswith(text)


def test_a_loaded_rule_is_chosen_and_taken_back(qtbot, window, load):
    document = window.desk.document
    standard = document.plan().need.copy()
    assert load(RULE) == "rules.toml: 2 loaded, 1 of them for phosphorus."
    combo = find(window, QComboBox, "ownRuleCombo")
    assert [combo.itemText(i) for i in range(combo.count())] == ["none", "Twelve everywhere"]
    choose(qtbot, window, "Twelve")
    assert document.season.own_rules[0].rule.shape is OwnShape.STEPS
    told = document.plan().need
    np.testing.assert_array_equal(told[np.isfinite(standard)], 12.0)
    assert not find(window, QWidget, "phosphorusFields").isVisible()
    assert find(window, QLabel, "ownRuleWords").text() == "Source: District trials"
    choose(qtbot, window, "none")
    np.testing.assert_array_equal(document.plan().need, standard)
    assert find(window, QWidget, "phosphorusFields").isVisible()
    document.undo_stack.undo()
    assert document.season.own_rules
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.farm.own_rules == ()


def test_a_file_that_is_no_rule_says_why_and_changes_nothing(window, load):
    before = window.desk.document.farm
    assert "key shape: there is no such choice" in load(RULE.replace("steps", "curves"))
    assert window.desk.document.farm is before


def test_lime_and_gypsum_have_no_rule_of_ones_own(window, load):
    document = window.desk.document
    season, lime = next(
        (s, o) for s in document.farm.seasons for o in s.operations if o.purpose == "lime"
    )
    assert find(window, QWidget, "ownRuleFields").isVisible()
    document.choose_season(season.id)
    document.choose_operation(lime.id)
    assert not find(window, QWidget, "ownRuleFields").isVisible()
