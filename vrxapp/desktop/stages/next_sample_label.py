"""Where one more sample would pay most, in one line of the Tests sheet."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QLabel, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.errors import VrxError
from vrxapp.prescription.sampling_ranking import first_line, ranked_zones

_MOST = 6
_HOW = (
    "Ranked by the ground that may be treated as the wrong class; in money on the command line: "
    "vrxapp next-sample"
)


class NextSampleLabel(QLabel):
    """One line for the operation that is shown; hidden where no chance is known."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("nextSampleLabel")
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self._document = document
        document.changed.connect(self.show_season)
        document.operation_chosen.connect(self.show_season)
        self.show_season()

    @Slot()
    def show_season(self) -> None:
        """Write the line, or hide where there is nothing to rank."""
        try:
            self._document.require_ground()
            ranked = ranked_zones(self._document.season, self._document.operation)
        except VrxError:
            ranked = ()
        self.setText(first_line(ranked))
        lines = [f"{zone.zone}, {zone.area_ha:.1f} ha: {zone.reason}" for zone in ranked[:_MOST]]
        self.setToolTip("\n".join([*lines, _HOW]))
        self.setVisible(bool(ranked))
