"""Leaf tests on screen: opened from the menu, judged by crop, part and stage, source as a tip."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
)

from vrxapp.desktop.lab.leaf_table import SHADES, text_on

LEFT = Qt.MouseButton.LeftButton
SHEET = "Sample,Cu (mg/kg),Zn (mg/kg)\nA1,1.5,30\nA2,4,90\nA3,20,250\n"


def find(parent, kind, name):
    found = parent.findChild(kind, name)
    assert found is not None, name
    return found


@pytest.fixture
def dialog(qtbot, window):
    """The window for leaf tests, opened from the menu."""
    find(window, QAction, "leafTestsAction").trigger()
    dialog = find(window, QDialog, "leafDialog")
    qtbot.waitUntil(dialog.isVisible)
    return dialog


@pytest.fixture
def opened(qtbot, dialog, monkeypatch, tmp_path):
    """The same with a sheet opened by its button."""
    path = tmp_path / "leaves.csv"
    path.write_text(SHEET, "utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    qtbot.mouseClick(find(dialog, QPushButton, "leafOpenButton"), LEFT)
    summary = find(dialog, QLabel, "leafSummary")
    qtbot.waitUntil(lambda: "3 samples" in summary.text())
    return dialog


def choose(qtbot, dialog, name, text):
    combo = find(dialog, QComboBox, name)
    combo.setFocus()
    qtbot.keyClicks(combo, text)
    qtbot.keyClick(combo, Qt.Key.Key_Return)


def set_stage(qtbot, dialog, text):
    line = find(dialog, QComboBox, "leafStageCombo").lineEdit()
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def cell(dialog, row, column, role=Qt.ItemDataRole.DisplayRole):
    model = find(dialog, QTableView, "leafTable").model()
    assert model is not None
    return model.data(model.index(row, column), role)


def test_the_window_for_leaf_tests_leaves_the_map_free(window, dialog):
    assert not dialog.isModal()
    assert window.isEnabled()
    assert "No sheet yet" in find(dialog, QLabel, "leafSummary").text()


def test_classes_have_a_word_a_shade_and_their_source_as_a_tip(qtbot, opened):
    choose(qtbot, opened, "leafPartCombo", "Young leaf")
    set_stage(qtbot, opened, "25")
    assert "3 samples" in find(opened, QLabel, "leafSummary").text()
    assert [cell(opened, row, 1) for row in range(3)] == [
        "30  adequate",
        "90  high",
        "250  toxic or excess",
    ]
    tip = cell(opened, 1, 1, Qt.ItemDataRole.ToolTipRole)
    assert "high above 70" in tip
    assert "cimmyt-wheat, Table 1; published" in tip
    shades = [cell(opened, row, 1, Qt.ItemDataRole.BackgroundRole).name() for row in range(3)]
    assert len(set(shades)) == 3
    advice = find(opened, QPlainTextEdit, "leafAdvice").toPlainText()
    assert "A1, Cu (marginal): Give the planned corrective rate." in advice
    assert "A3: Several nutrients are over their range at once" in advice


def test_a_stage_without_ranges_is_told_in_words_with_what_there_is(qtbot, opened):
    choose(qtbot, opened, "leafPartCombo", "Young leaf")
    set_stage(qtbot, opened, "harvest")
    said = find(opened, QLabel, "messageText").text()
    assert "no leaf ranges for stage" in said
    assert "Zadoks 30" in said
    assert find(opened, QTableView, "leafTable").model() is None


def test_unverified_ranges_count_only_once_their_source_is_chosen(qtbot, opened):
    choose(qtbot, opened, "leafCropCombo", "Maize")
    assert "nobody has verified" in find(opened, QLabel, "messageText").text()
    choose(qtbot, opened, "leafSourceCombo", "campbell-2000")
    assert cell(opened, 0, 1).startswith("30  ")
    assert "unverified" in cell(opened, 0, 1, Qt.ItemDataRole.ToolTipRole)


def test_a_lately_sprayed_nutrient_waits(qtbot, opened):
    choose(qtbot, opened, "leafPartCombo", "Young leaf")
    set_stage(qtbot, opened, "25")
    field = find(opened, QLineEdit, "leafSprayedEdit")
    field.setFocus()
    qtbot.keyClicks(field, "Zn=5")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    advice = find(opened, QPlainTextEdit, "leafAdvice").toPlainText()
    assert "A3, Zn (toxic or excess): Sprayed on the leaf too lately" in advice


def test_a_file_without_nutrients_is_told_in_words(qtbot, dialog, monkeypatch, tmp_path):
    path = tmp_path / "leaves.csv"
    path.write_text("Sample,Colour\nA1,green\n", "utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    qtbot.mouseClick(find(dialog, QPushButton, "leafOpenButton"), LEFT)
    said = find(dialog, QLabel, "messageText")
    qtbot.waitUntil(lambda: "no nutrient among the columns" in said.text())
    assert "No sheet yet" in find(dialog, QLabel, "leafSummary").text()


def test_the_sheet_is_read_off_the_gui_thread(qtbot, window, dialog, monkeypatch, tmp_path):
    path = tmp_path / "leaves.csv"
    path.write_text(SHEET, "utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    with qtbot.waitSignal(window.desk.jobs.started) as started:
        qtbot.mouseClick(find(dialog, QPushButton, "leafOpenButton"), LEFT)
    assert started.args == ["Reading the leaf tests"]
    qtbot.waitUntil(lambda: not window.desk.jobs.is_busy())
    assert cell(dialog, 0, 0) != ""


def test_a_window_that_was_closed_meanwhile_is_left_alone(
    qtbot, window, dialog, monkeypatch, tmp_path
):
    path = tmp_path / "leaves.csv"
    path.write_text(SHEET, "utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    with qtbot.waitSignals([dialog.destroyed, window.desk.jobs.finished]):
        qtbot.mouseClick(find(dialog, QPushButton, "leafOpenButton"), LEFT)
        dialog.close()
    assert window.findChild(QDialog, "leafDialog") is None


def test_whole_tops_and_their_dry_matter_tell_what_the_crop_holds(qtbot, opened):
    assert find(opened, QComboBox, "leafPartCombo").currentText() == "Whole shoot"
    field = find(opened, QDoubleSpinBox, "leafDryMatterSpinBox")
    advice = find(opened, QPlainTextEdit, "leafAdvice")
    assert "tops" not in advice.toPlainText()
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "2")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    # 2 t/ha at 30 mg/kg is 0.06 kg Zn/ha
    assert "A1: the tops hold Cu 0.003, Zn 0.06 kg/ha, at 2 t/ha" in advice.toPlainText()
    choose(qtbot, opened, "leafPartCombo", "Young leaf")
    set_stage(qtbot, opened, "25")
    assert "only where the whole tops were sampled" in advice.toPlainText()


@pytest.mark.parametrize("fill", sorted(set(SHADES.values())))
def test_words_stand_out_from_their_shade(fill):
    def luminance(color):
        parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        lit = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * lit[0] + 0.7152 * lit[1] + 0.0722 * lit[2]

    high, low = sorted((luminance(fill), luminance(text_on(fill))), reverse=True)
    assert (high + 0.05) / (low + 0.05) >= 4.5
