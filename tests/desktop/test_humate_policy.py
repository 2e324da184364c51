"""Humate on the Rates stage: policy, cut, product test, claims, and placing with the seed."""

import math

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableView,
    QTextBrowser,
    QToolButton,
)

from vrxapp.agronomy.humate_claims import HumicMaterial, claims_for
from vrxapp.agronomy.humate_policy import FertiliserPolicy

LEFT = Qt.MouseButton.LeftButton


def find(parent, kind, name):
    found = parent.findChild(kind, name)
    assert found is not None, name
    return found


def choose(qtbot, parent, name, text):
    """Choose an entry as a user does who opens the list and clicks."""
    combo = find(parent, QComboBox, name)
    index = combo.findText(text, Qt.MatchFlag.MatchStartsWith)
    assert index >= 0, [combo.itemText(i) for i in range(combo.count())]
    combo.showPopup()
    view = combo.view()
    spot = view.visualRect(combo.model().index(index, 0)).center()
    qtbot.mouseClick(view.viewport(), LEFT, pos=spot)


def type_number(qtbot, parent, name, text):
    field = find(parent, QDoubleSpinBox, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def tick(qtbot, parent, name):
    box = find(parent, QCheckBox, name)
    qtbot.mouseClick(box, LEFT, pos=QPoint(8, box.height() // 2))


def why_text(window, row=3):
    find(window, QTableView, "zoneTable").selectRow(row)
    return find(window, QTextBrowser, "whyText").toPlainText()


def humate_of(window):
    return window.desk.document.operation.humate


@pytest.fixture
def mixed(qtbot, window):
    """The window with 5 % humate, at most 2 kg/ha, beside the MAP."""
    choose(qtbot, window, "humateCombo", "Soluble humate")
    type_number(qtbot, window, "humateShareSpinBox", "5")
    type_number(qtbot, window, "humateCapSpinBox", "2")
    return window


def test_policy_and_tests_appear_only_with_a_humate(qtbot, window):
    policy = find(window, QComboBox, "humatePolicyCombo")
    assert not policy.isVisible()
    choose(qtbot, window, "humateCombo", "Soluble humate")
    type_number(qtbot, window, "humateShareSpinBox", "5")
    type_number(qtbot, window, "humateCapSpinBox", "2")
    assert policy.isVisible()
    assert policy.currentText() == "leave it as it is"
    assert not find(window, QDoubleSpinBox, "humateCutSpinBox").isVisible()


def test_a_cut_waits_for_its_size_then_shows_in_the_why_and_is_undone(qtbot, mixed):
    choose(qtbot, mixed, "humatePolicyCombo", "cut it")
    assert humate_of(mixed).policy is FertiliserPolicy.KEEP
    assert find(mixed, QDoubleSpinBox, "humateCutSpinBox").isVisible()
    type_number(qtbot, mixed, "humateCutSpinBox", "25")
    assert humate_of(mixed).policy is FertiliserPolicy.SHARE_OFF
    assert humate_of(mixed).cut_fraction == pytest.approx(0.25)
    told = why_text(mixed)
    assert "takes 25 % off the fertiliser" in told
    assert "the humate replaces none of it" in told
    assert "In proportion: counted as if all of the humate were pure humic acid" in told
    assert "does not show that the humate replaced it" in find(mixed, QLabel, "humateNotes").text()
    find(mixed, QAction, "undoAction").trigger()
    assert find(mixed, QComboBox, "humatePolicyCombo").currentText() == "leave it as it is"
    assert "takes 25 % off" not in why_text(mixed)


def test_paying_from_the_fertiliser_asks_for_the_humate_price(qtbot, mixed):
    choose(qtbot, mixed, "humatePolicyCombo", "take the humate's cost off")
    said = find(mixed, QLabel, "totalsLabel")
    assert "the humate's price is not known" in said.text()
    type_number(qtbot, mixed, "humatePriceSpinBox", "3000")
    assert "price is not known" not in said.text()
    assert humate_of(mixed).product.price_per_tonne == 3000.0
    qtbot.mouseClick(find(mixed, QPushButton, "humateClaimsButton"), LEFT)
    told = find(mixed, QTextBrowser, "claimsText").toPlainText()
    assert "With this pass" in told
    assert "Neutral in cost is not neutral in nutrients" in told
    assert "nothing is credited to it as a soluble product" in told


def test_the_fold_opens_on_the_water_test_and_the_verdict_follows(qtbot, mixed):
    water = find(mixed, QComboBox, "humateWaterCombo")
    verdict = find(mixed, QLabel, "humateVerdict")
    assert not water.isVisible()
    qtbot.mouseClick(find(mixed, QToolButton, "humateTestFold"), LEFT)
    assert water.isVisible()
    assert "nobody has seen it dissolve" in verdict.text()
    rates = mixed.desk.document.plan().rates_kg_ha
    choose(qtbot, mixed, "humateWaterCombo", "it dissolved")
    choose(qtbot, mixed, "humicMethodCombo", "ISO 19822")
    for name, value in (
        ("humicAcidSpinBox", "60"),
        ("humateInsolubleSpinBox", "0"),
        ("humateMoistureSpinBox", "12"),
        ("humatePotassiumSpinBox", "6"),
    ):
        type_number(qtbot, mixed, name, value)
    assert humate_of(mixed).test.insoluble_percent == 0.0  # none is not the same as not told
    assert "Accepted as a soluble product; still no nutrient" in verdict.text()
    assert mixed.desk.document.plan().rates_kg_ha.tolist() == pytest.approx(
        rates.tolist(), nan_ok=True
    )
    tick(qtbot, mixed, "humicAcidDryCheckBox")
    assert humate_of(mixed).test.is_of_dry_matter
    find(mixed, QAction, "undoAction").trigger()
    assert not find(mixed, QCheckBox, "humicAcidDryCheckBox").isChecked()


def test_a_metal_above_its_limit_is_told_and_what_cannot_be_read_too(qtbot, mixed):
    qtbot.mouseClick(find(mixed, QToolButton, "humateTestFold"), LEFT)
    metals, verdict = (
        find(mixed, QLineEdit, "humateMetalsEdit"),
        find(mixed, QLabel, "humateVerdict"),
    )
    metals.setFocus()
    qtbot.keyClicks(metals, "Kryptonite 2")
    qtbot.keyClick(metals, Qt.Key.Key_Return)
    assert "cannot read the metal" in verdict.text()
    assert humate_of(mixed).test.metals == ()
    metals.selectAll()
    qtbot.keyClicks(metals, "Cd 2, Pb 40")
    qtbot.keyClick(metals, Qt.Key.Key_Return)
    assert humate_of(mixed).test.metals == (("Cd", 2.0), ("Pb", 40.0))
    assert "Cadmium: 2 mg/kg of the dry matter is above the limit of 1.5" in verdict.text()
    assert "Lead: 40 mg/kg of its dry matter (limit 120) brings" in why_text(mixed)
    find(mixed, QAction, "undoAction").trigger()
    assert metals.text() == ""


def test_metals_that_cannot_be_read_do_not_take_away_those_that_were_told(qtbot, mixed):
    qtbot.mouseClick(find(mixed, QToolButton, "humateTestFold"), LEFT)
    metals = find(mixed, QLineEdit, "humateMetalsEdit")
    metals.setFocus()
    qtbot.keyClicks(metals, "Cd 2")
    qtbot.keyClick(metals, Qt.Key.Key_Return)
    qtbot.keyClicks(metals, ", Pb four")
    moisture = find(mixed, QDoubleSpinBox, "humateMoistureSpinBox")
    moisture.setFocus()
    moisture.selectAll()
    qtbot.keyClicks(moisture, "12")
    qtbot.keyClick(moisture, Qt.Key.Key_Return)
    assert humate_of(mixed).test.moisture_percent == 12.0
    assert humate_of(mixed).test.metals == (("Cd", 2.0),)


def test_what_is_claimed_is_listed_with_grade_effect_and_source(qtbot, window):
    button = find(window, QPushButton, "humateClaimsButton")
    assert button.isVisible()  # before any humate is chosen, so that nothing is hidden
    qtbot.mouseClick(button, LEFT)
    dialog = find(window, QDialog, "claimsDialog")
    qtbot.waitUntil(dialog.isVisible)
    text = find(dialog, QTextBrowser, "claimsText")
    for claim in claims_for(HumicMaterial.SOLUBLE_HUMATE):
        assert claim.claim in text.toPlainText()
        assert claim.source in text.toPlainText()
    assert "shoot dry weight +22 %" in text.toPlainText()
    assert "Holding ammonia from urea: not credited; no water test seen" in text.toPlainText()
    choose(qtbot, dialog, "claimsMaterialCombo", "Brown coal")
    assert "Contradicted" in text.toPlainText()
    assert "+22 %" not in text.toPlainText()
    close = find(dialog, QDialogButtonBox, "claimsButtons").button(
        QDialogButtonBox.StandardButton.Close
    )
    qtbot.mouseClick(close, LEFT)
    qtbot.waitUntil(lambda: window.findChild(QDialog, "claimsDialog") is None)


def test_a_pass_is_placed_with_the_seed_and_warned_of(qtbot, window):
    row = find(window, QDoubleSpinBox, "rowSpacingSpinBox")
    notes = find(window, QLabel, "seedRowNotes")
    cautions = find(window, QLabel, "handOverCautions")
    assert not row.isVisible()
    assert not notes.isVisible()
    assert "not checked for placing with the seed" in cautions.text()
    rates = window.desk.document.plan().rates_kg_ha
    choose(qtbot, window, "seedSoilCombo", "with the seed, light")
    assert window.desk.document.operation.seed_row is None  # the row is still to be told
    type_number(qtbot, window, "rowSpacingSpinBox", "300")
    type_number(qtbot, window, "openerSpreadSpinBox", "25")
    placed = window.desk.document.operation.seed_row
    assert (placed.row_spacing_mm, placed.spread_mm) == (300.0, 25.0)
    assert "no rate was changed for it" in notes.text()
    assert "A guide, not a promise" in notes.text()
    assert "not checked for placing with the seed" not in cautions.text()
    after = window.desk.document.plan().rates_kg_ha
    assert after.tolist() == pytest.approx(rates.tolist(), nan_ok=True)
    tick(qtbot, window, "dryingSeedbedCheckBox")
    assert window.desk.document.operation.seed_row.is_drying
    choose(qtbot, window, "seedSoilCombo", "spread over the ground")
    assert window.desk.document.operation.seed_row is None
    assert not notes.isVisible()


def test_a_band_wider_than_the_rows_is_told_and_kept_out(qtbot, window):
    choose(qtbot, window, "seedSoilCombo", "with the seed, heavy")
    type_number(qtbot, window, "rowSpacingSpinBox", "200")
    type_number(qtbot, window, "openerSpreadSpinBox", "300")
    assert "is not possible" in find(window, QLabel, "seedRowNotes").text()
    assert window.desk.document.operation.seed_row is None


def test_every_new_field_is_named_for_those_who_cannot_see_it(mixed):
    for kind, name in (
        (QComboBox, "humatePolicyCombo"),
        (QDoubleSpinBox, "humateCutSpinBox"),
        (QDoubleSpinBox, "humatePriceSpinBox"),
        (QComboBox, "seedSoilCombo"),
        (QDoubleSpinBox, "rowSpacingSpinBox"),
        (QComboBox, "humateWaterCombo"),
    ):
        field = find(mixed, kind, name)
        assert field.accessibleName(), name
        assert field.toolTip(), name
    assert math.isnan(humate_of(mixed).cut_fraction)
