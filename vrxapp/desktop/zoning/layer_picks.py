"""What zones are made from: layers and tests of the paddock, and files beside them, to tick."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import QSettings, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QInputDialog,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.jobs import JobRunner
from vrxapp.errors import VrxError
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable

_FOLDER = "folders/layer"
_RASTERS = "GeoTIFF (*.tif *.tiff)"
_POINTS = "Points (*.csv *.txt *.geojson *.json *.shp *.zip *.gpkg)"
_SHEETS = "Lab sheet (*.csv *.txt *.xlsx)"


class PickKind(StrEnum):
    """What an entry of the list is."""

    LINKED = "map layer"
    TEST = "soil test"
    RASTER = "raster"
    HEIGHTS = "slope"
    POINTS = "points"
    HARVEST = "harvest"


@dataclass(frozen=True, slots=True)
class Pick:
    """One entry: its kind, a name or a file, and what of the file is read."""

    kind: PickKind
    of: str | Path
    part: str | int | None = None


class LayerPicks(QWidget):
    """A list with ticks; files that are added come ticked."""

    refused = Signal(object)  # the error
    changed = Signal()

    def __init__(self, jobs: JobRunner, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self.sheet: ResultsTable | None = None
        self._season: Season | None = None
        self._list = QListWidget(self)
        self._list.setObjectName("zoningLayers")
        self._list.setAccessibleName("Made from")
        self._list.setToolTip("Tick what the zones are made from; each counts alike")
        palette = self._list.palette()  # the style draws empty boxes too dark for a dark look
        palette.setColor(palette.ColorRole.Window, palette.color(palette.ColorRole.PlaceholderText))
        self._list.setPalette(palette)
        self._list.itemChanged.connect(lambda _item: self.changed.emit())
        self._add = QToolButton(self)
        self._add.setObjectName("addZoningFileButton")
        self._add.setText("Add a &file")
        self._add.setToolTip("Add a raster, heights, points, harvests or a lab sheet")
        self._add.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self._add.setMenu(self._menu())
        row = QHBoxLayout()
        row.addWidget(self._add)
        row.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._list, 1)
        layout.addLayout(row)

    def _menu(self) -> QMenu:
        menu = QMenu(self)
        for text, do in (
            ("&Raster (GeoTIFF)…", partial(self._ask, _RASTERS, self.add_raster)),
            ("&Heights, for their slope…",
             partial(self._ask, _RASTERS, partial(self.add_raster, kind=PickKind.HEIGHTS))),
            ("Measured &points…", partial(self._ask, _POINTS, self.add_points)),
            ("Har&vest…",
             partial(self._ask, _POINTS, partial(self.add_points, kind=PickKind.HARVEST))),
            ("&Lab sheet with positions…", partial(self._ask, _SHEETS, self.add_sheet)),
        ):  # fmt: skip
            menu.addAction(text).triggered.connect(do)
        return menu

    def show_season(self, season: Season) -> None:
        """List what the paddock has; ticks and files that were added stay.

        At first its first map layer is ticked.
        """
        is_first, ticked = self._season is None, set(self.picks())
        self._season = season
        self._take_out(PickKind.LINKED)
        for row, layer in enumerate(season.layers):
            pick = Pick(PickKind.LINKED, layer.name)
            is_ticked = pick in ticked or (is_first and row == 0)
            self._put(pick, layer.name, is_ticked=is_ticked, at=row)
        if self.sheet is None:
            self._list_tests(season.tests)
        if not is_first and set(self.picks()) != ticked:
            self.changed.emit()

    def picks(self) -> tuple[Pick, ...]:
        """What is ticked."""
        items = [self._list.item(row) for row in range(self._list.count())]
        return tuple(
            item.data(Qt.ItemDataRole.UserRole)
            for item in items
            if item.checkState() == Qt.CheckState.Checked
        )

    # files -----------------------------------------------------------------------------

    def _ask(self, kinds: str, add: Callable[[Path], None]) -> None:
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self, "Make zones from", start, kinds)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            add(Path(name))

    def add_raster(self, path: Path, *, kind: PickKind = PickKind.RASTER) -> None:
        """Add a raster; of several bands one is asked for."""
        self._start("Looking at the raster", partial(_bands, path), partial(self._choose, path,
                    kind, "Which band of"))  # fmt: skip

    def add_points(self, path: Path, *, kind: PickKind = PickKind.POINTS) -> None:
        """Add points; of several columns of numbers one is asked for."""
        self._start("Looking at the points", partial(_columns, path), partial(self._choose, path,
                    kind, "Which column of"))  # fmt: skip

    def add_sheet(self, path: Path) -> None:
        """Take soil tests from another sheet."""
        assert self._season is not None
        work = partial(_sheet, path, self._season.paddock.name)
        self._start("Reading the lab sheet", work, self._on_sheet)

    def _start(
        self, text: str, work: Callable[[Progress], object], on_done: Callable[[object], None]
    ) -> None:
        """Read in the background; what a user can mend is told in this window."""

        def tried(watch: Progress) -> object:
            try:
                return work(watch)
            except VrxError as error:
                return error

        def done(result: object) -> None:
            if isinstance(result, VrxError):
                self.refused.emit(result)
            else:
                on_done(result)

        self._jobs.start(text, tried, done)

    def _choose(self, path: Path, kind: PickKind, question: str, parts: list[str]) -> None:
        def add(part: str) -> None:
            is_raster = kind in (PickKind.RASTER, PickKind.HEIGHTS)
            of = parts.index(part) + 1 if is_raster else part
            told = path.stem if is_raster and len(parts) == 1 else f"{path.stem}: {part}"
            self._put(Pick(kind, path, of), f"{told} ({kind})", is_ticked=True)
            self.changed.emit()

        if len(parts) == 1:
            add(parts[0])
            return
        dialog = QInputDialog(self)
        dialog.setObjectName("zoningPartDialog")
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.setWindowTitle("Make zones from")
        dialog.setLabelText(f"{question} {path.name}?")
        dialog.setComboBoxItems(parts)
        dialog.textValueSelected.connect(add)
        dialog.open()

    @Slot(object)
    def _on_sheet(self, sheet: ResultsTable) -> None:
        self.sheet = sheet
        self._list_tests(sheet)
        self.changed.emit()

    def _list_tests(self, sheet: ResultsTable | None) -> None:
        """List the soil tests of a sheet that tells positions, in the place of others."""
        ticked = set(self.picks())
        self._take_out(PickKind.TEST)
        if sheet is None or np.isnan(sheet.longitude_degree).all():
            return
        for column in sheet.columns:
            pick = Pick(PickKind.TEST, column.analyte.key)
            text = f"{column.analyte.name} (soil test, mapped)"
            self._put(pick, text, is_ticked=pick in ticked)

    def _take_out(self, kind: PickKind) -> None:
        for row in reversed(range(self._list.count())):
            if self._list.item(row).data(Qt.ItemDataRole.UserRole).kind is kind:
                self._list.takeItem(row)

    def _put(self, pick: Pick, text: str, *, is_ticked: bool, at: int | None = None) -> None:
        item = QListWidgetItem(text)
        item.setData(Qt.ItemDataRole.UserRole, pick)
        item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
        item.setCheckState(Qt.CheckState.Checked if is_ticked else Qt.CheckState.Unchecked)
        self._list.insertItem(self._list.count() if at is None else at, item)


def _bands(path: Path, _: Progress) -> list[str]:
    from vrxapp.files.geotiff import describe_raster  # heavy, so only when a raster is given

    return [f"{band.number} {band.name}".strip() for band in describe_raster(path).bands]


def _columns(path: Path, _: Progress) -> list[str]:
    from vrxapp.workflows.zone_layers import columns_of_points

    return list(columns_of_points(path))


def _sheet(path: Path, paddock: str, _: Progress) -> ResultsTable:
    from vrxapp.workflows.lab_sheets import lab_results
    from vrxapp.workflows.open_files import results_of_paddock

    return results_of_paddock(lab_results(path), paddock)
