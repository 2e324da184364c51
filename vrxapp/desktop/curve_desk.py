"""A budget by response curves: opens its dialog, and works it out in the background."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Qt, Slot

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.stages.curves_dialog import CurveQuestion, CurvesDialog
from vrxapp.desktop.stages.rates import RatesSheet
from vrxapp.errors import VrxError
from vrxapp.prescription.zone_curve import ZoneCurve
from vrxapp.progress import Progress
from vrxapp.season import Season


class CurveDesk(QObject):
    """Keeps the curves of each season while the program runs; the farm file holds none."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document
        self._curves: dict[str, tuple[ZoneCurve, ...]] = {}

    def take_from(self, sheet: RatesSheet) -> None:
        """Open the dialog when the Rates sheet asks for it."""
        sheet.curves_requested.connect(self.ask_for_curves)

    @Slot()
    def ask_for_curves(self) -> None:
        """Open the dialog with the curves that were given before."""
        season = self._document().season
        known = {operation.id for operation in season.operations}
        kept = tuple(
            curve
            for curve in self._curves.get(season.id, ())
            if curve.operation_id in known and curve.zone_row < len(season.zones.ids)
        )
        dialog = CurvesDialog(season, kept, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.asked.connect(lambda question: self._work_out(dialog, season, question))
        dialog.finished.connect(lambda: self._curves.update({season.id: dialog.curves}))
        dialog.open()

    def _work_out(self, dialog: CurvesDialog, season: Season, question: CurveQuestion) -> None:
        """Work the question out in the background; a dialog that was closed gets no answer."""
        is_open = [True]
        dialog.destroyed.connect(lambda: is_open.clear())

        def done(answer: tuple[Any, ...] | VrxError) -> None:
            if not is_open:
                return
            if isinstance(answer, VrxError):
                dialog.show_error(answer)
            else:
                dialog.show_answer(*answer)

        self._jobs.start("Sharing the money out", lambda p: _answer(season, question, p), done)


def _answer(
    season: Season, question: CurveQuestion, progress: Progress
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
