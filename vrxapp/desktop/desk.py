"""The desk: opens and saves farms, takes dropped files, hands over, and ends in good order."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSettings, Qt, Slot
from PySide6.QtGui import QUndoGroup
from PySide6.QtWidgets import QDialog, QFileDialog

from vrxapp.desktop.actions import Actions, ActionSpec
from vrxapp.desktop.autosave import Autosave, recovery_file, save_farm
from vrxapp.desktop.curve_desk import CurveDesk
from vrxapp.desktop.document import FarmDocument, PlanPendingError
from vrxapp.desktop.figures.look_up import LookUp
from vrxapp.desktop.file_report import FileLooker
from vrxapp.desktop.given_files import GivenFiles, is_raster, sorted_by_part
from vrxapp.desktop.ground_cutter import GroundCutter
from vrxapp.desktop.ground_desk import GroundDesk
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.lab.lab_desk import LabDesk
from vrxapp.desktop.lab.map_result_desk import MapResultDesk
from vrxapp.desktop.layer_desk import LayerDesk
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.open_dialog import OpenFilesDialog
from vrxapp.desktop.paddock_choice import PaddockChoice
from vrxapp.desktop.save_path import save_path
from vrxapp.desktop.screens import Screens
from vrxapp.desktop.stages.handover import proposed_folder
from vrxapp.desktop.theme import scheme_of
from vrxapp.desktop.zone_desk import ZoneDesk
from vrxapp.errors import Note, TargetExistsError, VrxError
from vrxapp.farm import Farm
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.workflows.sample_farm import sample_farm

if TYPE_CHECKING:
    from vrxapp.workflows.hand_over import HandOver

_FARM_FOLDER, _OUT_FOLDER, _DARK = "folders/farm", "folders/out", "look/dark"
_FARM_KINDS = "Farm (*.gpkg)"


class Desk(QObject):
    """What the menus do; each slot reads, calls one function of the core, and shows it."""

    def __init__(self, window: MainWindow, farm: Farm) -> None:
        super().__init__(window)
        self._window = window
        self._undo = QUndoGroup(self)
        self._path: Path | None = None
        self._screens: Screens | None = None
        self.jobs = JobRunner(self)
        self.lab = LabDesk(window, self.jobs, lambda: self.document)
        self._paddocks = PaddockChoice(window)
        self.layers = LayerDesk(window, self.jobs)
        self.maps = MapResultDesk(
            window,
            self.jobs,
            self.layers,
            document=lambda: self.document,
            farm_file=lambda: self._path,
            ask_for_sheet=self.lab.ask_for_sheet,
        )
        self.looker = FileLooker(window, self.jobs)
        self.zones = ZoneDesk(window, self.jobs, lambda: self.document)
        self.ground = GroundDesk(window, self.jobs, lambda: self.document)
        self._cutter = GroundCutter(self.jobs, self)
        self._curves = CurveDesk(window, self.jobs, lambda: self.document)
        self.document = self._show(farm)
        self._actions = self._made_actions()
        self._actions.set_scheme(scheme_of(is_dark=window.is_dark))
        self.jobs.started.connect(lambda text: window.status.show_work(0, 0, text))
        self.jobs.stepped.connect(window.status.show_work)
        self.jobs.finished.connect(window.status.show_idle)
        self.jobs.failed.connect(window.message.tell_error)
        window.status.cancel_requested.connect(self.jobs.cancel)
        window.files_dropped.connect(self._on_files_dropped)
        window.close_requested.connect(self._on_close_requested)

    def _made_actions(self) -> Actions:
        window = self._window
        actions = Actions(window)
        actions.add_menu(
            "&File",
            (
                ActionSpec(
                    "openFilesAction",
                    "&Open own files…",
                    "Open boundary, zones and lab sheet",
                    "Ctrl+O",
                    "open-files",
                    self.ask_for_files,
                ),
                ActionSpec(
                    "openFarmAction",
                    "Open &farm…",
                    "Open a farm file",
                    "Ctrl+Shift+O",
                    "",
                    self.ask_for_farm,
                ),
                ActionSpec(
                    "openSampleAction",
                    "Open the sa&mple farm",
                    "Open the invented farm",
                    "",
                    "",
                    self.open_sample,
                ),
                ActionSpec(
                    "inspectAction",
                    "What is &in a file…",
                    "Tell what a file holds before it is used",
                    "Ctrl+I",
                    "",
                    self.looker.ask,
                ),
                ActionSpec(
                    "saveAction", "&Save farm", "Save the farm", "Ctrl+S", "save-farm", self.save
                ),
                ActionSpec(
                    "saveAsAction",
                    "Save farm &as…",
                    "Save the farm under another name",
                    "Ctrl+Shift+S",
                    "",
                    self.save_as,
                ),
                ActionSpec(
                    "handOverAction",
                    "&Hand over…",
                    "Write the files for the spreader",
                    "Ctrl+E",
                    "stage-handover",
                    self.ask_where_to_hand_over,
                ),
                ActionSpec("quitAction", "&Quit", "End the program", "Ctrl+Q", "", window.close),
            ),
        )
        actions.add_undo_menu("&Edit", self._undo)
        actions.add_menu("&Zones", self.zones.specs())
        specs = (*self.lab.specs(), *self.maps.specs(), *self.ground.specs())
        actions.add_menu("&Tests", specs)
        self._add_view_menu(actions)
        actions.add_menu("&Look up", LookUp(window).specs())
        self._paddocks.stand_in(actions.bar)
        self.layers.stand_in(actions.bar)
        return actions

    def _add_view_menu(self, actions: Actions) -> None:
        window = self._window
        actions.add_menu(
            "&View",
            (
                ActionSpec(
                    "fitAction",
                    "&Whole paddock",
                    "Show the whole paddock",
                    "Ctrl+0",
                    "fit-paddock",
                    window.map.fit,
                ),
                ActionSpec(
                    "darkAction",
                    "&Dark or light",
                    "Change between dark and light",
                    "Ctrl+D",
                    "dark-light",
                    self.change_look,
                ),
                ActionSpec(
                    "cancelAction",
                    "&Cancel work",
                    "Cancel the running work",
                    "Esc",
                    "",
                    self.jobs.cancel,
                ),
                *self._paddocks.specs(),
                *self.layers.specs(),
            ),
        )

    def _show(self, farm: Farm, path: Path | None = None) -> FarmDocument:
        """Put a farm on the screens in the place of the one before."""
        if self._screens is not None:
            self._screens.take_down()
        document = FarmDocument(farm, self)
        self._cutter.follow(document)
        self.document, self._path = document, path
        self._undo.addStack(document.undo_stack)
        self._undo.setActiveStack(document.undo_stack)
        self._screens = Screens(self._window, document)
        self._screens.handover.hand_over_requested.connect(self.ask_where_to_hand_over)
        self.lab.take_from(self._screens.tests)
        self.zones.take_from(self._screens.zones)
        self.ground.take_from(self._screens.ground)
        self._curves.take_from(self._screens.rates)
        self._autosave = Autosave(document, self.jobs, document)
        document.undo_stack.cleanChanged.connect(self._show_title)
        document.season_chosen.connect(self._show_title)
        self._paddocks.follow(document)
        self.layers.follow(document, self._screens)
        self.maps.follow(document)
        self._screens.tests.map_requested.connect(self.maps.ask)
        self._show_title()
        return document

    @Slot()
    def _show_title(self) -> None:
        """Farm, paddock, and whether there are edits that no file has."""
        star = "" if self.document.undo_stack.isClean() else "*"
        name = self._path.name if self._path else self.document.farm.name
        self._window.setWindowTitle(f"{star}{name}: {self.document.season.paddock.name} - vrxapp")

    def offer_recovery(self) -> None:
        """Offer what an earlier run could not save, if there is any."""
        if recovery_file().exists():
            self._window.message.tell(
                "The last run ended without saving. Its farm was kept as it was a moment before.",
                action="Open it",
                do=partial(self.open_farm, recovery_file(), is_recovery=True),
            )

    # opening ---------------------------------------------------------------------------

    @Slot()
    def open_sample(self) -> None:
        """Open the invented farm."""
        self._open(lambda _: (sample_farm(), ()), "Opening the sample farm")

    @Slot()
    def ask_for_farm(self) -> None:
        """Ask for a farm file and open it."""
        start = str(QSettings().value(_FARM_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, "Open farm", start, _FARM_KINDS)
        if name:
            QSettings().setValue(_FARM_FOLDER, str(Path(name).parent))
            self.open_farm(Path(name))

    def open_farm(self, path: Path, *, is_recovery: bool = False) -> None:
        """Open a farm file; a recovered one has no file of its own yet."""
        self._open(partial(_read_farm, path), "Opening the farm", None if is_recovery else path)

    @Slot()
    def ask_for_files(self) -> None:
        """Ask for one's own files and open them."""
        self.ask_about(GivenFiles())

    def ask_about(self, given: GivenFiles) -> None:
        """Show the dialog for one's own files, with those that are known."""
        dialog = OpenFilesDialog(given, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self._open_files(dialog))
        dialog.open()

    def _open_files(self, dialog: QDialog) -> None:
        """Open one's own files; the lab sheet comes last, since it may leave questions."""
        files = dialog.files()
        work = partial(_first_plan, replace(files, lab=None), dialog.settings())
        if files.lab is None:
            self._open(work, "Opening your files")
        else:
            self.jobs.start(
                "Opening your files", work, lambda opened: self._on_ground(opened, files.lab)
            )

    def _on_ground(self, opened: tuple[Farm, tuple[Note, ...]], lab: Path) -> None:
        farm, notes = opened
        self._show(farm)
        self.lab.open_sheet(lab, notes=notes)

    def _open(self, work: object, text: str, path: Path | None = None) -> None:
        """Read in the background, then show what was read."""
        self.jobs.start(text, work, lambda result: self._on_opened(*result, path))

    def _on_opened(self, farm: Farm, notes: tuple[Note, ...], path: Path | None) -> None:
        self._show(farm, path)
        try:
            notes = (*notes, *self.document.plan().notes)
        except PlanPendingError:
            pass  # the rates follow by themselves
        except VrxError as error:
            notes = (*notes, error.note)
        if notes:
            self._window.message.tell("\n".join(str(note) for note in notes[:6]))

    @Slot(list)
    def _on_files_dropped(self, names: list[str]) -> None:
        paths = [Path(name) for name in names]
        for path in filter(is_raster, paths):
            self.layers.add_file(path)
        names = [str(path) for path in paths if not is_raster(path)]
        if not names:
            return
        try:
            given = sorted_by_part([Path(name) for name in names])
        except VrxError as error:
            self._window.message.tell_error(error)
            return
        if given.farm is not None:
            self.open_farm(given.farm)
        elif given.lab is not None and len(names) == 1:
            self.lab.open_sheet(given.lab)
        elif given.points is not None or given.guidance is not None:
            self.ground.drop(given.points, given.guidance, is_alone=len(names) == 1)
        else:
            self.ask_about(given)

    # saving ----------------------------------------------------------------------------

    @Slot()
    def save(self) -> None:
        """Save where the farm came from, or ask."""
        if self._path is None:
            self.save_as()
        else:
            self.save_to(self._path)

    @Slot()
    def save_as(self) -> None:
        """Ask for a name and save."""
        start = str(QSettings().value(_FARM_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Save farm", str(Path(start) / "farm.gpkg"), _FARM_KINDS
        )
        if not name:
            return
        QSettings().setValue(_FARM_FOLDER, str(Path(name).parent))
        try:
            path = save_path(name, _FARM_KINDS)
        except TargetExistsError as error:
            self._window.message.tell_error(error)
            return
        self.save_to(path)

    def save_to(self, path: Path) -> None:
        """Save the farm there, off the GUI thread."""
        document, index = self.document, self.document.undo_stack.index()
        work = partial(save_farm, document.farm, path)
        self.jobs.start("Saving the farm", work, lambda _: self._on_saved(document, index, path))

    def _on_saved(self, document: FarmDocument, index: int, path: Path) -> None:
        if document is self.document:
            self._path = path
            if document.undo_stack.index() == index:
                document.undo_stack.setClean()
                self._autosave.forget()
            self._show_title()

    # handing over ----------------------------------------------------------------------

    @Slot()
    def ask_where_to_hand_over(self) -> None:
        """Ask for a place and write the files there."""
        self._window.show_stage("handover")
        start = str(QSettings().value(_OUT_FOLDER, str(Path.home())))
        name = QFileDialog.getExistingDirectory(self._window, "Put the new folder into", start)
        if name:
            QSettings().setValue(_OUT_FOLDER, name)
            self.hand_over_into(Path(name))

    def hand_over_into(self, parent: Path) -> None:
        """Write the files of the operation into a new folder inside this one."""
        document, season = self.document, self.document.season
        folder = proposed_folder(parent, document)
        work = partial(_hand_over, season, document.operation, folder)
        done = partial(self._on_handed_over, document, season)
        self.jobs.start("Handing over", work, done)

    def _on_handed_over(self, document: FarmDocument, season: Season, done: "HandOver") -> None:
        """Show what was handed over beside its plan, or tell that the plan is another by now."""
        if document is not self.document or document.season is not season:
            self._window.message.tell(
                f"Put in place: {done.folder}. It holds the plan as it was when you handed it "
                "over; what is open now is another."
            )
            return
        self._screens.handover.show_result(done)
        self._window.show_stage("handover")

    # the rest --------------------------------------------------------------------------

    @Slot()
    def change_look(self) -> None:
        """Change between dark and light, and remember it."""
        self._window.set_dark(is_dark=not self._window.is_dark)
        self._actions.set_scheme(scheme_of(is_dark=self._window.is_dark))
        QSettings().setValue(_DARK, self._window.is_dark)

    @Slot()
    def _on_close_requested(self) -> None:
        """End: running work stops; unsaved edits stay in the copy for the next start."""
        self.jobs.cancel()
        self.jobs.wait(5_000)
        if self.document.undo_stack.isClean():
            self._autosave.forget()
        else:
            self._autosave.write_now()


def _read_farm(path: Path, _: Progress) -> tuple[Farm, tuple[Note, ...]]:
    from vrxapp.workflows.farm_files import open_farm  # heavy, so only when a file is opened

    return open_farm(path)


def _first_plan(files: object, settings: object, watch: Progress) -> tuple[Farm, tuple[Note, ...]]:
    from vrxapp.workflows.first_plan import first_plan

    return first_plan(files, settings, progress=watch)


def _hand_over(season: object, operation: object, folder: Path, watch: Progress) -> object:
    from vrxapp.workflows.hand_over import hand_over

    return hand_over(season, operation, folder, progress=watch)
