"""What few people need at once, behind a line that opens and closes it."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget

from vrxapp.desktop.stages.sheet_parts import faint


class Fold(QWidget):
    """A heading with an arrow, and text that it shows and hides; nothing at all without text."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(f"{name}Fold")
        self._button = fold_button(f"{name}FoldButton", self)
        self._text = faint("", self, name=f"{name}Text")
        self._text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._text.hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self._button)
        layout.addWidget(self._text)
        self._button.toggled.connect(self._on_toggled)
        self.hide()

    def tell(self, heading: str, lines: tuple[str, ...]) -> None:
        """Put a heading and its lines in place; without lines the fold is gone."""
        self._button.setText(heading)
        self._button.setToolTip(f"Show or hide: {heading}")
        self._text.setText("\n\n".join(lines))
        self.setVisible(bool(lines))

    def open(self) -> None:
        """Show the lines."""
        self._button.setChecked(True)

    @Slot(bool)
    def _on_toggled(self, is_open: bool) -> None:  # noqa: FBT001 - Qt's signal passes it so
        self._button.setArrowType(_arrow(is_open=is_open))
        self._text.setVisible(is_open)


class FieldFold(QWidget):
    """A heading with an arrow that shows and hides fields below it; closed at first."""

    def __init__(self, name: str, heading: str, fields: QWidget, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName(f"{name}Fold")
        self._fields = fields
        self._button = fold_button(f"{name}FoldButton", self)
        self._button.setText(heading)
        self._button.setToolTip(f"Show or hide: {heading.replace('&', '')}")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self._button)
        layout.addWidget(fields)
        fields.hide()
        self._button.toggled.connect(self._on_toggled)

    @Slot(bool)
    def _on_toggled(self, is_open: bool) -> None:  # noqa: FBT001 - Qt's signal passes it so
        self._button.setArrowType(_arrow(is_open=is_open))
        self._fields.setVisible(is_open)


def fold_button(name: str, parent: QWidget) -> QToolButton:
    """The heading of a fold, with an arrow that shows whether it is open."""
    button = QToolButton(parent)
    button.setObjectName(name)
    button.setCheckable(True)
    button.setAutoRaise(True)
    button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
    button.setArrowType(Qt.ArrowType.RightArrow)
    button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    button.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    return button


def _arrow(*, is_open: bool) -> Qt.ArrowType:
    return Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow
