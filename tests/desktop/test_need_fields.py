"""Every need on the Rates stage: a way is chosen, the map follows, and it can be undone."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QLabel,
    QLineEdit,
    QToolButton,
    QWidget,
)

from vrxapp.agronomy.sufficiency_values import NeedPolicy
from vrxapp.need_plans import Purpose
from vrxapp.prescription.supply import brings

LEFT = Qt.MouseButton.LeftButton


def find(parent, kind, name):
    child = parent.findChild(kind, name)
    assert child is not None, name
    return child


def choose(qtbot, parent, name, text):
    combo = find(parent, QComboBox, name)
    combo.setFocus()
    qtbot.wait(QApplication.keyboardInputInterval() + 50)
    qtbot.keyClicks(combo, text)
    assert combo.currentText().startswith(text)


def type_number(qtbot, parent, name, text):
    field = find(parent, QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


@pytest.fixture
def plan_pass(qtbot, window):
    """A function that plans another pass for a need by its dialog."""

    def planned(purpose, name):
        window.show_stage("rates")
        qtbot.mouseClick(find(window, QToolButton, "addOperationButton"), LEFT)
        dialog = find(window, QDialog, "newOperationDialog")
        qtbot.waitUntil(dialog.isVisible)
        choose(qtbot, dialog, "newOperationPurpose", purpose)
        qtbot.keyClicks(find(dialog, QLineEdit, "newOperationName"), name)
        ok = find(dialog, QDialogButtonBox, "newOperationButtons").button(
            QDialogButtonBox.StandardButton.Ok
        )
        qtbot.mouseClick(ok, LEFT)
        qtbot.waitUntil(lambda: window.desk.document.operation.name == name)
        return window.desk.document.operation

    return planned


@pytest.mark.parametrize(("purpose", "highest"), [("Nitrogen", 1000.0), ("Gypsum", 10_000.0)])
def test_the_dialog_starts_from_what_serves_the_need(plan_pass, purpose, highest):
    made = plan_pass(purpose, "Another pass")
    assert brings(made.product, made.purpose)
    assert made.machine.highest_rate_kg_ha == highest


def test_potassium_by_a_range_of_ones_own_needs_its_reason(qtbot, window, plan_pass):
    plan_pass("Potassium", "Potash")
    fields = find(window, QWidget, "nutrientFields")
    assert fields.isVisible()
    assert not find(window, QWidget, "phosphorusFields").isVisible()
    choose(qtbot, fields, "nutrientPolicyCombo", "lift poor soil")
    words = find(fields, QLabel, "nutrientFieldsWords")
    choose(qtbot, fields, "nutrientRangeCombo", "my own range")
    choose(qtbot, fields, "nutrientTestCombo", "Exchangeable potassium")
    type_number(qtbot, fields, "nutrientLowSpinBox", "0.9")
    assert "needs a reason" in words.text()
    assert window.desk.document.season.nutrients[-1].critical.key != "own"
    reason = find(fields, QLineEdit, "nutrientReasonEdit")
    reason.setFocus()
    qtbot.keyClicks(reason, "district trials")
    qtbot.keyClick(reason, Qt.Key.Key_Return)
    type_number(qtbot, fields, "nutrientDensitySpinBox", "1.4")
    plan = window.desk.document.season.nutrients[-1]
    assert (plan.purpose, plan.critical.low) == (Purpose.POTASSIUM, 0.9)
    assert plan.critical.where == "district trials"
    assert "0.9" in words.text()
    assert plan.bulk_density_t_m3 == 1.4
    window.desk.document.undo_stack.undo()
    assert window.desk.document.season.nutrients[-1] is not plan


def test_replacement_asks_for_no_soil_test(qtbot, window, plan_pass):
    plan_pass("Sulfur", "Sulfur")
    fields = find(window, QWidget, "nutrientFields")
    choose(qtbot, fields, "nutrientPolicyCombo", "replace the harvest")
    plan = window.desk.document.season.nutrients[-1]
    assert plan.choices.policy is NeedPolicy.REPLACEMENT
    need = window.desk.document.plan().need
    assert (need > 0).all()


def test_nitrogen_waits_for_its_efficiency(qtbot, window, plan_pass):
    plan_pass("Nitrogen", "Top-dress")
    fields = find(window, QWidget, "nitrogenFields")
    assert window.desk.document.season.nitrogen is None
    choose(qtbot, fields, "nitrogenEfficiencyCombo", "0.5")
    assert window.desk.document.season.nitrogen.efficiency.value == 0.5
    type_number(qtbot, fields, "proteinSpinBox", "11.5")
    assert window.desk.document.season.nitrogen.protein_percent == 11.5


def test_gypsum_says_what_is_missing_and_then_works(qtbot, window, plan_pass):
    plan_pass("Gypsum", "Gypsum")
    fields = find(window, QWidget, "gypsumFields")
    choose(qtbot, fields, "gypsumMethodCombo", "exchange, equivalent")
    assert "not set" in find(fields, QLabel, "gypsumFieldsWords").text()
    type_number(qtbot, fields, "targetEspSpinBox", "5")
    choose(qtbot, fields, "dispersionCombo", "disperses")
    type_number(qtbot, fields, "gypsumDensitySpinBox", "1.3")
    plan = window.desk.document.season.gypsum
    assert (plan.choices.target_esp_percent, plan.bulk_density_t_m3) == (5.0, 1.3)
    assert window.desk.document.plan().need_unit == "t gypsum/ha"


def test_a_trace_element_gets_no_rate_unless_one_is_chosen(qtbot, window, plan_pass):
    plan_pass("Copper", "Copper")
    fields = find(window, QWidget, "traceFields")
    choose(qtbot, fields, "traceRateCombo", "class alone")
    assert window.desk.document.season.traces[-1].rate is None
    choose(qtbot, fields, "traceRateCombo", "2 kg/ha")
    assert window.desk.document.season.traces[-1].rate.rate_kg_ha == 2.0
    choose(qtbot, fields, "traceRateCombo", "choose")
    assert window.desk.document.season.traces == ()
