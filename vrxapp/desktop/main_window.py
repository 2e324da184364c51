"""The window: it only assembles. Rail, map, table and sheets each know their own work."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QMainWindow,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.message_bar import MessageBar
from vrxapp.desktop.stage_rail import StageRail
from vrxapp.desktop.status_line import StatusLine
from vrxapp.desktop.theme import apply_theme, scheme_of

if TYPE_CHECKING:
    from vrxapp.desktop.map.map_view import MapView

SHEET_WIDTH = 380


class MainWindow(QMainWindow):
    """An empty window that can be shown at once; the desk fills it."""

    files_dropped = Signal(list)  # paths as text
    close_requested = Signal()

    def __init__(self, *, is_dark: bool = False) -> None:
        super().__init__()
        self.setObjectName("mainWindow")
        self.setWindowTitle("vrxapp")
        self.resize(1280, 720)
        self.setAcceptDrops(True)
        self.is_dark = is_dark
        self.map: MapView | None = None
        self.rail = StageRail(self)
        self._before_map = QWidget(self)
        self._before_map.setObjectName("emptyGround")
        self.message = MessageBar(self)
        self.status = StatusLine(self)
        self.sheets = QStackedWidget(self)
        self.sheets.setObjectName("stageSheet")
        self.table_place = QSplitter(Qt.Orientation.Vertical, self)
        self._lay_out()
        self.rail.stage_chosen.connect(self.show_stage)
        self.set_dark(is_dark=is_dark)

    def _lay_out(self) -> None:
        middle = QWidget(self)
        column = QVBoxLayout(middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.message)
        self.table_place.addWidget(self._before_map)
        self.table_place.setChildrenCollapsible(False)
        column.addWidget(self.table_place, 1)
        across = QSplitter(Qt.Orientation.Horizontal, self)
        across.addWidget(middle)
        across.addWidget(self.sheets)
        across.setStretchFactor(0, 1)
        across.setChildrenCollapsible(False)
        across.setSizes([self.width() - SHEET_WIDTH, SHEET_WIDTH])
        self.sheets.setMinimumWidth(300)
        whole = QWidget(self)
        row = QHBoxLayout(whole)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.rail)
        row.addWidget(across, 1)
        self.setCentralWidget(whole)
        self.statusBar().addWidget(self.status, 1)
        self.statusBar().setSizeGripEnabled(False)

    def bring_map(self) -> None:
        """Put the map into the window; what it draws with is too heavy for the first paint."""
        from vrxapp.desktop.map.map_view import MapView

        self.map = MapView(self)
        self.table_place.replaceWidget(0, self.map)
        self._before_map.deleteLater()
        self.map.position_changed.connect(self.status.show_position)
        self.map.scale_changed.connect(self.status.show_scale)
        self.map.set_dark(self.is_dark)
        self.map.setFocus()

    def add_sheet(self, key: str, sheet: QWidget, beneath: QWidget | None = None) -> None:
        """Add the sheet of a stage; it scrolls where the window is low, what lies beneath stays."""
        area = QScrollArea(self.sheets)
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(sheet)
        page: QWidget = area
        if beneath is not None:
            page = QSplitter(Qt.Orientation.Vertical, self.sheets)
            page.setChildrenCollapsible(False)
            page.addWidget(area)
            page.addWidget(beneath)
            page.setStretchFactor(0, 2)
            page.setStretchFactor(1, 1)
        page.setObjectName(f"{key}Area")
        self.sheets.addWidget(page)

    @Slot(str)
    def show_stage(self, key: str) -> None:
        """Open a stage beside the map."""
        for index in range(self.sheets.count()):
            if self.sheets.widget(index).objectName() == f"{key}Area":
                self.sheets.setCurrentIndex(index)
                self.rail.show_stage(key)

    def set_dark(self, *, is_dark: bool) -> None:
        """Change between light and dark."""
        self.is_dark = is_dark
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        apply_theme(application, is_dark=is_dark)
        scheme = scheme_of(is_dark=is_dark)
        for part in (self.rail, self.message, self.status):
            part.set_scheme(scheme)
        if self.map is not None:
            self.map.set_dark(is_dark)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take files, and nothing else."""
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Hand the files on."""
        event.acceptProposedAction()
        paths = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        self.files_dropped.emit(paths)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Say that the window is about to go."""
        self.close_requested.emit()
        super().closeEvent(event)
