"""The results of one sample with their classes, and the choice of another scale."""

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QFormLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.stages.scale_bar import (
    AIMS_ROLE,
    COUNT_ROLE,
    POSITION_ROLE,
    ScaleBarDelegate,
    TwoLineDelegate,
)
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, fill_combo, grown_form
from vrxapp.soil.interpretation_scales import scales
from vrxapp.workflows.class_lines import ClassLine
from vrxapp.workflows.class_words import (
    bar_of,
    chance_of_class,
    class_text,
    result_with_unit,
    told_line,
)

_RESULT, _CLASS = range(2)
_KEY_ROLE = Qt.ItemDataRole.UserRole
_DEFAULT = "the default"
_CLASS_WIDTH = 124  # holds the words of a critical range
_LEAST_HEIGHT = 190


class ClassTable(QWidget):
    """One line a test: result, class with its bar, and all that is to be known as a tip."""

    scale_chosen = Signal(str, str)  # key of the analyte, key of the scale or none for the default

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[ClassLine, ...] = ()
        self._chosen: dict[str, str] = {}
        self._table = QTableWidget(0, 2, self)
        self._table.setObjectName("sampleResults")
        self._table.setAccessibleName("Results of the sample")
        self._table.setHorizontalHeaderLabels(["Result", "Class"])
        self._table.verticalHeader().hide()
        self._table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self._table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self._table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self._table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self._table.setTabKeyNavigation(False)
        self._table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._table.setItemDelegateForColumn(_RESULT, TwoLineDelegate(self._table))
        self._table.setItemDelegateForColumn(_CLASS, ScaleBarDelegate(self._table))
        self._table.setMinimumHeight(_LEAST_HEIGHT)
        self._set_widths()
        self._scale = combo_field("scaleCombo", self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._table, 1)
        layout.addLayout(self._scale_row())
        self._table.currentCellChanged.connect(self._show_scales)
        self._scale.activated.connect(self._on_scale_chosen)

    def _set_widths(self) -> None:
        """The name of the test gives way first; it is whole in the tip."""
        header = self._table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionResizeMode(_RESULT, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(_CLASS, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(_CLASS, _CLASS_WIDTH)

    def _scale_row(self) -> QFormLayout:
        form = grown_form(None)
        add_row(form, "Sc&ale", self._scale, "The scale that the chosen test is classed by")
        return form

    def show_lines(self, lines: Sequence[ClassLine], *, chosen: dict[str, str]) -> None:
        """Show the results of a sample; the chosen test stays chosen wherever it stands now.

        Parameters
        ----------
        lines : sequence of ClassLine
            The tests.
        chosen : dict of str to str
            Scales that the user chose, by analyte.
        """
        row = self._table.currentRow()
        kept = self._lines[row].analyte.key if 0 <= row < len(self._lines) else ""
        self._chosen = chosen
        blocker = QSignalBlocker(self._table)
        self._lines = tuple(lines)
        self._table.setRowCount(len(self._lines))
        for at, line in enumerate(self._lines):
            tip = "\n".join(told_line(line))
            likely = chance_of_class(line)
            sure = f" · class {likely} sure" if likely else ""
            cells = (f"{line.analyte.name}\n{result_with_unit(line)}{sure}", class_text(line))
            for column, text in enumerate(cells):
                self._table.setItem(at, column, _item(text, tip, line))
        if self._lines:
            keys = [line.analyte.key for line in self._lines]
            self._table.setCurrentCell(keys.index(kept) if kept in keys else 0, _RESULT)
        del blocker
        self._show_scales()

    @Slot()
    def _show_scales(self, *_cells: int) -> None:
        """The scales that the chosen test can be classed by."""
        row = self._table.currentRow()
        key = self._lines[row].analyte.key if 0 <= row < len(self._lines) else ""
        known = [(scale.name, scale.key) for scale in scales() if scale.analyte_key == key]
        blocker = QSignalBlocker(self._scale)
        fill_combo(self._scale, [(_DEFAULT, ""), *known], self._chosen.get(key, ""))
        del blocker
        self._scale.setEnabled(bool(known))

    @Slot(int)
    def _on_scale_chosen(self, _index: int) -> None:
        key = self._lines[self._table.currentRow()].analyte.key
        self.scale_chosen.emit(key, self._scale.currentData())


def _item(text: str, tip: str, line: ClassLine) -> QTableWidgetItem:
    """A cell with all that is to be known of its line."""
    item = QTableWidgetItem(text)
    item.setToolTip(tip)
    item.setData(Qt.ItemDataRole.AccessibleDescriptionRole, tip)
    item.setData(_KEY_ROLE, line.analyte.key)
    bar = bar_of(line)
    item.setData(COUNT_ROLE, bar.count)
    item.setData(POSITION_ROLE, bar.position)
    item.setData(AIMS_ROLE, list(bar.aims))
    if line.basis:
        font = item.font()
        font.setItalic(True)
        item.setFont(font)
    return item
