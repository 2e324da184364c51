"""What came of making zones: a map of them, their figures, how crisp they are, their worth."""

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QScrollArea,
    QTableWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.map.layer import geometry_column
from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.desktop.stages.sheet_parts import faint, heading
from vrxapp.desktop.stages.shown_table import fill_row, prepare_table
from vrxapp.desktop.zoning.crispness_bars import CrispnessBars
from vrxapp.errors import begun
from vrxapp.ground.paddock import Paddock
from vrxapp.legend import LineStyle, Step, amount_classes
from vrxapp.units import PERCENT

if TYPE_CHECKING:
    from vrxapp.workflows.zone_worth import WorthLine
    from vrxapp.workflows.zones_from_data import ZonesFound

_ZONES = "zones"
_ZONE_PX, _FIGURE_PX, _LAYER_PX = 112, 78, 104
_HEAD_LINES = 3
_FIRST_LAYER = 3  # after name, area and sureness
_PLAIN = Step("zone", "#00000000")
_RIM = LineStyle("boundary", width_px=2.4)


class FoundView(QWidget):
    """Empty until zones are made."""

    number_chosen = Signal(int)

    def __init__(self, *, is_dark: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.map = MapView(self)
        self.map.setObjectName("zoningMap")
        self.map.setAccessibleName("Made zones")
        self.map.set_dark(is_dark)
        self._table = QTableWidget(self)
        prepare_table(self._table, "zoningTable", "Figures of the made zones")
        self._table.setShowGrid(False)
        self._bars_heading = heading("Crispness by number", self)
        self._bars = CrispnessBars(self)
        self._crisp = faint("", self, name="zoningCrispness")
        self._worth = QLabel(self)
        self._worth.setObjectName("zoningWorth")
        self._worth.setTextFormat(Qt.TextFormat.PlainText)
        self._worth.setWordWrap(True)
        self._worth.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._worth.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._worth.setMargin(8)
        self._tabs = QTabWidget(self)
        self._tabs.setObjectName("zoningTabs")
        self._colored = faint("", self, name="zoningColored")
        self._bars.number_chosen.connect(self.number_chosen)
        self._table.currentCellChanged.connect(self._on_row)
        self.map.selection_changed.connect(self._on_map)
        self._lay_out()

    def _lay_out(self) -> None:
        figures = QWidget(self)
        beside = QVBoxLayout()
        beside.addWidget(self._bars_heading)
        beside.addWidget(self._bars)
        beside.addWidget(self._crisp)
        beside.addStretch(1)
        across = QHBoxLayout(figures)
        across.addWidget(self._table, 1)
        across.addLayout(beside)
        told = QScrollArea(self)
        told.setWidgetResizable(True)
        told.setFrameShape(QFrame.Shape.NoFrame)
        told.setWidget(self._worth)
        self._tabs.addTab(figures, "&Zones")
        self._tabs.addTab(told, "What they e&xplain")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.map, 1)
        layout.addWidget(self._colored)
        layout.addWidget(self._tabs)
        self._tabs.setFixedHeight(226)
        self._crisp.setMaximumWidth(236)
        for part in (self._bars_heading, self._crisp, self._tabs, self._colored):
            part.hide()

    def show_paddock(self, paddock: Paddock) -> None:
        """Show a paddock without zones."""
        self.map.set_layers([_rim(paddock)])
        self.map.fit()

    def show_found(
        self, found: "ZonesFound", worth: tuple["WorthLine", ...], paddock: Paddock
    ) -> None:
        """Show zones that were made, and what they explain."""
        self.map.set_layers([_layer(found), _rim(paddock)])
        self.map.fit()
        self._fill(found)
        advice = found.made.advice
        bars = tuple(zip(advice.numbers, advice.crispness, strict=True)) if advice else ()
        self._bars.show_bars(bars, advice.advised if advice else 0)
        self._bars_heading.setVisible(bool(bars))
        self._crisp.setText(_crisp_words(found))
        self._crisp.setVisible(bool(self._crisp.text()))
        used = {name for name, _ in found.layers}
        self._worth.setText(
            "\n".join(_worth_words(line, used) for line in worth)
            or "There is no soil test with positions and no map layer to judge them by."
        )
        self._tabs.show()
        self._colored.setVisible(bool(found.layers))
        if found.layers:
            name, unit = found.layers[0]
            self._colored.setText(f"Coloured by the mean of {name}{f', {unit}' if unit else ''}.")

    def _fill(self, found: "ZonesFound") -> None:
        """One row a zone: name, area, sureness, mean of each layer."""
        headings = [
            "Zone", "Area, ha", "Sureness",
            *(f"{name}, {unit}" if unit else name for name, unit in found.layers),
        ]  # fmt: skip
        self._table.setColumnCount(len(headings))
        self._table.setRowCount(len(found.zones.names))
        self._table.setHorizontalHeaderLabels(headings)
        for row, name in enumerate(found.zones.names):
            is_locked = found.zones.ids[row] in found.zones.locked_ids
            sure = found.sureness[row]
            cells = [
                f"{name} (locked)" if is_locked else name,
                f"{found.area_ha[row]:,.2f}",
                "" if math.isnan(sure) else f"{sure:.2f}",
                *(_printed(float(mean)) for mean in found.means[row]),
            ]
            fill_row(self._table, row, cells)
        header = self._table.horizontalHeader()
        header.setDefaultAlignment(
            Qt.AlignmentFlag.AlignCenter | Qt.AlignmentFlag(Qt.TextFlag.TextWordWrap)
        )
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        for column in range(len(headings)):
            width = _FIGURE_PX if 0 < column < _FIRST_LAYER else _LAYER_PX
            self._table.setColumnWidth(column, width if column else _ZONE_PX)
        header.setFixedHeight(_HEAD_LINES * header.fontMetrics().lineSpacing() + 10)
        header.setStretchLastSection(True)

    def _on_row(self, row: int, *_others: int) -> None:
        if row >= 0 and any(layer.name == _ZONES for layer in self.map.layers()):
            self.map.select(_ZONES, row)

    def _on_map(self, layer: str, row: int) -> None:
        if layer == _ZONES and row != self._table.currentRow():
            self._table.setCurrentCell(row, 0)


def _rim(paddock: Paddock) -> LineLayer:
    """The boundary."""
    lines = geometry_column(shapely.get_parts(shapely.boundary(paddock.boundary)))
    return LineLayer("boundary", lines, (_RIM,), is_pickable=False)


def _layer(found: "ZonesFound") -> ZoneLayer:
    """The zones, coloured by their mean of the first layer, which their labels tell."""
    shapes = geometry_column(found.zones.shapes)
    labels = [
        f"{name}\n{area:,.1f} ha"
        for name, area in zip(found.zones.names, found.area_ha, strict=True)
    ]
    if not found.layers:
        rows = np.zeros(len(labels), dtype=np.intp)
        return ZoneLayer(_ZONES, shapes, (_PLAIN,), rows, labels)
    name, unit = found.layers[0]
    means = found.means[:, 0]
    labels = [
        f"{label}\n{_printed(float(mean))} {unit}".rstrip()
        for label, mean in zip(labels, means, strict=True)
    ]
    classed = amount_classes([float(f"{mean:.3g}") for mean in means], title=name, unit=unit)
    return ZoneLayer(_ZONES, shapes, classed.legend.steps, classed.step_of_row, labels)


def _printed(mean: float) -> str:
    """A mean to three digits, in full from a thousand on; a dash where there is none."""
    if math.isnan(mean):
        return "-"
    return f"{mean:,.0f}" if abs(mean) >= 1e3 else f"{mean:.3g}"


def _crisp_words(found: "ZonesFound") -> str:
    """How crisp the groups are and how much tidying moved; nothing without groups."""
    made = found.made
    if math.isnan(made.crispness):
        return ""
    return (
        f"Crispness {made.crispness:.2f} (1: groups lie wholly apart, 0: not at all). Tidying "
        f"moved {PERCENT * made.moved_share:.0f} % of the cells."
    )


def _worth_words(line: "WorthLine", used: set[str]) -> str:
    """What zones explain, as a sentence; a layer that they were made from is no proof."""
    words = begun(line.words, line.name).rstrip(".")
    is_used = line.worth is not None and line.worth.name in used
    proof = "; they were made from it, so that is no proof" if is_used else ""
    return f"{words}{proof}."
