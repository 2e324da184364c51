"""Fields that few people need, behind a line that opens and closes them."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget


class FieldsFold(QWidget):
    """A heading with an arrow that shows and hides the widget below it."""

    toggled = Signal(bool)

    def __init__(self, name: str, heading: str, fields: QWidget, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName(f"{name}Fold")
        self._fields = fields
        self._button = QToolButton(self)
        self._button.setObjectName(f"{name}FoldButton")
        self._button.setText(heading)
        self._button.setToolTip(f"Show or hide: {heading.replace('&', '')}")
        self._button.setCheckable(True)
        self._button.setAutoRaise(True)
        self._button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self._button.setArrowType(Qt.ArrowType.RightArrow)
        self._button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._button.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self._button)
        layout.addWidget(fields)
        fields.hide()
        self._button.toggled.connect(self._on_toggled)

    @Slot(bool)
    def _on_toggled(self, is_open: bool) -> None:  # noqa: FBT001 - Qt's signal passes it so
        arrow = Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow
        self._button.setArrowType(arrow)
        self._fields.setVisible(is_open)
        self.toggled.emit(is_open)
