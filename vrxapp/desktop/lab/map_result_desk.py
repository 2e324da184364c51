"""Maps of soil results: studied and made in the background, saved, linked and shown."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSettings, Qt, Slot
from PySide6.QtWidgets import QFileDialog

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.layer_desk import LayerDesk
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.save_path import save_path
from vrxapp.edits.layers import add_layer, freely_named, linked_before
from vrxapp.errors import TargetExistsError, VrxError
from vrxapp.progress import Progress
from vrxapp.season import Season

if TYPE_CHECKING:
    from vrxapp.workflows.interpolation_files import MapLayer

_READ = {"tests", "zones", "paddock"}
_FOLDER = "folders/layer"
_KINDS = "GeoTIFF (*.tif *.tiff)"


class MapResultDesk(QObject):
    """One window for maps at a time; a map that was made is not made again."""

    def __init__(
        self,
        window: MainWindow,
        jobs: JobRunner,
        layers: LayerDesk,
        *,
        document: Callable[[], FarmDocument],
        farm_file: Callable[[], Path | None],
        ask_for_sheet: Callable[[], None],
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._layers = window, jobs, layers
        self._document, self._farm_file = document, farm_file
        self._ask_for_sheet = ask_for_sheet
        self._dialog: QObject | None = None
        self._asked: object = None
        self._made: dict[tuple[object, object], tuple[MapLayer, ...]] = {}

    def follow(self, document: FarmDocument) -> None:
        """Serve another document; the window of the one before goes."""
        if self._dialog is not None:
            self._dialog.close()
        self._made.clear()
        document.changed.connect(self._on_changed)
        document.season_chosen.connect(self._show_season)

    def specs(self) -> tuple[ActionSpec, ...]:
        """The action of the Tests menu."""
        return (
            ActionSpec(
                "mapResultAction",
                "Map a &result…",
                "Map a soil test over the paddock, with how far it may be off",
                "Ctrl+Shift+R",
                "",
                self.ask,
            ),
        )

    @Slot()
    def ask(self) -> None:
        """Show the window for maps, or say what is lacking for one."""
        from vrxapp.desktop.lab.map_result_dialog import MapResultDialog
        from vrxapp.workflows.placed_samples import mappable_tests

        season = self._document().season
        if not mappable_tests(season.tests):
            self._window.message.tell(
                f"No sample of {season.paddock.name} has a position, so there is nothing to map "
                "between them. Open a sheet with a longitude and a latitude for each sample.",
                action="Open a lab sheet",
                do=self._ask_for_sheet,
            )
            return
        if self._dialog is not None:
            self._dialog.close()
        dialog = MapResultDialog(season, is_dark=self._window.is_dark, parent=self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.study_wanted.connect(self._study)
        dialog.map_wanted.connect(self._show)
        dialog.cancel_wanted.connect(self._jobs.cancel)
        dialog.finished.connect(self._on_closed)
        self._jobs.started.connect(dialog.show_start)
        self._jobs.stepped.connect(dialog.show_work)
        self._jobs.finished.connect(dialog.show_idle)
        self._dialog = dialog
        dialog.show()
        dialog.ask_for_study()

    @Slot()
    def _on_closed(self) -> None:
        self._dialog = None

    @Slot(frozenset)
    def _on_changed(self, parts: frozenset[str]) -> None:
        if parts & _READ:
            self._show_season()

    @Slot()
    def _show_season(self) -> None:
        """Study the season as it is now, or let the window go where nothing can be mapped."""
        if self._dialog is None:
            return
        from vrxapp.workflows.placed_samples import mappable_tests

        season = self._document().season
        if mappable_tests(season.tests):
            self._dialog.show_season(season)
        else:
            self._dialog.close()

    # studying --------------------------------------------------------------------------

    @Slot(object)
    def _study(self, request: object) -> None:
        """Compare the ways for what is chosen, in the background."""
        self._asked = request
        season = self._document().season
        work = partial(_studied, season, request)
        done = partial(self._on_studied, self._dialog, request)
        self._jobs.start("Comparing ways to map", work, done)

    def _on_studied(self, dialog: QObject, request: object, study: object) -> None:
        """Show the comparison, if the same is still asked for."""
        if dialog is not self._dialog or request is not self._asked:
            return
        if isinstance(study, VrxError):
            dialog.tell_error(study)
        else:
            dialog.show_study(study)

    # mapping ---------------------------------------------------------------------------

    @Slot(object)
    def _show(self, shown: object) -> None:
        """Show a part of the map; make and save it first where that is still to do."""
        dialog = self._dialog
        study, grain = dialog.study, dialog.grain()
        known = self._made.get((study, _key(grain)))
        if known is not None and known[0].layer.path.exists():
            self._link_and_show(study, known, shown)
            return
        path = self._place(study)
        if path is None:
            return
        season = self._document().season
        work = partial(_mapped, season, study, grain, path)
        done = partial(self._on_mapped, self._document(), season, (study, _key(grain)), shown)
        self._jobs.start("Mapping the result", work, done)

    def _place(self, study: object) -> Path | None:
        """Where the map goes: beside the farm file, or where the user says."""
        from vrxapp.workflows.interpolation_files import proposed_map_file

        season, farm_file = self._document().season, self._farm_file()
        if farm_file is not None:
            return proposed_map_file(farm_file.parent, season, study)
        folder = Path(str(QSettings().value(_FOLDER, str(Path.home()))))
        start = str(proposed_map_file(folder, season, study))
        name, _ = QFileDialog.getSaveFileName(self._dialog, "Save the map", start, _KINDS)
        if not name:
            return None
        QSettings().setValue(_FOLDER, str(Path(name).parent))
        try:
            return save_path(name, _KINDS)
        except TargetExistsError as error:
            self._dialog.tell_error(error)
            return None

    def _on_mapped(
        self,
        document: FarmDocument,
        season: Season,
        key: tuple[object, object],
        shown: object,
        made: object,
    ) -> None:
        """Link what was made, unless another farm or paddock has been opened since."""
        dialog = self._dialog
        if isinstance(made, VrxError):
            told = dialog if dialog is not None else self._window.message
            told.tell_error(made)
            return
        layers, words, of_zones = made
        path = layers[0].layer.path
        # what the same file held before is no more
        self._made = {k: v for k, v in self._made.items() if v[0].layer.path != path}
        self._made[key] = layers
        now = self._document().season
        if document is not self._document() or now.id != season.id or now.tests is not season.tests:
            self._window.message.tell(
                f"The map was written to {path}, but another paddock or sheet is "
                "open now, so it was not linked."
            )
            return
        if dialog is not None:
            # of another study, or of zones that were changed meanwhile, nothing is said
            dialog.show_map(words, of_zones if dialog.study is key[0] else [])
        self._link_and_show(key[0], layers, shown)

    def _link_and_show(self, study: object, layers: tuple["MapLayer", ...], shown: object) -> None:
        """Link the layer that is asked for where it is not linked yet, and show it."""
        from vrxapp.workflows.interpolation_words import title_of

        document = self._document()
        layer = next((made.layer for made in layers if made.part == shown), None)
        if layer is None:  # the way knows no such thing
            return
        known = linked_before(document.season, layer)
        if known is None:
            known = freely_named(document.season, layer)
            document.edit(f"Map {title_of(study)}", partial(add_layer, layer=known))
        self._layers.show_layer(known)


def _key(grain: object) -> object:
    """Cells and critical value, alike where none is set; NaN equals nothing, not even itself."""
    return (grain.cell_m, str(grain.critical))


def _studied(season: Season, request: object, watch: Progress) -> object:
    """The comparison, or why there is none."""
    from vrxapp.workflows.interpolation_study import map_study

    try:
        return map_study(season, request, watch)
    except VrxError as error:
        return error


def _mapped(season: Season, study: object, grain: object, path: Path, watch: Progress) -> object:
    """Make and write a map: its layers, what it shows, and of each zone; or why there is none.

    The dialog for the place has asked whether an older file may be replaced.
    """
    from vrxapp.workflows.interpolate import soil_map
    from vrxapp.workflows.interpolation_files import linked_map, write_soil_map
    from vrxapp.workflows.interpolation_words import map_in_words
    from vrxapp.workflows.zones_of_map import zone_in_words, zones_of_map

    try:
        soil = soil_map(season, study, grain, watch)
        of_zones = [zone_in_words(zone, soil) for zone in zones_of_map(season, soil)]
        write_soil_map(soil, path, replace=path.exists())
    except VrxError as error:
        return error
    words = [*map_in_words(soil), *map(str, soil.notes), f"Written and read back: {path}"]
    return linked_map(soil, path), words, of_zones
