"""The ways of mapping beside each other: how far each is off at samples left out."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTableWidget, QWidget

from vrxapp.desktop.stages.shown_table import fill_row, prepare_table
from vrxapp.workflows.interpolation_study import MapStudy
from vrxapp.workflows.interpolation_words import compared_ways, unit_of_comparison

_HEADINGS = ("Way", "Typical difference", "Bias", "Samples", "")
_TIPS = (
    "How values between the samples are told",
    "Root mean square of estimate less result, each sample left out in turn",
    "Mean of estimate less result: 0 is neither too high nor too low",
    "How many samples were left out in turn",
    "",
)
_MOST_ROWS = 4


class WaysTable(QTableWidget):
    """A row a way; the advised one is bold and says so."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        prepare_table(self, "mapWaysTable", "Ways of mapping compared", _HEADINGS)
        for column, tip in enumerate(_TIPS):
            self.horizontalHeaderItem(column).setToolTip(tip)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        row, head = self.verticalHeader().defaultSectionSize(), self.horizontalHeader().sizeHint()
        self.setFixedHeight(row * _MOST_ROWS + head.height() + 4)

    def show_study(self, study: MapStudy | None) -> None:
        """Write a row a way; nothing without a study."""
        self.setRowCount(0)
        if study is None:
            return
        unit = unit_of_comparison(study).removeprefix("in ").removeprefix("natural ")
        told = f", {unit}" if unit else ""
        self.setHorizontalHeaderLabels(
            [*_HEADINGS[:1], *(f"{h}{told}" for h in _HEADINGS[1:3]), *_HEADINGS[3:]]
        )
        for row, compared in enumerate(compared_ways(study)):
            self.insertRow(row)
            texts = (
                str(compared.way),
                f"{compared.typical_difference:.3g}",
                f"{round(compared.bias, 2) + 0.0:+.2f}",
                str(compared.samples),
                "advised" if compared.is_advised else "",
            )
            fill_row(self, row, texts, words=(0, len(texts) - 1))
            font = self.font()
            font.setBold(compared.is_advised)
            for column in range(len(texts)):
                self.item(row, column).setFont(font)
