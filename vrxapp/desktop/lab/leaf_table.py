"""The classes of a leaf test as a table: a word, a shade, and the source as a tip."""

import numpy as np
from PySide6.QtCore import QAbstractTableModel, QModelIndex, Qt
from PySide6.QtGui import QColor

from vrxapp.agronomy.tissue import TissueClass, source_word
from vrxapp.agronomy.trail import printed_value
from vrxapp.legend import LESS_RAMP, MORE_RAMP
from vrxapp.workflows.leaf_tests import LeafReport, range_words, source_words

SHADES = {
    TissueClass.DEFICIENT: LESS_RAMP[2],
    TissueClass.MARGINAL: LESS_RAMP[1],
    TissueClass.BELOW: LESS_RAMP[1],
    TissueClass.ADEQUATE: LESS_RAMP[0],
    TissueClass.HIGH: MORE_RAMP[1],
    TissueClass.TOXIC: MORE_RAMP[2],
}
"""Blue for too little, orange for too much: told apart by everybody, and the word stands there."""
DARK_TEXT, LIGHT_TEXT = "#000000", "#ffffff"


def text_on(fill: str) -> str:
    """Black or white, whichever stands out more from a fill."""
    lit = _luminance(fill)
    return DARK_TEXT if (lit + 0.05) / 0.05 >= 1.05 / (lit + 0.05) else LIGHT_TEXT


def _luminance(color: str) -> float:
    """Relative luminance of a colour, 0 to 1."""
    channels = (int(color[at : at + 2], 16) / 255.0 for at in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


class LeafModel(QAbstractTableModel):
    """One row a sample, one column a nutrient."""

    def __init__(self, report: LeafReport) -> None:
        super().__init__()
        self._report = report

    def rowCount(self, parent: QModelIndex | None = None) -> int:
        """How many samples there are."""
        return 0 if parent is not None and parent.isValid() else len(self._report.sheet.samples)

    def columnCount(self, parent: QModelIndex | None = None) -> int:
        """How many nutrients there are."""
        return 0 if parent is not None and parent.isValid() else len(self._report.sheet.nutrients)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Samples down, nutrients with their unit across."""
        sheet = self._report.sheet
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if orientation == Qt.Orientation.Vertical:
            return sheet.samples[section]
        return f"{sheet.nutrients[section]}, {sheet.units[section]}"

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """One result: its class in words, the shade, and where it comes from."""
        known = TissueClass(str(self._report.found.classes[index.row(), index.column()]))
        if role == Qt.ItemDataRole.DisplayRole:
            return self._text(index, known)
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._tip(index, known)
        if known in SHADES and role == Qt.ItemDataRole.BackgroundRole:
            return QColor(SHADES[known])
        if known in SHADES and role == Qt.ItemDataRole.ForegroundRole:
            return QColor(text_on(SHADES[known]))
        return None

    def _text(self, index: QModelIndex, known: TissueClass) -> str:
        sheet = self._report.sheet
        value = float(sheet.values[index.row(), index.column()])
        if np.isnan(value):
            return ""
        limit = "half of <, " if sheet.limits[index.row(), index.column()] == "<" else ""
        return f"{printed_value(value)}  {limit}{known or 'no class'}"

    def _tip(self, index: QModelIndex, known: TissueClass) -> str:
        limits = self._report.found.ranges[index.column()]
        if limits is None:
            return self._report.found.reasons[index.column()]
        word = source_word(limits, known)
        own = f"\nThe source calls it {word}" if word and word != known else ""
        return f"{range_words(limits)}\n{source_words(limits, known)}{own}"
