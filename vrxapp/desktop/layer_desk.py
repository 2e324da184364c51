"""Rasters under the zones: linked, chosen, read in the background for what is in view, removed."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, QSignalBlocker, Qt, QTimer, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QFileDialog, QInputDialog, QToolBar, QToolButton

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.map.layer import common_of
from vrxapp.desktop.screens import Screens
from vrxapp.desktop.season_layers import ShownRaster
from vrxapp.desktop.stages.sheet_parts import fill_combo
from vrxapp.edits.layers import add_layer, freely_named, layer_called, remove_layer
from vrxapp.errors import VrxError
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.raster_source import Bounds
from vrxapp.progress import Progress

RASTER_KINDS = "GeoTIFF (*.tif *.tiff)"
RATES_ONLY = "Rates only"
_FOLDER = "folders/layer"
_PAUSE_MS = 150
"""Rest of the view before a raster is read for it."""
_MOST_CELLS = 4_000_000
_AROUND = 0.5
"""How much of the view is read beyond each side, so that small moves need no reading."""
_COARSE = 1.5
"""How many pixels a joined cell may cover before smaller ones are read."""


class LayerDesk(QObject):
    """Which raster lies under the zones; what is shown is no edit, what is linked is."""

    def __init__(self, window: MainWindow, jobs: JobRunner) -> None:
        super().__init__(window)
        self._window, self._jobs = window, jobs
        self._document: FarmDocument | None = None
        self._screens: Screens | None = None
        self._wanted: LinkedRaster | None = None
        self._shown: ShownRaster | None = None
        self._in_bar: tuple[QAction, ...] = ()
        self._combo = QComboBox(window)
        self._combo.setObjectName("layerCombo")
        self._combo.setAccessibleName("Map layer")
        self._combo.setToolTip("What lies under the zones (Ctrl+K)")
        self._combo.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self._combo.activated.connect(self._on_activated)
        self._remove = QToolButton(window)
        self._remove.setObjectName("removeLayerButton")
        self._remove.setText("\N{MINUS SIGN}")
        self._remove.setToolTip("Take this map layer out of the farm; its file stays")
        self._remove.setAccessibleName("Remove the map layer")
        self._remove.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._remove.clicked.connect(self.remove)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._read_if_needed)
        window.map.view_changed.connect(self._on_view_changed)

    def stand_in(self, bar: QToolBar) -> None:
        """Take a place at the end of a toolbar."""
        self._in_bar = (
            bar.addSeparator(),
            bar.addWidget(self._combo),
            bar.addWidget(self._remove),
        )
        self._show_layers()

    def specs(self) -> tuple[ActionSpec, ...]:
        """The actions of the View menu."""
        return (
            ActionSpec(
                "addLayerAction",
                "&Add map layer…",
                "Show a raster (GeoTIFF) under the zones",
                "Ctrl+Shift+K",
                "",
                self.ask_for_layer,
            ),
            ActionSpec(
                "chooseLayerAction",
                "Map &layer…",
                "Choose what lies under the zones",
                "Ctrl+K",
                "",
                self.open_list,
            ),
        )

    def follow(self, document: FarmDocument, screens: Screens) -> None:
        """Serve another document and its screens."""
        self._document, self._screens = document, screens
        self._wanted = self._shown = None
        document.changed.connect(self._show_layers)
        self._show_layers()

    # linking ---------------------------------------------------------------------------

    @Slot()
    def ask_for_layer(self) -> None:
        """Ask for a raster and link it."""
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, "Add map layer", start, RASTER_KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.add_file(Path(name))

    def add_file(self, path: Path) -> None:
        """Link a raster to the paddock on screen; of several bands one is asked for."""
        document = self._document
        season_id, paddock = document.season_id, document.season.paddock
        done = partial(self._on_bands_known, document, season_id, paddock, path)
        self._jobs.start("Looking at the raster", partial(_bands, path), done)

    def _on_bands_known(
        self,
        document: FarmDocument,
        season_id: str,
        paddock: Paddock,
        path: Path,
        bands: list[str],
    ) -> None:
        def link(band: int) -> None:
            done = partial(self._on_linked, document, season_id)
            self._jobs.start("Linking the raster", partial(_linked, path, paddock, band), done)

        if len(bands) == 1:
            link(1)
            return
        dialog = QInputDialog(self._window)
        dialog.setObjectName("bandDialog")
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.setWindowTitle("Add map layer")
        dialog.setLabelText(f"Which band of {path.name}?")
        dialog.setComboBoxItems(bands)
        dialog.textValueSelected.connect(lambda chosen: link(bands.index(chosen) + 1))
        dialog.open()

    def _on_linked(self, document: FarmDocument, season_id: str, layer: LinkedRaster) -> None:
        """Add the layer to the season it was chosen for, and show it."""
        if document is not self._document:
            return
        document.choose_season(season_id)
        layer = freely_named(document.season, layer)
        try:
            document.edit(f"Add map layer {layer.name}", partial(add_layer, layer=layer))
        except VrxError as error:
            self._window.message.tell_error(error)
            return
        self.show_layer(layer)

    @Slot()
    def remove(self) -> None:
        """Let go of the layer that is shown; undo brings it back."""
        layer = self._wanted
        if layer is not None:
            self.show_layer(None)
            self._document.edit(
                f"Remove map layer {layer.name}", partial(remove_layer, name=layer.name)
            )

    # showing ---------------------------------------------------------------------------

    @Slot()
    def open_list(self) -> None:
        """Open the list, for arrow keys and Enter."""
        if self._combo.count() > 1:
            self._combo.setFocus()
            self._combo.showPopup()

    def show_layer(self, layer: LinkedRaster | None) -> None:
        """Show a layer under the zones, or the rates alone."""
        self._wanted = layer
        self._show_layers()
        if layer is None or (self._shown is not None and self._shown.layer != layer):
            self._put(None)
        if layer is not None:
            self._read_if_needed()

    @Slot(int)
    def _on_activated(self, index: int) -> None:
        name = self._combo.itemData(index)
        self.show_layer(layer_called(self._document.season, name) if name else None)

    @Slot()
    def _show_layers(self) -> None:
        """List the season's layers; a layer that is gone is shown no more."""
        if self._document is None:
            return
        layers = self._document.season.layers
        if self._wanted is not None and self._wanted not in layers:
            self._wanted = None
        shown = self._shown
        if shown is not None and not (shown.layer == self._wanted and self._is_here(shown)):
            self._put(None)
            self._on_view_changed()  # a layer that both paddocks have is read for the new one
        blocker = QSignalBlocker(self._combo)
        entries = [(RATES_ONLY, ""), *((layer.name, layer.name) for layer in layers)]
        fill_combo(self._combo, entries, self._wanted.name if self._wanted else "")
        del blocker
        self._remove.setEnabled(self._wanted is not None)
        for action in self._in_bar:
            action.setVisible(bool(layers))

    def _is_here(self, shown: ShownRaster) -> bool:
        """Whether a raster was read for the paddock on screen."""
        return shown.paddock.boundary is self._document.season.paddock.boundary

    def _put(self, shown: ShownRaster | None) -> None:
        if shown is not self._shown:
            self._shown = shown
            self._screens.show_raster(shown)

    @Slot()
    def _on_view_changed(self) -> None:
        if self._wanted is not None:
            self._pause.start()

    @Slot()
    def _read_if_needed(self) -> None:
        """Read the layer for the view, unless what is shown serves it."""
        layer = self._wanted
        if layer is None:
            return
        if self._jobs.is_busy():
            self._pause.start()
            return
        paddock, view = self._document.season.paddock, self._window.map.view()
        in_view = common_of(view.bounds, paddock.boundary.bounds)
        if in_view is None or self._serves(in_view, view.metres_per_pixel / view.pixel_ratio):
            return
        bounds = common_of(_grown(in_view), paddock.boundary.bounds)
        pixel_m = view.metres_per_pixel / view.pixel_ratio
        cells = round((bounds[2] - bounds[0]) * (bounds[3] - bounds[1]) / pixel_m**2)
        max_cells = max(1, min(cells, _MOST_CELLS))
        known = self._shown.classes if self._shown is not None else None
        work = partial(_shown_raster, layer, paddock, bounds, max_cells, known)
        self._jobs.start(f"Reading {layer.name}", work, partial(self._on_read, layer))

    def _serves(self, in_view: Bounds, pixel_m: float) -> bool:
        """Whether what is shown covers the view finely enough."""
        shown = self._shown
        if shown is None:
            return False
        west, south, east, north = shown.bounds
        is_covered = (
            west <= in_view[0]
            and south <= in_view[1]
            and east >= in_view[2]
            and north >= in_view[3]
        )
        return is_covered and (shown.is_finest or shown.cell_m <= _COARSE * pixel_m)

    def _on_read(self, layer: LinkedRaster, read: "ShownRaster | VrxError") -> None:
        """Show what was read, if it is still wanted; tell why it cannot be shown."""
        if layer is not self._wanted:
            return
        if isinstance(read, VrxError):
            self.show_layer(None)
            self._window.message.tell_error(read)
            return
        if self._is_here(read):
            self._put(read)
        self._on_view_changed()  # the view may have moved on meanwhile


def _grown(bounds: Bounds) -> Bounds:
    """A box with more on each side."""
    across, up = (bounds[2] - bounds[0]) * _AROUND, (bounds[3] - bounds[1]) * _AROUND
    return bounds[0] - across, bounds[1] - up, bounds[2] + across, bounds[3] + up


def _bands(path: Path, _: Progress) -> list[str]:
    """Names of the bands of a raster."""
    from vrxapp.files.geotiff import describe_raster  # heavy, so only when a raster is given

    return [f"{band.number} {band.name}".strip() for band in describe_raster(path).bands]


def _linked(path: Path, paddock: Paddock, band: int, _: Progress) -> LinkedRaster:
    from vrxapp.workflows.map_layers import link_raster

    return link_raster(path, paddock, band=band)


def _shown_raster(
    layer: LinkedRaster,
    paddock: Paddock,
    bounds: Bounds,
    max_cells: int,
    known: object,
    _: Progress,
) -> "ShownRaster | VrxError":
    """A part of a layer in pixels; classes are those of the whole paddock, at any scale."""
    from vrxapp.desktop.season_layers import shown_raster
    from vrxapp.legend import measured_classes
    from vrxapp.workflows.map_layers import overview_values, read_picture

    try:
        classes = known or measured_classes(
            overview_values(layer, paddock), title=layer.name, unit=layer.unit
        )
        return shown_raster(read_picture(layer, paddock, bounds, max_cells), classes, paddock)
    except VrxError as error:
        return error
