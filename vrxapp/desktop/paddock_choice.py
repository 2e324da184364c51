"""Which paddock the window shows: a list in the toolbar, and keys for the next one."""

from PySide6.QtCore import QObject, QSignalBlocker, Qt, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QToolBar, QWidget

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import fill_combo
from vrxapp.farm import season_titles

TIP = "Which paddock is shown (Ctrl+P; Ctrl+Page Up and Page Down step through them)"


class PaddockChoice(QObject):
    """Shows the seasons of the open farm and lets the user choose one."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._document: FarmDocument | None = None
        self._combo = QComboBox(parent)
        self._combo.setObjectName("paddockCombo")
        self._combo.setAccessibleName("Paddock")
        self._combo.setToolTip(TIP)
        self._combo.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self._combo.activated.connect(self._on_activated)
        self._in_bar: tuple[QAction, ...] = ()

    def stand_in(self, bar: QToolBar) -> None:
        """Take a place at the end of a toolbar."""
        self._in_bar = (bar.addSeparator(), bar.addWidget(self._combo))
        self._show_seasons()

    def specs(self) -> tuple[ActionSpec, ...]:
        """The actions of the View menu."""
        return (
            ActionSpec(
                "choosePaddockAction",
                "&Paddock…",
                "Choose the paddock that is shown",
                "Ctrl+P",
                "",
                self.open_list,
            ),
            ActionSpec(
                "nextPaddockAction",
                "&Next paddock",
                "Show the next paddock",
                "Ctrl+PgDown",
                "",
                lambda: self.step(1),
            ),
            ActionSpec(
                "previousPaddockAction",
                "P&revious paddock",
                "Show the previous paddock",
                "Ctrl+PgUp",
                "",
                lambda: self.step(-1),
            ),
        )

    def follow(self, document: FarmDocument) -> None:
        """Show the seasons of another document."""
        self._document = document
        document.changed.connect(self._show_seasons)
        self._show_seasons()

    @Slot()
    def open_list(self) -> None:
        """Open the list, for arrow keys and Enter."""
        if self._combo.count() > 1:
            self._combo.setFocus()
            self._combo.showPopup()

    def step(self, by: int) -> None:
        """Show the season that many places on, and after the last one the first."""
        if self._document is not None and self._combo.count() > 1:
            index = (self._combo.currentIndex() + by) % self._combo.count()
            self._document.choose_season(self._combo.itemData(index))

    @Slot(int)
    def _on_activated(self, index: int) -> None:
        if self._document is not None:
            self._document.choose_season(self._combo.itemData(index))

    @Slot()
    def _show_seasons(self) -> None:
        """List the seasons; a farm of one needs no list."""
        if self._document is None:
            return
        farm = self._document.farm
        blocker = QSignalBlocker(self._combo)
        ids = [season.id for season in farm.seasons]
        entries = list(zip(season_titles(farm), ids, strict=True))
        fill_combo(self._combo, entries, self._document.season_id)
        del blocker
        for action in self._in_bar:
            action.setVisible(len(ids) > 1)
