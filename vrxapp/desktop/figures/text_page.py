"""What the pages share: a searched list at the left, a text to read at the right."""

from PySide6.QtCore import Qt, QUrl, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QSplitter, QTextBrowser, QWidget

from vrxapp.desktop.figures.search_list import SearchList
from vrxapp.desktop.figures.told_html import LINK

LIST_WIDTH_PX = 330


def told_text(name: str, accessible: str, parent: QWidget) -> QTextBrowser:
    """A text to read whose links are told, not followed."""
    text = QTextBrowser(parent)
    text.setObjectName(name)
    text.setAccessibleName(accessible)
    text.setOpenLinks(False)
    return text


def side_by_side(page: QWidget, left: QWidget, right: QWidget) -> None:
    """Lay a list and what belongs to it out beside each other."""
    across = QSplitter(Qt.Orientation.Horizontal, page)
    across.addWidget(left)
    across.addWidget(right)
    across.setStretchFactor(1, 1)
    across.setChildrenCollapsible(False)
    across.setSizes([LIST_WIDTH_PX, 2 * LIST_WIDTH_PX])
    layout = QHBoxLayout(page)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.addWidget(across)


class TextPage(QWidget):
    """A list whose chosen entry is told as a text."""

    source_requested = Signal(str)

    def __init__(self, name: str, what: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = SearchList(name, what, self)
        self.text = told_text(f"{name}Text", f"The chosen one of the {what}", self)
        self.text.anchorClicked.connect(self._on_link)
        self.list.chosen.connect(self._on_chosen)

    def begin(self) -> None:
        """Put the cursor into the search."""
        self.list.search.setFocus()

    def html(self, key: str) -> str:
        """The text of an entry."""
        raise NotImplementedError

    @Slot(str)
    def _on_chosen(self, key: str) -> None:
        self.text.setHtml(self.html(key) if key else "")

    @Slot(QUrl)
    def _on_link(self, url: QUrl) -> None:
        self.source_requested.emit(url.toString().removeprefix(LINK))
