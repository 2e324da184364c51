"""Zones from data on screen: choose, make in the background, look, and use in one edit."""

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.stages.sheet_parts import heading
from vrxapp.desktop.zoning.found_view import FoundView
from vrxapp.desktop.zoning.layer_picks import LayerPicks, Pick, PickKind
from vrxapp.desktop.zoning.method_fields import MethodFields
from vrxapp.errors import VrxError, begun
from vrxapp.progress import Progress
from vrxapp.season import Season

if TYPE_CHECKING:
    from vrxapp.soil.results_table import ResultsTable
    from vrxapp.workflows.zone_layers import LayerFiles
    from vrxapp.workflows.zone_worth import WorthLine
    from vrxapp.workflows.zones_from_data import ZonesAsked, ZonesFound

_MOST_NOTES = 5
_FIRST = (
    "Tick what the zones are made from, then press Make zones. Nothing changes until you use them."
)
_STALE = "The choices changed: press Make zones again."


class ZonesFromDataDialog(QDialog):
    """Stays open beside the map; making is tried as often as one likes, using is one edit."""

    def __init__(
        self,
        document: FarmDocument,
        jobs: JobRunner,
        *,
        is_dark: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("zonesFromDataDialog")
        self.setWindowTitle(f"Zones from data: {document.season.paddock.name}")
        self.resize(1120, 680)
        self._document, self._jobs = document, jobs
        self._season_id, self._paddock = document.season_id, document.season.paddock
        self._found: ZonesFound | None = None
        self._trial = 0
        self._picks = LayerPicks(jobs, self)
        self._how = MethodFields(self)
        self._view = FoundView(is_dark=is_dark, parent=self)
        self._said = QLabel(_FIRST, self)
        self._said.setObjectName("zoningSaid")
        self._said.setTextFormat(Qt.TextFormat.PlainText)
        self._said.setWordWrap(True)
        self._said.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._bar = QProgressBar(self)
        self._bar.setObjectName("zoningProgress")
        self._bar.setAccessibleName("Progress of making zones")
        self._bar.setFormat("%v of %m")
        self._make = self._button("makeZonesButton", "&Make zones", "Make zones to look at")
        self._stop = self._button("stopZoningButton", "&Cancel", "Stop making zones (Esc)")
        self._use = self._button(
            "useMadeZonesButton", "&Use these zones", "Take them for all zones that are not locked"
        )
        self._close = self._button("closeZoningButton", "C&lose", "Close; what was used stays")
        self._lay_out()
        self._connect()
        self._picks.show_season(document.season)
        self._how.show_season(document.season)
        self._view.show_paddock(self._paddock)
        self._forget(_FIRST)
        self._show_idle()

    def _button(self, name: str, text: str, tip: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(name)
        button.setToolTip(tip)
        button.setAutoDefault(False)  # Enter in a field must not use zones
        return button

    def _lay_out(self) -> None:
        asked = QWidget(self)
        column = QVBoxLayout(asked)
        column.setContentsMargins(0, 0, 6, 0)
        column.addWidget(heading("Made from", self))
        column.addWidget(self._picks, 1)
        column.addWidget(self._how)
        area = QScrollArea(self)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(asked)
        area.setFixedWidth(350)
        across = QHBoxLayout()
        across.addWidget(area)
        across.addWidget(self._view, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self._make)
        buttons.addWidget(self._stop)
        buttons.addWidget(self._bar)
        buttons.addStretch(1)
        buttons.addWidget(self._use)
        buttons.addWidget(self._close)
        layout = QVBoxLayout(self)
        layout.addLayout(across, 1)
        layout.addWidget(self._said)
        layout.addLayout(buttons)

    def _connect(self) -> None:
        self._picks.changed.connect(self._on_choices_changed)
        self._picks.refused.connect(self._tell_error)
        self._how.changed.connect(self._on_choices_changed)
        self._view.number_chosen.connect(self._on_number_chosen)
        self._make.clicked.connect(self.make)
        self._stop.clicked.connect(self._jobs.cancel)
        self._use.clicked.connect(self.use)
        self._close.clicked.connect(self.reject)
        self._jobs.stepped.connect(self._on_stepped)
        self._jobs.failed.connect(self._on_failed)
        self._jobs.finished.connect(self._show_idle)
        self._document.changed.connect(self._on_season_changed)

    # making ----------------------------------------------------------------------------

    @Slot()
    def make(self) -> None:
        """Make zones in the background; nothing is changed yet."""
        try:
            asked = self._asked()
        except VrxError as error:
            self._tell_error(error)
            return
        self._forget("Making zones…")
        for button, is_on in ((self._make, False), (self._stop, True)):
            button.setEnabled(is_on)
        self._trial += 1
        work = partial(_made, self._document.season, asked, self._picks.sheet)
        self._jobs.start("Making zones", work, partial(self._on_made, self._trial))

    def _asked(self) -> "ZonesAsked":
        """Which zones are wanted, out of the fields."""
        from vrxapp.workflows.make_zones import ZoneMethod, ZoneRecipe
        from vrxapp.workflows.zones_from_data import ZonesAsked

        how = self._how
        recipe = ZoneRecipe(
            method=ZoneMethod(how.method),
            zones=how.count(),
            breaks=how.breaks(),
            seed=int(how.value("seed")),
            tidy=how.tidy(),
        )
        hectares, bearing = how.squares
        return ZonesAsked(
            files=replace(_files(self._picks.picks()), reach_m=how.value("reach")),
            recipe=recipe,
            cell_m=how.value("cell"),
            hectares=hectares,
            bearing_degree=bearing,
            sampled=how.sampled,
        )

    def _on_made(
        self, trial: int, made: "VrxError | tuple[ZonesFound, tuple[WorthLine, ...]]"
    ) -> None:
        """Show what was made, unless the choices or the paddock are others by now."""
        if trial != self._trial:
            return
        if isinstance(made, VrxError):
            self._tell_error(made)
            return
        self._found, worth = made
        self._view.show_found(self._found, worth, self._paddock)
        count = len(self._found.zones.names)
        self._said.setText("\n".join([f"{count} zones, not used yet.", *_notes(self._found)]))
        self._use.setEnabled(True)

    @Slot()
    def use(self) -> None:
        """Take the zones into the season, as one step."""
        if self._found is None:
            return
        change = partial(_with_zones, found=self._found)
        try:
            self._document.edit("Use zones made from data", change)
        except VrxError as error:
            self._tell_error(error)
            return
        self._use.setEnabled(False)
        used = "Used; Undo brings back the zones that were there before."
        self._said.setText("\n".join([used, *_notes(self._found)]))

    # what goes on ----------------------------------------------------------------------

    @Slot(int, int, str)
    def _on_stepped(self, done: int, total: int, stage: str) -> None:
        if not self._make.isEnabled():
            self._bar.setVisible(True)
            self._bar.setMaximum(total)
            self._bar.setValue(done)
            self._said.setText(f"{stage}…")

    @Slot()
    def _show_idle(self) -> None:
        """No work is running; a cancelled one has left nothing."""
        if not self._make.isEnabled() and self._found is None and self._said.text().endswith("…"):
            self._said.setText("Cancelled; nothing was made.")
        self._make.setEnabled(True)
        self._stop.setEnabled(False)
        self._bar.hide()

    @Slot(object)
    def _on_failed(self, error: Exception) -> None:
        """A fault of the program itself; the window tells it in full."""
        if not self._make.isEnabled():
            self._said.setText(f"This failed: {error}")

    def _forget(self, said: str) -> None:
        """No zones are ready to be used."""
        self._found = None
        self._use.setEnabled(False)
        self._said.setText(said)

    @Slot()
    def _on_choices_changed(self) -> None:
        if self._picks.sheet is not None and self.sender() is self._picks:
            self._how.show_tests(self._picks.sheet)
        if self._found is not None:
            self._trial += 1
            self._forget(_STALE)

    @Slot(int)
    def _on_number_chosen(self, number: int) -> None:
        self._how.choose_count(number)
        self.make()

    @Slot(object)
    def _tell_error(self, error: VrxError) -> None:
        self._forget(begun(str(error), error.note.file))

    @Slot(frozenset)
    def _on_season_changed(self, parts: frozenset[str]) -> None:
        """Close where another paddock is shown; its boundary may be another too."""
        is_other = self._document.season_id != self._season_id
        if is_other or self._document.season.paddock is not self._paddock:
            self.reject()
            return
        if parts & {"layers", "tests"}:
            self._picks.show_season(self._document.season)
            self._how.show_tests(self._picks.sheet or self._document.season)
        if "zones" in parts and self._found is not None and self._use.isEnabled():
            self._said.setText("The zones of the paddock changed; these can still be used.")

    def reject(self) -> None:
        """Close, and stop what is being made."""
        if not self._make.isEnabled():
            self._trial += 1
            self._jobs.cancel()
        super().reject()


def _notes(found: "ZonesFound") -> list[str]:
    """The first notes, each beginning like a sentence."""
    names = [name for name, _ in found.layers]
    return [begun(str(note), note.file, *names) for note in found.notes[:_MOST_NOTES]]


def _files(picks: tuple[Pick, ...]) -> "LayerFiles":
    """What was ticked, as the workflow reads it."""
    from vrxapp.workflows.zone_layers import LayerFiles

    def of(kind: PickKind) -> list[Pick]:
        return [pick for pick in picks if pick.kind is kind]

    return LayerFiles(
        rasters=tuple((pick.of, pick.part) for pick in of(PickKind.RASTER)),
        elevations=tuple((pick.of, pick.part) for pick in of(PickKind.HEIGHTS)),
        points=tuple((pick.of, pick.part) for pick in of(PickKind.POINTS)),
        harvests=tuple((pick.of, pick.part) for pick in of(PickKind.HARVEST)),
        linked=tuple(str(pick.of) for pick in of(PickKind.LINKED)),
        tests=tuple(str(pick.of) for pick in of(PickKind.TEST)),
    )


def _made(
    season: Season, asked: "ZonesAsked", sheet: "ResultsTable | None", watch: Progress
) -> "VrxError | tuple[ZonesFound, tuple[WorthLine, ...]]":
    """Zones and what they explain, or why they cannot be made."""
    from vrxapp.workflows.zone_worth import worth_of_zones
    from vrxapp.workflows.zones_from_data import zones_from_data

    try:
        found = zones_from_data(season, asked, tests=sheet, progress=watch)
        return found, worth_of_zones(season, found.zones.shapes, tests=sheet, progress=watch)
    except VrxError as error:
        return error


def _with_zones(season: Season, found: "ZonesFound") -> Season:
    """The season with the made zones around what is locked now."""
    from vrxapp.workflows.zones_from_data import with_found_zones

    return with_found_zones(season, found)
