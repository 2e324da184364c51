"""The one place where errors and news are shown: a bar that bars nothing."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QToolButton, QWidget

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.icons import icon
from vrxapp.errors import VrxError, begun


class MessageBar(QWidget):
    """A sentence with its mend, perhaps with something to press, until it is closed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("messageBar")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._text = QLabel(self)
        self._text.setObjectName("messageText")
        self._text.setWordWrap(True)
        self._text.setTextFormat(Qt.TextFormat.PlainText)
        self._text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._action = QPushButton(self)
        self._action.setObjectName("messageActionButton")
        self._do: Callable[[], None] | None = None
        self._is_refusal = False
        close = QToolButton(self)
        close.setObjectName("closeMessageButton")
        close.setAccessibleName("Close the message")
        close.setToolTip("Close the message")
        close.setAutoRaise(True)
        close.clicked.connect(self.hide)
        self._close = close
        layout = QHBoxLayout(self)
        layout.setContentsMargins(10, 6, 6, 6)
        layout.addWidget(self._text, 1)
        layout.addWidget(self._action)
        layout.addWidget(close)
        self._action.clicked.connect(self._on_action)
        self.hide()

    @Slot(str)
    def tell(self, text: str, *, action: str = "", do: Callable[[], None] | None = None) -> None:
        """Show a sentence, and a button if there is something to do about it."""
        self._text.setText(text)
        self._do = do
        self._is_refusal = False
        self._action.setText(action)
        self._action.setVisible(bool(action))
        self.show()

    @Slot(object)
    def tell_error(self, error: BaseException) -> None:
        """Show an error: its own sentence, or what kind of fault of the program it is."""
        if isinstance(error, VrxError):
            self.tell(begun(str(error), error.note.file))
        else:
            self.tell(
                f"vrxapp met a fault of its own ({type(error).__name__}: {error}). Your farm is "
                "as it was before; please save it under another name and report this."
            )

    @Slot(object)
    def tell_refusal(self, error: VrxError) -> None:
        """Show why an edit cannot be; the next edit that can takes the message away."""
        self.tell_error(error)
        self._is_refusal = True

    @Slot()
    def forget_refusal(self) -> None:
        """Take the message away if it told why an edit could not be."""
        if self._is_refusal:
            self._is_refusal = False
            self.hide()

    def text(self) -> str:
        """What is being said."""
        return self._text.text()

    def set_scheme(self, scheme: Scheme) -> None:
        """Draw the icon in the colour of the text."""
        self._close.setIcon(icon("close-message", scheme.text))

    @Slot()
    def _on_action(self) -> None:
        self.hide()
        if self._do is not None:
            self._do()
