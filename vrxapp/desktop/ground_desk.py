"""The ground of the open season: taken from files, planned for sampling, and written out."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Slot
from PySide6.QtWidgets import QFileDialog

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.open_dialog import shape_kinds
from vrxapp.desktop.save_path import save_path
from vrxapp.desktop.season_work import Changed, SeasonWork
from vrxapp.desktop.stages.ground import GroundSheet
from vrxapp.edits.sample_plan import set_sample_plan
from vrxapp.errors import TargetExistsError
from vrxapp.ground.exclusions import ExclusionKind
from vrxapp.ground.ground_points import GroundPointKind
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.workflows.sample_settings import SampleSettings

PLAN_KINDS = (
    "Page to print (*.html);;Waypoints for a phone (*.gpx);;Table for the bags (*.csv);;"
    "Points for a map (*.geojson)"
)
TASK_DATA = ".xml"
_FOLDER = "folders/ground"


class GroundDesk(QObject):
    """Does what may take long with the ground, and makes the result the season's in one step."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document
        self._work = SeasonWork(window, jobs, document)

    def take_from(self, sheet: GroundSheet) -> None:
        """Do what the Ground sheet asks for."""
        sheet.exclusions.file_requested.connect(self.ask_for_exclusions)
        sheet.points.file_requested.connect(self.ask_for_points)
        sheet.guidance.file_requested.connect(self.ask_for_guidance)
        sheet.samples.plan_requested.connect(self.plan_samples)
        sheet.samples.save_requested.connect(self.ask_where_to_write_plan)
        self._sheet = sheet

    def specs(self) -> tuple[ActionSpec, ...]:
        """The action of the Tests menu."""
        return (
            ActionSpec(
                "samplePlanAction",
                "&Sample plan…",
                "Plan where to take soil samples, and print the plan",
                "Ctrl+Shift+P",
                "",
                self.show_samples,
            ),
        )

    @Slot()
    def show_samples(self) -> None:
        """Open the sample plan on the Ground stage."""
        self._window.show_stage("ground")
        self._sheet.show_samples()

    @Slot(str, float, float)
    def ask_for_guidance(self, machine: str, swath_m: float, wheel_track_m: float) -> None:
        """Ask for a file and add its lines; machine and spacings are for those that tell none."""
        path = self._asked("Guidance lines from a file", also=TASK_DATA)
        if path is not None:
            self.open_guidance(path, (machine, swath_m, wheel_track_m))

    def open_guidance(self, path: Path, machine: tuple[str, float, float]) -> None:
        """Add the lines of a file in the background."""
        self._work.start(
            "Reading the guidance lines",
            "Take guidance lines from a file",
            partial(_guidance, path=path, machine=machine),
        )

    @Slot(object)
    def plan_samples(self, settings: SampleSettings) -> None:
        """Work out a plan and keep it with the season."""
        self._work.start(
            "Planning the samples", "Plan samples", partial(_planned, settings=settings)
        )

    @Slot()
    def ask_where_to_write_plan(self) -> None:
        """Ask for a name and write the plan there, in the format that the name says."""
        start = Path(str(QSettings().value(_FOLDER, str(Path.home()))))
        season = self._document().season
        name, chosen = QFileDialog.getSaveFileName(
            self._window,
            "Write the sample plan",
            str(start / f"{season.paddock.name} samples.html"),
            PLAN_KINDS,
        )
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            try:
                path = save_path(name, PLAN_KINDS, chosen=chosen)
            except TargetExistsError as error:
                self._window.message.tell_error(error)
                return
            self.write_plan(path)

    def write_plan(self, path: Path) -> None:
        """Write the season's plan in the background, and tell that it was read back."""
        season = self._document().season
        self._jobs.start(
            "Writing the sample plan",
            lambda _progress: _written(season, path),
            lambda _: self._window.message.tell(f"Written and read back: {path}"),
        )

    @Slot(str, float)
    def ask_for_exclusions(self, kind: str, setback_m: float) -> None:
        """Ask for a file and add its exclusions; kind and setback are for those that tell none."""
        path = self._asked("Exclusions from a file")
        if path is not None:
            self._work.start(
                "Reading the exclusions",
                "Take exclusions from a file",
                partial(_exclusions, path=path, kind=kind, setback_m=setback_m),
            )

    @Slot(str)
    def ask_for_points(self, kind: str) -> None:
        """Ask for a file and add its points; the kind is for those that tell none."""
        path = self._asked("Ground points from a file")
        if path is not None:
            self.open_points(path, kind=kind)

    def open_points(self, path: Path, *, kind: str) -> None:
        """Add the points of a file in the background."""
        self._work.start(
            "Reading the points",
            "Take ground points from a file",
            partial(_points, path=path, kind=kind),
        )

    def drop(self, points: Path | None, guidance: Path | None, *, is_alone: bool) -> None:
        """Add the points or guidance lines of a file that was dropped, if it came alone."""
        if not is_alone:
            self._window.message.tell(
                f"{(points or guidance).name} belongs to a paddock. Drop it by itself, once that "
                "paddock is open."
            )
        elif points is not None:
            self.show_points()
            self.open_points(points, kind=self._sheet.points.kind())
        elif guidance is not None:
            self._window.show_stage("ground")
            self._sheet.show_guidance(-1)
            self.open_guidance(guidance, self._sheet.guidance.machine())

    @Slot()
    def show_points(self) -> None:
        """Open the points on the Ground stage."""
        self._window.show_stage("ground")
        self._sheet.show_point(-1)

    def _asked(self, title: str, *, also: str = "") -> Path | None:
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, title, start, shape_kinds(also))
        if not name:
            return None
        QSettings().setValue(_FOLDER, str(Path(name).parent))
        return Path(name)


def _guidance(
    season: Season, _: Progress, *, path: Path, machine: tuple[str, float, float]
) -> Changed:
    from vrxapp.workflows.guidance_files import (  # brings the readers of files
        GuidanceMachine,
        guidance_from_file,
    )

    return guidance_from_file(season, path, GuidanceMachine(*machine))


def _planned(season: Season, _: Progress, *, settings: SampleSettings) -> Changed:
    from vrxapp.workflows.sample_plan import planned_samples  # brings what computes

    return set_sample_plan(season, planned_samples(season, settings)), ()


def _written(season: Season, path: Path) -> None:
    from vrxapp.workflows.sample_plan import write_plan_file  # brings what computes

    write_plan_file(season, season.sample_plan, path)


def _exclusions(season: Season, _: Progress, *, path: Path, kind: str, setback_m: float) -> Changed:
    from vrxapp.workflows.ground_files import exclusions_from_file  # brings the readers of files

    return exclusions_from_file(season, path, kind=ExclusionKind(kind), setback_m=setback_m)


def _points(season: Season, _: Progress, *, path: Path, kind: str) -> Changed:
    from vrxapp.workflows.ground_files import points_from_file  # brings the readers of files

    return points_from_file(season, path, kind=GroundPointKind(kind))
