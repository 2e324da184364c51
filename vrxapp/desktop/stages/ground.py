"""The Ground sheet: the paddock's hectares, what is left out of it, and what must be found."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.exclusion_fields import ExclusionFields
from vrxapp.desktop.stages.ground_point_fields import GroundPointFields
from vrxapp.desktop.stages.ground_tools import GroundTools
from vrxapp.desktop.stages.guidance_fields import GuidanceFields
from vrxapp.desktop.stages.sample_plan_fields import SamplePlanFields
from vrxapp.desktop.stages.sheet_parts import faint, title
from vrxapp.ground.ground_facts import ground_facts


class GroundSheet(QWidget):
    """Figures of the paddock over one part at a time: exclusions, points, samples, guidance."""

    def __init__(
        self, document: FarmDocument, tools: GroundTools, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("groundSheet")
        self._document, self._tools = document, tools
        self._facts = faint("", self, name="groundFacts")
        self._facts.setToolTip("Areas on the earth's curve, not on the flat map grid")
        self.exclusions = ExclusionFields(document, tools, self)
        self.points = GroundPointFields(document, tools, self)
        self.samples = SamplePlanFields(document, self)
        self.guidance = GuidanceFields(document, tools, self)
        self.parts = QTabWidget(self)
        self.parts.setObjectName("groundParts")
        self.parts.setAccessibleName("Parts of the ground")
        self.parts.setDocumentMode(True)
        for part, text, tip in (
            (self.exclusions, "Exclusions", "Ground that gets nothing, and its setbacks"),
            (self.points, "Points", "Gates, dump sites, powerlines and others"),
            (self.samples, "Samples", "Where to take soil samples, and into which bags"),
            (self.guidance, "Guidance", "Lines that machines steer along"),
        ):
            self.parts.addTab(part, text)
            self.parts.setTabToolTip(self.parts.count() - 1, tip)
        layout = QVBoxLayout(self)
        layout.addWidget(title("Ground", self))
        layout.addWidget(self._facts)
        layout.addWidget(self.parts, 1)
        self.parts.currentChanged.connect(self._on_part_opened)
        document.changed.connect(self._on_changed)
        self._show_facts()

    def show_exclusion(self, row: int) -> None:
        """Open the exclusions and choose one."""
        self.parts.setCurrentWidget(self.exclusions)
        self.exclusions.show_row(row)

    def show_point(self, row: int) -> None:
        """Open the points and choose one."""
        self.parts.setCurrentWidget(self.points)
        self.points.show_row(row)

    def show_guidance(self, row: int) -> None:
        """Open the guidance lines and choose one."""
        self.parts.setCurrentWidget(self.guidance)
        self.guidance.show_row(row)

    def show_samples(self) -> None:
        """Open the sample plan."""
        self.parts.setCurrentWidget(self.samples)

    def let_go(self) -> None:
        """Choose nothing."""
        self.exclusions.show_row(-1)
        self.points.show_row(-1)
        self.guidance.show_row(-1)

    @Slot()
    def _on_part_opened(self) -> None:
        self._tools.take_up("")

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if "paddock" in parts:
            self._show_facts()

    def _show_facts(self) -> None:
        facts = ground_facts(self._document.season.paddock)
        holes = f"\n{facts.hole_ha:,.2f} ha in its holes, no part of it" if facts.hole_ha else ""
        self._facts.setText(
            f"{facts.paddock}: {facts.paddock_ha:,.2f} ha inside the boundary\n"
            f"{facts.excluded_ha:,.2f} ha excluded, with setbacks\n"
            f"{facts.spreadable_ha:,.2f} ha to spread{holes}\n{facts.crs}"
        )
