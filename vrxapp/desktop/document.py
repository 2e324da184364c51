"""The farm on screen: the one value that every view looks at, and the one kind of edit."""

from collections.abc import Callable
from dataclasses import fields
from functools import lru_cache, partial

import shapely
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from vrxapp.errors import VrxError
from vrxapp.farm import Farm, with_season
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones
from vrxapp.prescription.pipeline import Prescription, prescription
from vrxapp.season import Operation, Season
from vrxapp.trials.strips import CheckStrip

SEASON_PARTS = frozenset(f.name for f in fields(Season))
"""Names of all parts of a season, which are new when another one is shown."""


MANY_CORNERS = 20_000
"""Zones with more corners than this take longer to cut than a window may stand still."""
_MOST_GROUNDS = 16
_GroundKey = tuple[Paddock, Zones, tuple[CheckStrip, ...]]


class PlanPendingError(VrxError):
    """The plan is being worked out in the background; ask again when the document tells."""


class FarmDocument(QObject):
    """The current farm, which season and operation are open, and the undo stack."""

    changed = Signal(frozenset)  # names of the parts that are new
    operation_chosen = Signal(str)  # id of the operation that the screens show
    season_chosen = Signal(str)  # id of the season that the screens show

    def __init__(self, farm: Farm, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.farm = farm
        self.season_id = farm.seasons[0].id
        self.operation_id = farm.seasons[0].operations[0].id
        self._operation_of_season: dict[str, str] = {}
        self.undo_stack = QUndoStack(self)
        self._before_preview: Farm | None = None
        self._ask_for_ground: Callable[[Season], None] | None = None
        self._asked_ground: _GroundKey | None = None
        self._cut: dict[_GroundKey, VrxError | None] = {}

    @property
    def season(self) -> Season:
        """The season that is open."""
        return next(s for s in self.farm.seasons if s.id == self.season_id)

    @property
    def operation(self) -> Operation:
        """The operation that the screens show; the first, if an edit took that one away."""
        operations = self.season.operations
        return next((o for o in operations if o.id == self.operation_id), operations[0])

    def plan(self) -> Prescription:
        """What the operation spreads; worked out once for each season.

        Raises
        ------
        PlanPendingError
            While the ground of many zones is being cut in the background.
        """
        self.require_ground()
        return prescription(self.season, self.operation)

    def cut_aside(self, ask: Callable[[Season], None]) -> None:
        """Have the ground of many zones cut by somebody else, who tells `ground_is_cut`."""
        self._ask_for_ground = ask

    def ground_is_cut(self, season: Season, refused: VrxError | None) -> None:
        """The ground of a season is at hand, or cannot be cut; views look again."""
        self._cut[_ground_key(season)] = refused
        while len(self._cut) > _MOST_GROUNDS:
            del self._cut[next(iter(self._cut))]
        if _ground_key(season) == _ground_key(self.season):
            self.changed.emit(frozenset({"plan"}))

    def ask_again(self) -> None:
        """Ask once more for ground that was asked for and never came."""
        self._asked_ground = None

    def is_ground_pending(self, season: Season) -> bool:
        """Whether a season's zones are so many that their ground is cut aside, and is not yet."""
        is_aside = self._ask_for_ground is not None and _corners(season.zones) > MANY_CORNERS
        return is_aside and _ground_key(season) not in self._cut

    def require_ground(self) -> None:
        """Have the ground at hand that every plan of the season rests on.

        Raises
        ------
        PlanPendingError
            While it is being cut in the background.
        VrxError
            If it cannot be cut.
        """
        season = self.season
        key = _ground_key(season)
        if self.is_ground_pending(season):
            if self._asked_ground != key:
                self._asked_ground = key
                self._ask_for_ground(season)
            raise PlanPendingError("the rates are being worked out")
        refused = self._cut.get(key)
        if refused is not None:
            raise refused

    def edit(self, text: str, change: Callable[[Season], Season]) -> None:
        """Apply a core function to the season as one undoable step, named as the user would."""
        self.edit_farm(text, partial(_season_changed, season_id=self.season_id, change=change))

    def edit_farm(self, text: str, change: Callable[[Farm], Farm]) -> None:
        """Apply a core function to the farm as one undoable step."""
        self.end_preview()
        after = change(self.farm)
        if after is not self.farm:
            self.undo_stack.push(FarmEdit(self, text, self.farm, after))

    def preview(self, change: Callable[[Season], Season]) -> None:
        """Show what an edit would give, as no step; `edit` makes the step, `end_preview` none."""
        before = self._before_preview or self.farm
        after = _season_changed(before, season_id=self.season_id, change=change)
        self.show(after, self.season_id)
        self._before_preview = before

    def end_preview(self) -> None:
        """Show the farm as it was before it was previewed; without a preview nothing happens."""
        before, self._before_preview = self._before_preview, None
        if before is not None and before is not self.farm:
            self.show(before, self.season_id)

    def show(self, farm: Farm, season_id: str) -> None:
        """Make a value current, in the season it is seen in, and tell which parts are new."""
        self._before_preview = None  # an undo in the middle of a drag ends it
        before, self.farm = self.farm, farm
        parts = new_parts(before, farm, self.season_id)
        if season_id != self.season_id:
            self.choose_season(season_id)
        self.changed.emit(parts)

    def choose_season(self, season_id: str) -> None:
        """Show another season, with the operation that was last shown of it; it is no edit."""
        if season_id == self.season_id:
            return
        self.end_preview()
        self._operation_of_season[self.season_id] = self.operation_id
        self.season_id = season_id
        self.operation_id = self._operation_of_season.get(season_id, self.season.operations[0].id)
        self.changed.emit(SEASON_PARTS)
        self.season_chosen.emit(season_id)

    def choose_operation(self, operation_id: str) -> None:
        """Show another operation; what is shown is no edit."""
        if operation_id != self.operation_id:
            self.operation_id = operation_id
            self.operation_chosen.emit(operation_id)


class FarmEdit(QUndoCommand):
    """Every edit there is: the farm before and after, and the season in which it was made.

    Undo and redo go to that season, so that nobody undoes what cannot be seen.
    """

    def __init__(self, document: FarmDocument, text: str, before: Farm, after: Farm) -> None:
        super().__init__(text)
        self._document, self._before, self._after = document, before, after
        self._season_id = document.season_id

    def redo(self) -> None:
        """Make the farm after the edit current."""
        self._document.show(self._after, self._season_id)

    def undo(self) -> None:
        """Make the farm before the edit current."""
        self._document.show(self._before, self._season_id)


def _ground_key(season: Season) -> _GroundKey:
    """What the ground of a season is cut from."""
    return season.paddock, season.zones, season.strips


@lru_cache(maxsize=16)
def _corners(zones: Zones) -> int:
    """How many corners zones have together."""
    return int(shapely.get_num_coordinates(zones.shapes).sum())


def new_parts(before: Farm, after: Farm, season_id: str) -> frozenset[str]:
    """Names of the farm's and the season's parts that are other objects than before."""
    old = next((s for s in before.seasons if s.id == season_id), None)
    new = next((s for s in after.seasons if s.id == season_id), None)
    parts = {f.name for f in fields(Farm) if getattr(before, f.name) is not getattr(after, f.name)}
    if old is not new:
        parts |= {
            f.name
            for f in fields(Season)
            if old is None or new is None or getattr(old, f.name) is not getattr(new, f.name)
        }
    return frozenset(parts)


def _season_changed(farm: Farm, *, season_id: str, change: Callable[[Season], Season]) -> Farm:
    """The farm with one season changed."""
    season = next(s for s in farm.seasons if s.id == season_id)
    return with_season(farm, change(season))
