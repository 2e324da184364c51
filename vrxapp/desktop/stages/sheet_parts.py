"""What the sheets of all stages are made of: titles, number fields, labelled rows."""

import math

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QLabel,
    QWidget,
)

LABEL_WIDTH_PX = 104


def title(text: str, parent: QWidget) -> QLabel:
    """The title of a sheet."""
    return _label(text, "title", parent)


def heading(text: str, parent: QWidget) -> QLabel:
    """A heading within a sheet."""
    return _label(text, "heading", parent)


def faint(text: str, parent: QWidget, *, name: str = "") -> QLabel:
    """Text that stands back."""
    label = _label(text, "faint", parent)
    label.setWordWrap(True)
    label.setObjectName(name)
    return label


def _label(text: str, role: str, parent: QWidget) -> QLabel:
    label = QLabel(text, parent)
    label.setProperty("role", role)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label


def number_field(
    name: str, parent: QWidget, *, unit: str, low: float, high: float, decimals: int = 1
) -> QDoubleSpinBox:
    """A number with its unit; it is an edit only once Enter is pressed or the field is left."""
    field = QDoubleSpinBox(parent)
    field.setObjectName(name)
    field.setKeyboardTracking(False)
    field.setDecimals(decimals)
    field.setRange(low, high)
    field.setSuffix(f" {unit}")
    field.setStepType(QDoubleSpinBox.StepType.AdaptiveDecimalStepType)
    field.setMinimumWidth(150)
    return field


def untold_field(
    name: str, parent: QWidget, *, unit: str, high: float, decimals: int = 1
) -> QDoubleSpinBox:
    """A number that starts as not told, which is not the same as none; see `told_number`."""
    step = 10.0**-decimals
    field = number_field(name, parent, unit=unit, low=-step, high=high, decimals=decimals)
    field.setSpecialValueText("not told")
    field.setValue(-step)
    return field


def told_number(field: QDoubleSpinBox) -> float:
    """The number of a field that starts as not told; NaN as long as it is not told."""
    return math.nan if field.value() < 0 else field.value()


def tell_number(field: QDoubleSpinBox, value: float) -> None:
    """Write a number into a field that starts as not told; NaN for not told."""
    field.setValue(field.minimum() if math.isnan(value) else value)


def combo_field(name: str, parent: QWidget) -> QComboBox:
    """A list to choose from that is never wider than the sheet, however long its entries are."""
    combo = QComboBox(parent)
    combo.setObjectName(name)
    combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    combo.setMinimumContentsLength(10)
    return combo


def close_button(name: str, dialog: QDialog) -> QDialogButtonBox:
    """Close, which ends a dialog only when it is pressed: Enter in a field keeps it open."""
    box = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, dialog)
    box.setObjectName(name)
    box.button(QDialogButtonBox.StandardButton.Close).setAutoDefault(False)
    box.rejected.connect(dialog.reject)
    return box


def add_row(
    form: QFormLayout, text: str, field: QWidget, tip: str, *, holder: QWidget | None = None
) -> None:
    """A labelled row; the label is the field's buddy and its accessible name.

    A field that has something beside it comes in a holder.
    """
    label = QLabel(text)
    label.setBuddy(field)
    label.setMinimumWidth(LABEL_WIDTH_PX)
    label.setToolTip(tip)
    field.setToolTip(tip)
    field.setAccessibleName(text.replace("&", ""))
    form.addRow(label, holder or field)


def grown_form(parent: QWidget | None) -> QFormLayout:
    """A form whose fields take all the width there is."""
    form = QFormLayout(parent)
    form.setContentsMargins(0, 0, 0, 0)
    form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
    form.setVerticalSpacing(7)
    return form


def fill_combo(combo: QComboBox, entries: list[tuple[str, str]], chosen: str) -> None:
    """Put entries into a combo box and choose one, keeping it as it is where nothing changed."""
    present = [(combo.itemText(i), combo.itemData(i)) for i in range(combo.count())]
    if present != entries:
        combo.clear()
        for text, key in entries:
            combo.addItem(text, key)
    combo.setCurrentIndex(combo.findData(chosen))
