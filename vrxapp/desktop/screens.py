"""The screens of one open farm: map, table, sheets and the why, all on one document."""

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.ground_layers import GUIDANCE, POINTS
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.season_layers import EXCLUSIONS, SAMPLES, ZONES, ShownRaster, season_map
from vrxapp.desktop.stages.ground import GroundSheet
from vrxapp.desktop.stages.ground_tools import GroundTools
from vrxapp.desktop.stages.handover import HandoverSheet
from vrxapp.desktop.stages.lab_tests import TestsSheet
from vrxapp.desktop.stages.rates import RatesSheet
from vrxapp.desktop.stages.zone_tools import ZoneTools
from vrxapp.desktop.stages.zones import ZonesSheet
from vrxapp.desktop.why_sheet import WhySheet
from vrxapp.desktop.zone_table import ZoneTable
from vrxapp.errors import VrxError
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.prescription.pipeline import Prescription

TABLE_HEIGHT = 170
WHY_HEIGHT = 200


class Screens(QObject):
    """Builds the views of a document and keeps their selections together."""

    def __init__(self, window: MainWindow, document: FarmDocument) -> None:
        super().__init__(window)
        self._window, self._document = window, document
        self._raster: ShownRaster | None = None
        self._zone_tools = ZoneTools(document, window.map, self)
        self.zones = ZonesSheet(document, self._zone_tools)
        self._ground_tools = GroundTools(document, window.map, self)
        self.ground = GroundSheet(document, self._ground_tools)
        self.rates = RatesSheet(document)
        self.tests = TestsSheet(document)
        self.handover = HandoverSheet(document)
        self._why = WhySheet(document)
        self._table = ZoneTable(document)
        self._put_in_place()
        window.map.selection_changed.connect(self._on_map_selected)
        self._table.row_chosen.connect(self._on_table_chosen)
        self.tests.row_chosen.connect(self._on_sample_chosen)
        self.zones.row_chosen.connect(self._on_table_chosen)
        for tools in (self._zone_tools, self._ground_tools):
            tools.refused.connect(window.message.tell_refusal)
        document.changed.connect(window.message.forget_refusal)
        window.sheets.currentChanged.connect(self._on_stage_changed)
        document.changed.connect(self.show_map)
        document.operation_chosen.connect(self.show_map)
        document.season_chosen.connect(self._on_season_chosen)
        self.show_map()
        window.map.fit()

    def _put_in_place(self) -> None:
        window = self._window
        self._why.setMinimumHeight(WHY_HEIGHT)
        window.add_sheet("ground", self.ground)
        window.add_sheet("zones", self.zones)
        window.add_sheet("tests", self.tests)
        window.add_sheet("rates", self.rates, beneath=self._why)
        window.add_sheet("handover", self.handover)
        window.table_place.addWidget(self._table)
        window.table_place.setStretchFactor(0, 1)
        window.table_place.setSizes([window.height() - TABLE_HEIGHT, TABLE_HEIGHT])
        window.map.set_active_layer(ZONES)
        window.show_stage("rates")

    def take_down(self) -> None:
        """Remove the views, for another farm to take their place."""
        self._window.map.selection_changed.disconnect(self._on_map_selected)
        self._window.sheets.currentChanged.disconnect(self._on_stage_changed)
        self._zone_tools.take_down()
        self._ground_tools.take_down()
        for area in list(self._areas()):
            self._window.sheets.removeWidget(area)
            area.setParent(None)
            area.deleteLater()
        self._table.setParent(None)
        self._table.deleteLater()
        self.deleteLater()

    def _areas(self) -> list[QWidget]:
        sheets = self._window.sheets
        return [sheets.widget(index) for index in range(sheets.count())]

    @Slot()
    def show_map(self) -> None:
        """Draw the season as it is now."""
        season = self._document.season
        raster = self._raster
        if raster is not None and raster.paddock.boundary is not season.paddock.boundary:
            raster = None  # of the paddock before
        shown = season_map(season, self._plan(), raster, is_ground_open=self._is_open("ground"))
        self._window.map.set_legend(shown.legend)
        self._window.map.set_layers(shown.layers)
        (hectares,) = geodesic_area_ha([season.paddock.boundary], season.paddock.crs)
        self._window.status.show_area(f"{season.paddock.name}: {hectares:,.2f} ha")

    @Slot()
    def _on_season_chosen(self) -> None:
        """Let go of what was chosen in the other season, and show the whole paddock."""
        for layer in (ZONES, SAMPLES, EXCLUSIONS, POINTS, GUIDANCE):
            self._window.map.select(layer, None)
        self.ground.let_go()
        self._table.show_row(-1)
        self._table.fit_columns()
        self._why.show_zone(-1)
        self._window.map.fit()

    def show_raster(self, raster: ShownRaster | None) -> None:
        """Lay a raster under the zones, or none."""
        self._raster = raster
        self.show_map()

    def _plan(self) -> Prescription | None:
        """The plan, or None as long as something is missing for it."""
        try:
            return self._document.plan()
        except VrxError:
            return None

    @Slot(str, int)
    def _on_map_selected(self, layer: str, row: int) -> None:
        if layer == SAMPLES:
            self.tests.show_row(row)
            self._window.show_stage("tests")
        elif layer == EXCLUSIONS:
            self.ground.show_exclusion(row)
        elif layer == GUIDANCE:
            self.ground.show_guidance(row)
        elif layer == POINTS:
            self._window.show_stage("ground")
            self.ground.show_point(row)
        else:
            self.ground.let_go()
            zone = row if layer == ZONES else -1
            self._table.show_row(zone)
            self.zones.show_row(zone)
            self._why.show_zone(zone)

    @Slot()
    def _on_stage_changed(self) -> None:
        """Put the tool in hand away with its sheet, and let exclusions be chosen on theirs."""
        self._window.map.set_tool(None)
        self.show_map()

    def _is_open(self, key: str) -> bool:
        area = self._window.sheets.currentWidget()
        return area is not None and area.objectName() == f"{key}Area"

    @Slot(int)
    def _on_table_chosen(self, row: int) -> None:
        self._why.show_zone(row)
        self._window.map.select(ZONES, row if row >= 0 else None)

    @Slot(int)
    def _on_sample_chosen(self, row: int) -> None:
        if row >= 0 and any(layer.name == SAMPLES for layer in self._window.map.layers()):
            self._window.map.select(SAMPLES, row)
