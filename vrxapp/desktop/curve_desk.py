"""A budget by response curves: opens its dialog, and works it out in the background."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Qt, Slot

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.stages.rates import RatesSheet
from vrxapp.errors import VrxError
from vrxapp.prescription.zone_curve import ZoneCurve, curves_here
from vrxapp.progress import Progress
from vrxapp.season import Season

if TYPE_CHECKING:
    from vrxapp.desktop.stages.curves_dialog import CurveQuestion, CurvesDialog


class CurveDesk(QObject):
    """Keeps the curves of each season while its farm is open; the farm file holds none."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document
        # of each season its curves, and the zones that their rows mean
        self._curves: dict[str, tuple[tuple[ZoneCurve, ...], tuple[str, ...]]] = {}

    def take_from(self, sheet: RatesSheet) -> None:
        """Open the dialog when the Rates sheet asks for it; another farm begins without curves."""
        self._curves.clear()
        sheet.curves_requested.connect(self.ask_for_curves)

    @Slot()
    def ask_for_curves(self) -> None:
        """Open the dialog with the curves that were given before."""
        from vrxapp.desktop.stages.curves_dialog import CurvesDialog  # only once it is asked for

        document = self._document()
        season = document.season
        curves, zone_ids = self._curves.get(season.id, ((), ()))
        dialog = CurvesDialog(season, curves_here(curves, zone_ids, season), self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.asked.connect(lambda question: self._work_out(dialog, season, question))
        dialog.finished.connect(lambda: self._keep(document, season, dialog.curves))
        dialog.open()

    def _keep(self, document: FarmDocument, season: Season, curves: tuple[ZoneCurve, ...]) -> None:
        """Keep the curves, unless another farm has been opened meanwhile."""
        if document is self._document():
            self._curves[season.id] = (curves, season.zones.ids)

    def _work_out(self, dialog: "CurvesDialog", season: Season, question: "CurveQuestion") -> None:
        """Work the question out in the background; only a dialog that still asks it is told."""
        is_open = [True]
        dialog.destroyed.connect(lambda: is_open.clear())

        def done(answer: tuple[Any, ...] | VrxError) -> None:
            if not is_open or question is not dialog.question:
                return
            if isinstance(answer, VrxError):
                dialog.show_error(answer)
            else:
                dialog.show_answer(*answer)

        self._jobs.start("Sharing the money out", lambda p: _answer(season, question, p), done)


def _answer(
    season: Season, question: "CurveQuestion", progress: Progress
) -> tuple[Any, ...] | VrxError:
    """The money shared out with its rows and notes, or why it cannot be."""
    from vrxapp.workflows.curve_budget import NOTES, curve_budget, curve_rows  # brings the solver

    try:
        by = curve_budget(
            season,
            question.curves,
            money=question.money,
            crop_price_t=question.crop_price_t,
            extra_return=question.extra_return,
            progress=progress,
        )
    except VrxError as error:
        return error
    return by, curve_rows(by, season.zones.names), NOTES
