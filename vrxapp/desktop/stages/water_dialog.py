"""The dialog for a target yield from water: rain, stored water, a benchmark, and a share of it."""

import math

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QDoubleSpinBox, QVBoxLayout, QWidget

from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.agronomy.water_target import (
    WaterTarget,
    benchmarks_for,
    target_by_water,
    water_steps,
)
from vrxapp.agronomy.yield_potential import USUAL_TARGET_SHARES
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
    tell_number,
    told_number,
    untold_field,
)
from vrxapp.errors import VrxError
from vrxapp.need_plans import CropPlan
from vrxapp.sources import Grade
from vrxapp.units import PERCENT

_WIDTH_PX, _HEIGHT_PX = 480, 420


class WaterDialog(QDialog):
    """Fields for a target from water, and the sum that they make as they are filled in."""

    def __init__(self, grown: CropPlan, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("waterDialog")
        self.setWindowTitle(f"Target yield of {known_crop(grown.crop).name.lower()} from water")
        self._grown = grown
        self._benchmark = combo_field("waterBenchmarkCombo", self)
        entries = [("choose a benchmark", "")]
        entries += [
            (row.name if row.grade is Grade.PUBLISHED else f"{row.name} !", row.key)
            for row in benchmarks_for(grown.crop)
        ]
        fill_combo(self._benchmark, entries, "")
        self._rain = _millimetres("waterRainSpinBox", self)
        self._summer = _millimetres("waterSummerRainSpinBox", self)
        self._stored = _millimetres("waterStoredSpinBox", self)
        self._share = number_field("waterShareSpinBox", self, unit="%", low=0.0, high=100.0)
        self._share.setSpecialValueText("not set")
        self._told = faint("", self, name="waterToldLabel")
        self._buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel, self
        )
        self._buttons.setObjectName("waterButtons")
        self._lay_out(has_benchmark=len(entries) > 1)
        self._show(grown.water)
        self._connect()
        self._tell()

    def _lay_out(self, *, has_benchmark: bool) -> None:
        low, high = (share * PERCENT for share in USUAL_TARGET_SHARES)
        form = grown_form(None)
        add_row(form, "&Benchmark", self._benchmark, "Grain for each millimetre of water")
        add_row(form, "Season's &rain", self._rain, "Expected while the crop grows")
        add_row(form, "&Summer rain", self._summer, "Harvest to sowing; a third counts as stored")
        add_row(form, "Or s&tored water", self._stored, "At sowing, as it was probed")
        add_row(form, "S&hare", self._share, f"Of the potential; usual is {low:g} to {high:g} %")
        layout = QVBoxLayout(self)
        if not has_benchmark:
            name = known_crop(self._grown.crop).name.lower()
            layout.addWidget(faint(f"No yield benchmark of {name} is known here.", self))
        layout.addLayout(form)
        layout.addWidget(self._told)
        layout.addStretch(1)
        layout.addWidget(self._buttons)
        self.resize(_WIDTH_PX, _HEIGHT_PX)

    def _connect(self) -> None:
        self._benchmark.currentIndexChanged.connect(self._tell)
        for number in (self._rain, self._summer, self._stored, self._share):
            number.valueChanged.connect(self._tell)
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)

    def _show(self, water: WaterTarget | None) -> None:
        """Write an earlier target into the fields."""
        if water is None:
            return
        self._benchmark.setCurrentIndex(max(self._benchmark.findData(water.benchmark), 0))
        for field, value in (
            (self._rain, water.growing_season_rain_mm),
            (self._summer, water.summer_rain_mm),
            (self._stored, water.stored_water_mm),
        ):
            tell_number(field, value)
        self._share.setValue(water.share * PERCENT)

    @Slot()
    def _tell(self) -> None:
        """The sum as the fields stand, or what is still missing."""
        try:
            water = self.water()
            steps = water_steps(water, self._grown.crop, 1)
            told = "\n".join(sentence.text for sentence in told_for(Trail(steps), 0))
            is_whole = target_by_water(water, self._grown.crop) > 0
        except VrxError as error:
            told, is_whole = str(error), False
        self._told.setText(told)
        self._buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(is_whole)

    def water(self) -> WaterTarget:
        """The target as the fields stand.

        Raises
        ------
        VrxError
            If a part is missing or told twice.
        """
        return WaterTarget(
            self._benchmark.currentData(),
            told_number(self._rain),
            self._share.value() / PERCENT or math.nan,
            told_number(self._stored),
            told_number(self._summer),
        )


def _millimetres(name: str, parent: QWidget) -> QDoubleSpinBox:
    """Water, or rain."""
    return untold_field(name, parent, unit="mm", high=3000.0, decimals=0)
