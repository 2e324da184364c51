"""Zones of the open season taken from a file, or mended, in the background."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Qt, Slot
from PySide6.QtWidgets import QFileDialog

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.open_dialog import shape_kinds
from vrxapp.desktop.stages.zones import ZonesSheet
from vrxapp.edits.zones import mend
from vrxapp.errors import Note, begun
from vrxapp.progress import Progress
from vrxapp.season import Season

_FOLDER = "folders/zones"
_Changed = tuple[Season, tuple[Note, ...]]


class ZoneDesk(QObject):
    """Does what may take long with zones, and makes the result the season's in one step."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document
        self._sheet: ZonesSheet | None = None

    def specs(self) -> tuple[ActionSpec, ...]:
        """The actions of the Zones menu."""
        return (
            ActionSpec(
                "zonesFromDataAction",
                "Zones from &data…",
                "Make zones from map layers, points, harvests or soil tests",
                "Ctrl+Shift+D",
                "",
                self.ask_about_data,
            ),
            ActionSpec(
                "zonesFromFileAction",
                "Zones from a &file…",
                "Take the zones from a file of shapes",
                "",
                "",
                self.ask_for_zones,
            ),
            ActionSpec(
                "mendZonesAction",
                "&Mend the zones",
                "Close gaps and clear overlaps",
                "",
                "",
                self.mend,
            ),
            ActionSpec(
                "zoneWorthAction",
                "What the zones are &worth",
                "What share of each soil test and map layer the zones explain",
                "",
                "",
                self.judge,
            ),
        )

    def take_from(self, sheet: ZonesSheet) -> None:
        """Do what the Zones sheet asks for."""
        self._sheet = sheet
        sheet.file_requested.connect(self.ask_for_zones)
        sheet.data_requested.connect(self.ask_about_data)
        sheet.mend_requested.connect(self.mend)
        sheet.worth_requested.connect(self.judge)

    @Slot()
    def ask_about_data(self) -> None:
        """Show the window that makes zones from data, beside the map."""
        from vrxapp.desktop.zoning.data_dialog import ZonesFromDataDialog

        self._window.show_stage("zones")
        dialog = ZonesFromDataDialog(
            self._document(), self._jobs, is_dark=self._window.is_dark, parent=self._window
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.show()

    @Slot()
    def judge(self) -> None:
        """Tell on the Zones sheet what the zones explain, worked out in the background."""
        self._window.show_stage("zones")
        season = self._document().season
        done = partial(self._on_judged, self._sheet, season)
        self._jobs.start("Judging the zones", partial(_worth, season), done)

    def _on_judged(self, sheet: ZonesSheet, season: Season, lines: tuple[str, ...]) -> None:
        """Show what the zones explain, unless they have been changed since."""
        if sheet is self._sheet and season is self._document().season:
            sheet.show_worth(lines)

    @Slot()
    def ask_for_zones(self) -> None:
        """Ask for a file and take the zones from it."""
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(
            self._window, "Zones from a file", start, shape_kinds()
        )
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.open_zones(Path(name))

    def open_zones(self, path: Path) -> None:
        """Take the zones from a file in the background."""
        self._start("Reading the zones", "Take zones from a file", partial(_read, path=path))

    @Slot()
    def mend(self) -> None:
        """Make the zones tile the paddock, in the background."""
        self._start("Mending the zones", "Mend the zones", mend)

    def _start(self, text: str, step: str, change: Callable[..., _Changed]) -> None:
        """Work out another season in the background."""
        document = self._document()
        before = document.season
        done = partial(self._on_changed, document=document, before=before, step=step)
        self._jobs.start(text, lambda watch: change(before, progress=watch), done)

    def _on_changed(
        self, changed: _Changed, *, document: FarmDocument, before: Season, step: str
    ) -> None:
        """Use the zones, unless another farm or season has been opened or edited since."""
        season, notes = changed
        if document is not self._document() or document.season is not before:
            self._window.message.tell(
                "The season was changed meanwhile, so these zones were not used. Do it again."
            )
            return
        document.edit(step, lambda _season: season)
        told = "\n".join(begun(str(note), note.file) for note in notes)
        self._window.message.tell(told or "The zones tile the paddock; nothing was to be mended.")


def _read(season: Season, path: Path, *, progress: Progress) -> _Changed:
    """The season with the zones of a file, and what was mended."""
    from vrxapp.workflows.zone_files import zones_from_file  # brings the readers of files

    return zones_from_file(season, path, progress=progress)


def _worth(season: Season, watch: Progress) -> tuple[str, ...]:
    """What the zones of a season explain, a sentence for each test and layer."""
    from vrxapp.workflows.zone_worth import told_worth, worth_of_zones

    return told_worth(worth_of_zones(season, season.zones.shapes, progress=watch))
