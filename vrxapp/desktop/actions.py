"""The actions: one each for menu, shortcut and tooltip."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence, QUndoGroup
from PySide6.QtWidgets import QMainWindow, QToolBar

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.icons import icon


@dataclass(frozen=True, slots=True)
class ActionSpec:
    """What an action is called, by which key it is reached, and what it does."""

    name: str
    text: str
    tip: str
    keys: str
    icon: str
    do: Callable[[], None]


class Actions:
    """Builds menus and the toolbar of a window from the same actions."""

    def __init__(self, window: QMainWindow) -> None:
        self._window = window
        self._icons: dict[QAction, str] = {}
        self.bar = QToolBar("Main", window)
        self.bar.setObjectName("mainToolBar")
        self.bar.setMovable(False)
        window.addToolBar(self.bar)

    def add_menu(self, title: str, specs: tuple[ActionSpec, ...]) -> None:
        """A menu with some actions; those with an icon stand in the toolbar too."""
        menu = self._window.menuBar().addMenu(title)
        menu.setToolTipsVisible(True)
        for spec in specs:
            action = QAction(spec.text, self._window)
            action.setObjectName(spec.name)
            action.setShortcut(QKeySequence(spec.keys))
            action.triggered.connect(spec.do)
            self._finish(action, spec.tip, spec.icon)
            menu.addAction(action)

    def add_undo_menu(self, title: str, group: QUndoGroup) -> None:
        """Undo and redo, named after what they would undo and redo."""
        menu = self._window.menuBar().addMenu(title)
        for name, action, keys in (
            ("undo", group.createUndoAction(self._window, "&Undo"), "Ctrl+Z"),
            ("redo", group.createRedoAction(self._window, "&Redo"), "Ctrl+Shift+Z"),
        ):
            action.setObjectName(f"{name}Action")
            action.setShortcut(QKeySequence(keys))
            self._finish(action, name.capitalize(), name)
            menu.addAction(action)

    def _finish(self, action: QAction, tip: str, icon_name: str) -> None:
        keys = action.shortcut().toString()
        action.setToolTip(f"{tip} ({keys})" if keys else tip)
        action.setStatusTip("")
        if icon_name:
            self._icons[action] = icon_name
            self.bar.addAction(action)

    def set_scheme(self, scheme: Scheme) -> None:
        """Draw the icons in the colour of the text."""
        for action, name in self._icons.items():
            action.setIcon(icon(name, scheme.text))
