"""Where one more sample would pay most, in one line of the Tests sheet."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QLabel, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.errors import VrxError
from vrxapp.prescription.sampling_ranking import first_line


class NextSampleLabel(QLabel):
    """One line for the operation that is shown; hidden where no chance is known."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("nextSampleLabel")
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setToolTip(
            "By the ground that may be treated as the wrong class; in money on the command line: "
            "vrxapp next-sample"
        )
        self._document = document
        document.changed.connect(self.show_season)
        document.operation_chosen.connect(self.show_season)
        self.show_season()

    @Slot()
    def show_season(self) -> None:
        """Write the line, or hide where there is nothing to rank."""
        try:
            line = first_line(self._document.season, self._document.operation)
        except VrxError:
            line = ""
        self.setText(line)
        self.setVisible(bool(line))
