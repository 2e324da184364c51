"""The sample plan on screen: what the user decides, what came of it, and its files."""

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QLineEdit,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.fold import FieldFold
from vrxapp.desktop.stages.row_list import put_buttons
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.edits.sample_plan import set_sample_plan
from vrxapp.ground.ground_points import cautions_for
from vrxapp.ground.guidance import bearing_degree
from vrxapp.ground.sample_plan import DIGGING_CAUTION, SamplePlan, bags_of
from vrxapp.ground.sample_positions import SamplingDesign
from vrxapp.workflows.sample_settings import (
    USUAL_CV_PERCENT,
    USUAL_ERROR_PERCENT,
    SampleSettings,
)

if TYPE_CHECKING:
    from vrxapp.errors import Note

_DESIGNS = {
    SamplingDesign.BY_ZONE: ("A few in each zone", " in each zone", 8),
    SamplingDesign.SPREAD: ("Spread over the paddock", " in all", 30),
    SamplingDesign.TRANSECTS: ("On lines across it", " on each line", 8),
}
"""What each design is called, what its stops are counted by, and a usual number."""
_NOTHING = (
    "No plan yet. Zones are enough for one; a soil test is not needed. The bags of a plan are "
    "found again when the laboratory's sheet comes back."
)
OWN_BEARING = "the bearing below"
_MOST_STOPS = 300


class SamplePlanFields(QWidget):
    """Where to take samples, how many cores, and into which bags."""

    plan_requested = Signal(object)  # SampleSettings
    save_requested = Signal()

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("samplePlanFields")
        self._document = document
        self._make_fields()
        self._form = grown_form(None)
        self._told = faint("", self, name="samplePlanText")
        self._cautions = faint("", self, name="samplePlanCautions")
        self._lay_out()
        self._design.currentIndexChanged.connect(self._on_design_chosen)
        self._cores.valueChanged.connect(self._show_enabled)
        self._along.activated.connect(self._on_along_chosen)
        document.changed.connect(self._on_changed)
        self._on_design_chosen()
        self._show_plan()

    def _make_fields(self) -> None:
        self._design = combo_field("sampleDesignCombo", self)
        entries = [(name, str(design)) for design, (name, _, _) in _DESIGNS.items()]
        fill_combo(self._design, entries, SamplingDesign.BY_ZONE)
        self._stops = _count_field("sampleStopsSpinBox", self, low=1, high=_MOST_STOPS)
        self._lines = _count_field("sampleLinesSpinBox", self, low=1, high=50)
        self._lines.setValue(3)
        self._along = combo_field("sampleAlongCombo", self)
        self._bearing = number_field("sampleBearingSpinBox", self, unit="°", low=0.0, high=359.9)
        self._is_bulked = QCheckBox("One &bag for each zone", self)
        self._is_bulked.setObjectName("sampleBulkedBox")
        self._is_bulked.setToolTip("All stops of a zone go into one bag; else each has its own")
        self._is_bulked.setChecked(True)
        self._cores = _count_field("sampleCoresSpinBox", self, low=0, high=500)
        self._cores.setSpecialValueText("worked out")
        self._depth = QLineEdit(self)
        self._depth.setObjectName("sampleDepthField")
        self._depth.setPlaceholderText("0-10")
        self._cv = number_field("sampleCvSpinBox", self, unit="%", low=1.0, high=300.0)
        self._cv.setValue(USUAL_CV_PERCENT)
        self._error = number_field("sampleErrorSpinBox", self, unit="%", low=1.0, high=100.0)
        self._error.setValue(USUAL_ERROR_PERCENT)
        self._edge = number_field("sampleEdgeSpinBox", self, unit="m", low=0.0, high=500.0)
        self._edge.setValue(20.0)
        self._bands = number_field(
            "sampleBandsSpinBox", self, unit="m", low=0.0, high=2.0, decimals=2
        )
        self._bands.setSpecialValueText("none")
        self._seed = _count_field("sampleSeedSpinBox", self, low=0, high=9_999)

    def _lay_out(self) -> None:
        form, more = self._form, grown_form(None)
        add_row(form, "&Design", self._design, "How positions are chosen")
        add_row(form, "&Stops", self._stops, "Where cores are taken")
        add_row(form, "&Lines", self._lines, "How many lines, evenly apart")
        add_row(form, "Al&ong", self._along, "Take the bearing of a guidance line")
        add_row(form, "Be&aring", self._bearing, "Of the lines, clockwise from grid north")
        add_row(form, "&Cores", self._cores, "Cores that make up a sample; at 0 they are worked "
                "out from the spread and the error below")  # fmt: skip
        add_row(form, "De&pth, cm", self._depth, "Layer, such as 0-10")
        form.addRow(self._is_bulked)
        add_row(more, "Spread, CV", self._cv, "How much single cores differ, CV")
        add_row(more, "E&rror borne", self._error, "Of the mean, at 95 % confidence")
        add_row(more, "Ed&ge", self._edge, "Kept clear along the boundary: headlands and gateways "
                "tell nothing of the paddock")  # fmt: skip
        add_row(more, "Ba&nds", self._bands, "How far apart bands of earlier fertiliser lie")
        add_row(more, "Seed", self._seed, "Another number gives other positions; the same gives "
                "the same")  # fmt: skip
        held = QWidget(self)
        held.setLayout(more)
        fold = FieldFold("samplePlanMore", "More about cores and ground", held, self)
        grid = QGridLayout()
        buttons = (
            ("planSamplesButton", "&Make the plan", "Choose the positions and show them on the "
             "map", self._on_plan_pressed),
            ("saveSamplePlanButton", "&Write or print…", "As a page to print, for a phone "
             "(GPX), for the bags (CSV) or a map (GeoJSON)", self.save_requested),
            ("removeSamplePlanButton", "Remove", "Keep no sample plan", self._on_remove),
        )  # fmt: skip
        self._buttons = put_buttons(grid, self, buttons)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(fold)
        layout.addLayout(grid)
        layout.addWidget(self._told)
        layout.addWidget(self._cautions)
        layout.addStretch(1)

    def settings(self) -> SampleSettings:
        """What the fields say."""
        design = SamplingDesign(self._design.currentData())
        is_bulked = design is SamplingDesign.BY_ZONE and self._is_bulked.isChecked()
        return SampleSettings(
            design=design,
            stops=self._stops.value(),
            lines=self._lines.value(),
            bearing_degree=self._bearing.value(),
            is_bulked_by_zone=is_bulked,
            cores=self._cores.value() or None,
            cv_percent=self._cv.value(),
            error_percent=self._error.value(),
            depth_cm=self._depth.text().strip(),
            edge_m=self._edge.value(),
            seed=self._seed.value(),
            band_spacing_m=self._bands.value() or math.nan,
        )

    @Slot()
    def _on_design_chosen(self) -> None:
        """Ask only for what the design needs."""
        design = SamplingDesign(self._design.currentData())
        _, counted_by, usual = _DESIGNS[design]
        self._stops.setSuffix(counted_by)
        self._stops.setValue(usual)
        for field in (self._lines, self._bearing):
            self._form.setRowVisible(field, design is SamplingDesign.TRANSECTS)
        self._show_guidance()
        self._is_bulked.setVisible(design is SamplingDesign.BY_ZONE)

    def _show_guidance(self) -> None:
        """Offer the guidance lines where lines are planned and there are any."""
        lines = self._document.season.guidance
        is_asked = self._design.currentData() == SamplingDesign.TRANSECTS and bool(lines)
        fill_combo(self._along, [(OWN_BEARING, ""), *((g.name, g.name) for g in lines)], "")
        self._form.setRowVisible(self._along, is_asked)

    @Slot()
    def _on_along_chosen(self) -> None:
        row = self._along.currentIndex() - 1
        if row >= 0:
            self._bearing.setValue(bearing_degree(self._document.season.guidance[row]))

    @Slot()
    def _show_enabled(self) -> None:
        """The error counts only where cores are worked out."""
        self._error.setEnabled(self._cores.value() == 0)

    @Slot()
    def _on_plan_pressed(self) -> None:
        self.plan_requested.emit(self.settings())

    @Slot()
    def _on_remove(self) -> None:
        self._document.edit("Remove the sample plan", _without_plan)

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if parts & {"sample_plan", "zones", "paddock", "ground_points"}:
            self._show_plan()
        if "guidance" in parts:
            self._show_guidance()

    def _show_plan(self) -> None:
        """Tell of the plan that the season has, and what to mind."""
        season = self._document.season
        plan = season.sample_plan
        for name in ("saveSamplePlanButton", "removeSamplePlanButton"):
            self._buttons[name].setEnabled(plan is not None)
        if plan is None:
            self._told.setText(_NOTHING)
        else:
            from vrxapp.workflows.sample_plan import plan_doubts  # heavy, so only for a plan

            self._told.setText(_plan_text(plan, plan_doubts(season, plan)))
        self._cautions.setText("\n\n".join((DIGGING_CAUTION, *cautions_for(season.ground_points))))


def _plan_text(plan: SamplePlan, doubts: "tuple[Note, ...]") -> str:
    """A plan in figures, its bags, what it holds, and what no longer fits."""
    bags = bags_of(plan)
    depth = f", {plan.depth_cm} cm deep" if plan.depth_cm else ""
    lines = [
        f"{len(plan.sample_ids)} stops, {int(plan.cores.sum())} cores{depth}, "
        f"{len(bags)} bags; {plan.walk_m / 1e3:.1f} km straight from stop to stop.",
        *(str(note) for note in doubts),
        *plan.advice,
    ]
    return "\n\n".join(lines)


def _without_plan(season: object) -> object:
    return set_sample_plan(season, None)


def _count_field(name: str, parent: QWidget, *, low: int, high: int) -> QSpinBox:
    """A whole number."""
    field = QSpinBox(parent)
    field.setObjectName(name)
    field.setRange(low, high)
    field.setMinimumWidth(150)
    field.setAlignment(Qt.AlignmentFlag.AlignLeft)
    return field
