"""The window for figures, rules and sources: a page each, and a way from one to the other."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QDialog, QTabWidget, QVBoxLayout, QWidget

from vrxapp.desktop.figures.figure_page import FigurePage
from vrxapp.desktop.figures.rule_page import RulePage
from vrxapp.desktop.figures.source_page import SourcePage

_WIDTH_PX, _HEIGHT_PX = 980, 640
_PAGES = ("figures", "rules", "sources")


class FiguresDialog(QDialog):
    """Stays open beside the map; nothing in it changes the farm."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("figuresDialog")
        self.setWindowTitle("Figures, rules and sources")
        self.resize(_WIDTH_PX, _HEIGHT_PX)
        self._figures, self._rules = FigurePage(self), RulePage(self)
        self._sources = SourcePage(self)
        self._pages = QTabWidget(self)
        self._pages.setObjectName("figuresTabs")
        self._pages.setDocumentMode(True)
        self._pages.addTab(self._figures, "&Figures")
        self._pages.addTab(self._rules, "&Rules")
        self._pages.addTab(self._sources, "&Sources")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 8, 8, 8)
        layout.addWidget(self._pages)
        self._figures.source_requested.connect(self.show_source)
        self._rules.source_requested.connect(self.show_source)

    def show_page(self, key: str) -> None:
        """Turn to a page and put the cursor where one begins."""
        self._pages.setCurrentIndex(_PAGES.index(key))
        self._pages.currentWidget().begin()

    @Slot(str)
    def show_source(self, key: str) -> None:
        """Turn to a source of the bibliography."""
        self.show_page("sources")
        self._sources.show_source(key)
