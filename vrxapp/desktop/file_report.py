"""What is in a file: looked at on screen before anything is done with it."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Qt, Slot
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.progress import Progress

_FOLDER = "folders/open"
_KINDS = (
    "Everything that is read here (*.geojson *.json *.shp *.zip *.gpkg *.kml *.kmz *.csv *.txt "
    "*.xlsx *.tif *.tiff)"
)


class FileReport(QDialog):
    """The facts of one file, to be read and copied."""

    def __init__(self, name: str, lines: list[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("fileReport")
        self.setWindowTitle(f"What is in {name}")
        self.resize(640, 480)
        text = QPlainTextEdit("\n".join(lines), self)
        text.setObjectName("fileReportText")
        text.setAccessibleName("What is in the file")
        text.setReadOnly(True)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(text, 1)
        layout.addWidget(buttons)


class FileLooker(QObject):
    """Asks for a file and tells what is in it."""

    def __init__(self, window: MainWindow, jobs: JobRunner) -> None:
        super().__init__(window)
        self._window, self._jobs = window, jobs

    @Slot()
    def ask(self) -> None:
        """Ask for a file and tell what is in it."""
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, "What is in a file", start, _KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.look_at(Path(name))

    def look_at(self, path: Path) -> None:
        """Read a file in the background and show its facts."""
        done = partial(self._show, path.name)
        self._jobs.start("Looking at the file", partial(_lines, path), done)

    def _show(self, name: str, lines: list[str]) -> None:
        report = FileReport(name, lines, self._window)
        report.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        report.open()


def _lines(path: Path, _: Progress) -> list[str]:
    from vrxapp.workflows.describe import described, told_lines

    return told_lines(described(path))
