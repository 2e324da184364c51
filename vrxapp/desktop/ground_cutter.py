"""The ground of many zones, cut in the background while the map shows the zones without rates."""

from functools import partial

from PySide6.QtCore import QObject, Slot

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.errors import VrxError
from vrxapp.ground.zone_repair import do_tile
from vrxapp.prescription.ground_plan import ground_plan
from vrxapp.progress import Cancelled, Progress
from vrxapp.season import Season


class GroundCutter(QObject):
    """Cuts ground for the document on screen; few zones are cut at once and never come here."""

    def __init__(self, jobs: JobRunner, parent: QObject) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._document: FarmDocument | None = None
        jobs.finished.connect(self._on_idle)

    def follow(self, document: FarmDocument) -> None:
        """Cut the ground of another document from now on."""
        self._document = document
        document.cut_aside(self._cut)

    def _cut(self, season: Season) -> None:
        """Begin with the ground of a season."""
        document = self._document
        done = partial(self._on_cut, document, season)
        self._jobs.start("Cutting the ground", partial(_cut_ground, document, season), done)

    def _on_cut(self, document: FarmDocument, season: Season, refused: VrxError | None) -> None:
        if document is self._document:
            document.ground_is_cut(season, refused)

    @Slot()
    def _on_idle(self) -> None:
        """Where cutting was cancelled, the next look at the plan asks again."""
        if self._document is not None and self._document.is_ground_pending(self._document.season):
            self._document.ask_again()


def _cut_ground(document: FarmDocument, season: Season, watch: Progress) -> VrxError | None:
    """Cut the ground, which is then at hand, unless an edit has made other zones meanwhile."""
    if document.season.zones is not season.zones:
        raise Cancelled
    watch.step(1, 2, f"Cutting the ground of {len(season.zones.ids):,} zones")
    do_tile(season.zones, season.paddock)
    try:
        ground_plan(season.paddock, season.zones, season.strips)
    except VrxError as error:
        return error
    return None
