"""What an expert may set about a map: way, variogram, scale, direction and cells."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, grown_form, number_field
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.variogram import Anisotropy, Model
from vrxapp.workflows.interpolate import USUAL_CELL_M
from vrxapp.workflows.interpolation_study import OFFERED_MODELS, ExpertChoices

ADVISED = "as advised"
BEST = "the one that fits best"
_ALIKE = 1.0


class ExpertMapFields(QWidget):
    """Fields that start at what the samples advise."""

    choices_changed = Signal()
    cell_changed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("expertMapFields")
        self._way = combo_field("mapWayCombo", self)
        self._model = combo_field("mapModelCombo", self)
        self._scale = combo_field("mapScaleCombo", self)
        for combo, first, entries in (
            (self._way, ADVISED, tuple(Interpolation)),
            (self._model, BEST, OFFERED_MODELS),
            (self._scale, ADVISED, tuple(Scale)),
        ):
            combo.addItem(first, None)
            for entry in entries:
                combo.addItem(str(entry), entry)
            combo.activated.connect(self.choices_changed)
        self._direction = number_field("mapDirectionBox", self, unit="°", low=0, high=180)
        self._ratio = number_field("mapRatioBox", self, unit="", low=0.05, high=1.0, decimals=2)
        self._ratio.setValue(_ALIKE)
        self._cell = number_field("mapCellBox", self, unit="m", low=0.5, high=200.0)
        self._cell.setValue(USUAL_CELL_M)
        self._direction.valueChanged.connect(self._on_direction)
        self._ratio.valueChanged.connect(self.choices_changed)
        self._cell.valueChanged.connect(self.cell_changed)
        self._lay_out()

    def _lay_out(self) -> None:
        """Two columns, so that a low screen holds them."""
        left, right = grown_form(None), grown_form(None)
        add_row(left, "&Way", self._way, "How to map, whatever is advised")
        add_row(left, "Va&riogram", self._model, "Shape of the variogram that kriging takes")
        add_row(left, "&Scale", self._scale, "Map the results, or their logarithms if skewed")
        add_row(
            right, "&Direction", self._direction, "Of the slowest change, clockwise from grid north"
        )
        add_row(
            right,
            "Rat&io",
            self._ratio,
            "Range across the direction as a share of that along it; 1: alike in all directions",
        )
        add_row(right, "&Cell", self._cell, "Side of a cell of the map")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(18, 0, 0, 0)
        layout.setSpacing(18)
        layout.addLayout(left, 1)
        layout.addLayout(right, 1)

    def _on_direction(self) -> None:
        """A direction says nothing as long as the ground is alike in all of them."""
        if self._ratio.value() < _ALIKE:
            self.choices_changed.emit()

    def choices(self) -> ExpertChoices:
        """What is set."""
        ratio = self._ratio.value()
        return ExpertChoices(
            way=_chosen(self._way.currentData(), Interpolation),
            model=_chosen(self._model.currentData(), Model),
            scale=_chosen(self._scale.currentData(), Scale),
            anisotropy=Anisotropy(self._direction.value(), ratio) if ratio < _ALIKE else None,
        )

    def cell_m(self) -> float:
        """Side of a cell. [m]"""
        return self._cell.value()


def _chosen(data, kind):
    """An entry as the choice that it stands for; Qt hands a text choice back as plain text."""
    return None if data is None else kind(data)
