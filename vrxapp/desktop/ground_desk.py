"""Exclusions and points of the open season taken from files, in the background."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Slot
from PySide6.QtWidgets import QFileDialog

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.open_dialog import shape_kinds
from vrxapp.desktop.stages.ground import GroundSheet
from vrxapp.errors import Note
from vrxapp.ground.exclusions import ExclusionKind
from vrxapp.ground.ground_points import GroundPointKind
from vrxapp.season import Season

_FOLDER = "folders/ground"
_Changed = tuple[Season, tuple[Note, ...]]


class GroundDesk(QObject):
    """Does what may take long with the ground, and makes the result the season's in one step."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document

    def take_from(self, sheet: GroundSheet) -> None:
        """Do what the Ground sheet asks for."""
        sheet.exclusions.file_requested.connect(self.ask_for_exclusions)
        sheet.points.file_requested.connect(self.ask_for_points)

    @Slot(str, float)
    def ask_for_exclusions(self, kind: str, setback_m: float) -> None:
        """Ask for a file and add its exclusions; kind and setback are for those that tell none."""
        path = self._asked("Exclusions from a file")
        if path is not None:
            self._start(
                "Reading the exclusions",
                "Take exclusions from a file",
                partial(_exclusions, path=path, kind=kind, setback_m=setback_m),
            )

    @Slot(str)
    def ask_for_points(self, kind: str) -> None:
        """Ask for a file and add its points; the kind is for those that tell none."""
        path = self._asked("Ground points from a file")
        if path is not None:
            self.open_points(path, kind=kind)

    def open_points(self, path: Path, *, kind: str) -> None:
        """Add the points of a file in the background."""
        self._start(
            "Reading the points",
            "Take ground points from a file",
            partial(_points, path=path, kind=kind),
        )

    def _asked(self, title: str) -> Path | None:
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, title, start, shape_kinds())
        if not name:
            return None
        QSettings().setValue(_FOLDER, str(Path(name).parent))
        return Path(name)

    def _start(self, text: str, step: str, change: Callable[[Season], _Changed]) -> None:
        """Work out another season in the background."""
        document = self._document()
        before = document.season
        done = partial(self._on_changed, document=document, before=before, step=step)
        self._jobs.start(text, lambda _progress: change(before), done)

    def _on_changed(
        self, changed: _Changed, *, document: FarmDocument, before: Season, step: str
    ) -> None:
        """Use the result, unless another farm or season has been opened or edited since."""
        season, notes = changed
        if document is not self._document() or document.season is not before:
            self._window.message.tell(
                "The season was changed meanwhile, so the file was not used. Do it again."
            )
            return
        document.edit(step, lambda _season: season)
        if notes:
            self._window.message.tell("\n".join(map(str, notes)))


def _exclusions(season: Season, *, path: Path, kind: str, setback_m: float) -> _Changed:
    from vrxapp.workflows.ground_files import exclusions_from_file  # brings the readers of files

    return exclusions_from_file(season, path, kind=ExclusionKind(kind), setback_m=setback_m)


def _points(season: Season, *, path: Path, kind: str) -> _Changed:
    from vrxapp.workflows.ground_files import points_from_file  # brings the readers of files

    return points_from_file(season, path, kind=GroundPointKind(kind))
