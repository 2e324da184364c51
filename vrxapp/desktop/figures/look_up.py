"""The menu that looks things up: figures to work out, rules with equations, sources."""

from functools import partial

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDialog

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.main_window import MainWindow


class LookUp(QObject):
    """Opens the one window for figures, rules and sources, or brings it to the front."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def specs(self) -> tuple[ActionSpec, ...]:
        """The actions of the menu."""
        return (
            ActionSpec(
                "workFigureAction",
                "&Work out a figure…",
                "Work out a single figure: a conversion, an equation or a class",
                "Ctrl+Shift+W",
                "",
                partial(self.show_page, "figures"),
            ),
            ActionSpec(
                "explainRulesAction",
                "&Rules and their equations…",
                "Read each rule's equation, inputs, sources and check values",
                "",
                "",
                partial(self.show_page, "rules"),
            ),
            ActionSpec(
                "sourcesAction",
                "&Sources…",
                "Read where every number comes from and how well it is known",
                "",
                "",
                partial(self.show_page, "sources"),
            ),
        )

    def show_page(self, key: str) -> None:
        """Show a page of the window beside the map."""
        dialog = self._window.findChild(QDialog, "figuresDialog")
        if dialog is None:
            # reads every table and scipy's functions, so only when somebody asks
            from vrxapp.desktop.figures.figures_dialog import FiguresDialog

            dialog = FiguresDialog(self._window)
            dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.show_page(key)
        dialog.show()
        dialog.raise_()
        dialog.activateWindow()
