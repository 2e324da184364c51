"""The Handover sheet: write the files for the spreader and see what the read-back found."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QLabel, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import faint, heading, title
from vrxapp.desktop.stages.totals_label import TotalsLabel
from vrxapp.ground.exclusions import SETBACK_CAUTION
from vrxapp.ground.ground_points import cautions_for
from vrxapp.prescription.mix import mix_cautions

if TYPE_CHECKING:
    from vrxapp.workflows.hand_over import HandOver

PURPOSE = (
    "Makes a new folder: Shapefile and GeoJSON for the contractor, without price and laboratory "
    "value, and the trail of every rate for you. Each file is read back by another reader and "
    "compared with the plan before it is put in place."
)


class HandoverSheet(QWidget):
    """One button, and what came of it."""

    hand_over_requested = Signal()

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("handoverSheet")
        self._document = document
        self._write = QPushButton("&Write the files…", self)
        self._write.setObjectName("handOverButton")
        self._write.setToolTip("Choose a folder and write the files there (Ctrl+E)")
        self._write.clicked.connect(self.hand_over_requested)
        self._result = QTextBrowser(self)
        self._result.setObjectName("handOverResult")
        self._result.setAccessibleName("Result of the hand-over")
        self._result.setPlaceholderText("Nothing has been written yet.")
        self._cautions = QLabel(self)
        self._cautions.setObjectName("handOverCautions")
        self._cautions.setWordWrap(True)
        self._cautions.setTextFormat(Qt.TextFormat.PlainText)
        layout = QVBoxLayout(self)
        layout.addWidget(title("Handover", self))
        layout.addWidget(faint(PURPOSE, self))
        layout.addWidget(TotalsLabel(document, self))
        layout.addWidget(self._write)
        layout.addWidget(self._result, 1)
        layout.addWidget(heading("Mind", self))
        layout.addWidget(self._cautions)
        document.changed.connect(self._on_changed)
        document.operation_chosen.connect(self._on_changed)
        self._show_cautions()

    def show_result(self, done: "HandOver") -> None:
        """Tell where the files are and what reading them back showed."""
        lines = [f"Put in place: {done.folder}", ""]
        for back in done.read_backs:
            lines += [
                f"{back.file}, read back by {back.reader}:",
                f"  {back.parts} parts, {back.written_kg:,.1f} kg written, "
                f"{back.planned_kg:,.1f} kg planned ({back.difference_percent:+.4f} %)",
            ]
        lines += [str(note) for note in done.notes]
        lines += ["", *(str(path.relative_to(done.folder)) for path in done.files)]
        self._result.setPlainText("\n".join(lines))

    @Slot()
    def _on_changed(self) -> None:
        if self._result.toPlainText():
            self._result.setPlainText("The plan has changed since it was handed over.")
        self._show_cautions()

    def _show_cautions(self) -> None:
        points = self._document.season.ground_points
        lines = (*mix_cautions(self._document.operation), SETBACK_CAUTION, *cautions_for(points))
        self._cautions.setText("\n".join(f"• {line}" for line in lines))


def proposed_folder(parent: Path, document: FarmDocument) -> Path:
    """A name for the new folder that is still free."""
    operation = document.operation
    name = f"{document.season.paddock.name} {operation.name} r{operation.revision}"
    folder, number = parent / name, 1
    while folder.exists():
        number += 1
        folder = parent / f"{name} ({number})"
    return folder
