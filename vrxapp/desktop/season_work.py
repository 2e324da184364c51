"""Another season worked out in the background, and taken as one step where it still fits."""

from collections.abc import Callable
from functools import partial

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.errors import Note, begun
from vrxapp.progress import Progress
from vrxapp.season import Season

Changed = tuple[Season, tuple[Note, ...]]
"""Another season, and what is to be told of it."""


class SeasonWork:
    """Does what may take long with the open season of the document on screen."""

    def __init__(
        self,
        window: MainWindow,
        jobs: JobRunner,
        document: Callable[[], FarmDocument],
        *,
        what: str = "this was",
        quiet: str = "",
    ) -> None:
        """Keep the words for what was worked out, and for where nothing is to be told of it."""
        self._window, self._jobs, self._document = window, jobs, document
        self._what, self._quiet = what, quiet

    def start(self, text: str, step: str, change: Callable[[Season, Progress], Changed]) -> None:
        """Begin: what the status line says, the name of the step, and what works it out."""
        document = self._document()
        before = document.season
        done = partial(self._on_changed, document=document, before=before, step=step)
        self._jobs.start(text, partial(change, before), done)

    def _on_changed(
        self, changed: Changed, *, document: FarmDocument, before: Season, step: str
    ) -> None:
        """Use the result, unless another farm or season has been opened or edited since."""
        season, notes = changed
        if document is not self._document() or document.season is not before:
            self._window.message.tell(
                f"The season was changed meanwhile, so {self._what} not used. Do it again."
            )
            return
        document.edit(step, lambda _season: season)
        told = "\n".join(begun(str(note), note.file) for note in notes) or self._quiet
        if told:
            self._window.message.tell(told)
