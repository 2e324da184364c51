"""The form of a figure, made from what it takes."""

from collections.abc import Iterable, Mapping

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QWidget

from vrxapp.desktop.stages.sheet_parts import combo_field
from vrxapp.sources import Grade
from vrxapp.workflows.worked_figures.figure import Choice
from vrxapp.workflows.worked_figures.figure_inputs import (
    ENDLESS,
    UNKNOWN,
    FigureInput,
    InputKind,
)

_LABEL_WIDTH_PX = 230
_IN_WORDS = {UNKNOWN: "unknown", ENDLESS: "no limit"}
_TO_CHOOSE = "choose…"
_YES_OR_NO = (Choice("yes", "yes", value=True), Choice("no", "no", value=False))


class FigureForm(QWidget):
    """A field for each input; every change is told at once."""

    changed = Signal()

    def __init__(
        self,
        entries: Iterable[FigureInput],
        example: Mapping[str, str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("figureForm")
        self._example = example
        self._fields: dict[str, QComboBox | QLineEdit] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        for row, entry in enumerate(entries):
            field = self._field(entry)
            self._fields[entry.name] = field
            label = QLabel(entry.label, self)
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setWordWrap(True)
            label.setFixedWidth(_LABEL_WIDTH_PX)
            label.setBuddy(field)
            unit = QLabel(entry.unit, self)
            unit.setTextFormat(Qt.TextFormat.PlainText)
            unit.setProperty("role", "faint")
            for widget in (label, field, unit):
                widget.setToolTip(_tip(entry))
            grid.addWidget(label, row, 0)
            grid.addWidget(field, row, 1)
            grid.addWidget(unit, row, 2)

    def given(self) -> dict[str, str]:
        """What stands in each field."""
        return {name: _text(field) for name, field in self._fields.items()}

    def fill(self, given: Mapping[str, str]) -> None:
        """Put values into the fields and empty the others, told as one change."""
        for name, field in self._fields.items():
            with QSignalBlocker(field):
                _put(field, given.get(name, ""))
        self.changed.emit()

    def begin(self) -> None:
        """Put the cursor into the first field."""
        for field in self.fields()[:1]:
            field.setFocus()

    def fields(self) -> tuple[QWidget, ...]:
        """The fields from the first to the last."""
        return tuple(self._fields.values())

    def _field(self, entry: FigureInput) -> QComboBox | QLineEdit:
        """The field that suits an input, with its name and what it is for."""
        field = self._made(entry)
        field.setObjectName(f"{entry.name}Field")
        unit = f", {entry.unit}" if entry.unit else ""
        field.setAccessibleName(f"{entry.label}{unit}")
        return field

    def _made(self, entry: FigureInput) -> QComboBox | QLineEdit:
        if entry.kind is InputKind.CHOICE or entry.kind is InputKind.YES_NO:
            return self._list(entry)
        if entry.offers or entry.kind is InputKind.CHOICES:
            return self._open_list(entry)
        line = QLineEdit(self)
        line.setPlaceholderText(self._hint(entry))
        line.textChanged.connect(self.changed)
        return line

    def _list(self, entry: FigureInput) -> QComboBox:
        """A list to choose from; nothing is chosen unasked but a default of the function's own."""
        combo = combo_field("", self)
        combo.addItem(_TO_CHOOSE if entry.is_needed else f"{entry.default} (default)", "")
        for choice in entry.choices or _YES_OR_NO:
            combo.addItem(_told(choice), choice.key)
        combo.currentIndexChanged.connect(self.changed)
        return combo

    def _open_list(self, entry: FigureInput) -> QComboBox:
        """A list that takes a value of one's own too."""
        combo = combo_field("", self)
        combo.setEditable(True)
        combo.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        for choice in _each_once(entry.choices or entry.offers):
            combo.addItem(_told(choice), choice.key)
        combo.setCurrentIndex(-1)
        combo.setCompleter(None)  # a completed number is another number
        combo.lineEdit().setPlaceholderText(self._hint(entry))
        combo.editTextChanged.connect(self.changed)
        return combo

    def _hint(self, entry: FigureInput) -> str:
        """What an empty field says: an example, or what counts where it is left empty."""
        if entry.name in self._example:
            return f"such as {self._example[entry.name]}"
        default = _IN_WORDS.get(entry.default, entry.default)
        return f"{default} where it is empty" if default else ""


def _text(field: QComboBox | QLineEdit) -> str:
    """What a field says, as it would be typed."""
    if isinstance(field, QLineEdit):
        return field.text()
    if not field.isEditable():
        return str(field.currentData() or "")
    row = field.findText(field.currentText(), Qt.MatchFlag.MatchExactly)
    return str(field.itemData(row)) if row >= 0 else field.currentText()


def _put(field: QComboBox | QLineEdit, text: str) -> None:
    """Put a typed value into a field."""
    if isinstance(field, QLineEdit):
        field.setText(text)
        return
    row = field.findData(text)
    if row >= 0:
        field.setCurrentIndex(row)
    if field.isEditable():
        field.setEditText(field.itemText(row) if row >= 0 else text)


def _told(choice: Choice) -> str:
    """A choice with its number, and with a word where nobody verified it."""
    number = f": {choice.value:g}" if isinstance(choice.value, float) else ""
    is_unsure = choice.grade is Grade.UNVERIFIED and "unverified" not in choice.name
    return f"{choice.name}{number}" + (" (unverified)" if is_unsure else "")


def _each_once(choices: Iterable[Choice]) -> Iterable[Choice]:
    """Choices without those that are typed as an earlier one is."""
    return {choice.key: choice for choice in reversed(tuple(choices))}.values()


def _tip(entry: FigureInput) -> str:
    """What an input is in full, and how it is given."""
    unit = f" [{entry.unit}]" if entry.unit else ""
    return f"{entry.told}{unit}\nGive {entry.kind}."
