"""A list that one searches: a line to type into, and below it what holds all the words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QTreeWidget, QTreeWidgetItem, QVBoxLayout, QWidget

_KEY = Qt.ItemDataRole.UserRole
_DOWN = (Qt.Key.Key_Down, Qt.Key.Key_PageDown)


@dataclass(frozen=True, slots=True)
class ListEntry:
    """One line of the list, and the words it is found by."""

    key: str
    text: str
    tip: str
    words: str


class SearchList(QWidget):
    """Entries under headings; the chosen one is told by its key."""

    chosen = Signal(str)
    entered = Signal()  # Enter in the search: go on with what is chosen

    def __init__(self, name: str, what: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._groups: dict[str, tuple[ListEntry, ...]] = {}
        self.search = QLineEdit(self)
        self.search.setObjectName(f"{name}Search")
        self.search.setPlaceholderText(f"Search {what}")
        self.search.setClearButtonEnabled(True)
        self.search.setAccessibleName(f"Search {what}")
        self.search.setToolTip("Words to search for; the arrow down leads into the list")
        self.search.installEventFilter(self)
        self.tree = QTreeWidget(self)
        self.tree.setObjectName(f"{name}List")
        self.tree.setAccessibleName(what.capitalize())
        self.tree.setHeaderHidden(True)
        self.tree.setRootIsDecorated(False)
        self.tree.setIndentation(10)
        self.tree.setUniformRowHeights(True)
        self._none = QLabel("Nothing has all these words.", self)
        self._none.setObjectName(f"{name}NoneLabel")
        self._none.setProperty("role", "faint")
        self._none.hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 6, 6, 0)
        layout.addWidget(self.search)
        layout.addWidget(self._none)
        layout.addWidget(self.tree, 1)
        self.search.textChanged.connect(self._refill)
        self.search.returnPressed.connect(self.entered)
        self.tree.currentItemChanged.connect(self._on_current)

    def fill(self, groups: Mapping[str, Iterable[ListEntry]]) -> None:
        """Put entries in place, by heading; the first of them is chosen."""
        self._groups = {heading: tuple(entries) for heading, entries in groups.items()}
        self._refill()

    def choose(self, key: str) -> None:
        """Choose an entry, whatever was searched for before."""
        if self._item(key) is None:
            self.search.clear()
        item = self._item(key)
        if item is not None:
            self.tree.setCurrentItem(item)

    def chosen_key(self) -> str:
        """The key of the chosen entry; empty where none is."""
        item = self.tree.currentItem()
        return str(item.data(0, _KEY) or "") if item is not None else ""

    @Slot()
    def _refill(self) -> None:
        """Show what holds all the words; stay at the chosen one where it is among them."""
        kept, words = self.chosen_key(), self.search.text().casefold().split()
        with QSignalBlocker(self.tree):
            self.tree.clear()
            for heading, entries in self._groups.items():
                found = [e for e in entries if all(word in e.words.casefold() for word in words)]
                if found:
                    self._add(heading, found)
            self.tree.expandAll()
            item = self._item(kept) or self._first()
            if item is not None:
                self.tree.setCurrentItem(item)
        self._none.setVisible(item is None)
        if self.chosen_key() != kept:
            self.chosen.emit(self.chosen_key())

    def _add(self, heading: str, entries: list[ListEntry]) -> None:
        parent: QTreeWidget | QTreeWidgetItem = self.tree
        if heading:
            parent = QTreeWidgetItem(self.tree, [heading])
            parent.setFlags(Qt.ItemFlag.ItemIsEnabled)
            font = parent.font(0)
            font.setBold(True)
            parent.setFont(0, font)
        for entry in entries:
            item = QTreeWidgetItem(parent, [entry.text])
            item.setToolTip(0, entry.tip)
            item.setData(0, _KEY, entry.key)

    def _items(self) -> Iterable[QTreeWidgetItem]:
        """Every entry, headings left out."""
        for row in range(self.tree.topLevelItemCount()):
            top = self.tree.topLevelItem(row)
            yield from [top] if top.data(0, _KEY) else map(top.child, range(top.childCount()))

    def _item(self, key: str) -> QTreeWidgetItem | None:
        return next((item for item in self._items() if key and item.data(0, _KEY) == key), None)

    def _first(self) -> QTreeWidgetItem | None:
        return next(iter(self._items()), None)

    @Slot(QTreeWidgetItem, QTreeWidgetItem)
    def _on_current(self, item: QTreeWidgetItem | None, _: object) -> None:
        if item is not None and item.data(0, _KEY):
            self.chosen.emit(str(item.data(0, _KEY)))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Lead from the search into the list with the arrow down."""
        is_down = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress
        if watched is self.search and is_down and event.key() in _DOWN:
            self.tree.setFocus()
            return True
        return super().eventFilter(watched, event)
