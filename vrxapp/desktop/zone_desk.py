"""Zones of the open season taken from a file, in the background."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Slot
from PySide6.QtWidgets import QFileDialog

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.stages.zones import ZonesSheet
from vrxapp.errors import Note
from vrxapp.progress import Progress
from vrxapp.season import Season

ZONE_KINDS = "Zones (*.geojson *.json *.shp *.zip *.gpkg *.kml *.kmz)"
_FOLDER = "folders/zones"
_Read = tuple[Season, tuple[Note, ...]]


class ZoneDesk(QObject):
    """Asks for a file of zones, mends them, and makes them the season's in one step."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document

    def take_from(self, sheet: ZonesSheet) -> None:
        """Do what the Zones sheet asks for."""
        sheet.file_requested.connect(self.ask_for_zones)

    @Slot()
    def ask_for_zones(self) -> None:
        """Ask for a file and take the zones from it."""
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, "Zones from a file", start, ZONE_KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.open_zones(Path(name))

    def open_zones(self, path: Path) -> None:
        """Take the zones from a file in the background."""
        document = self._document()
        before = document.season
        work = partial(_read, before, path)
        done = partial(self._on_read, document=document, before=before)
        self._jobs.start("Reading the zones", work, done)

    def _on_read(self, read: _Read, *, document: FarmDocument, before: Season) -> None:
        """Use the zones, unless another farm or season has been opened or edited since."""
        season, notes = read
        if document is not self._document() or document.season is not before:
            self._window.message.tell(
                "The season was changed while its zones were read, so they were not used. "
                "Take them from the file again."
            )
            return
        document.edit("Take zones from a file", lambda _season: season)
        told = " ".join(map(str, notes))
        self._window.message.tell(told or "The zones cover the paddock without gap or overlap.")


def _read(season: Season, path: Path, _progress: Progress) -> _Read:
    """The season with the zones of a file, and what was mended."""
    from vrxapp.workflows.zone_files import zones_from_file

    return zones_from_file(season, path)
