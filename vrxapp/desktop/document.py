"""The farm on screen: the one value that every view looks at, and the one kind of edit."""

from collections.abc import Callable
from dataclasses import fields
from functools import partial

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from vrxapp.farm import Farm, with_season
from vrxapp.prescription.pipeline import Prescription, prescription
from vrxapp.season import Operation, Season

SEASON_PARTS = frozenset(f.name for f in fields(Season))
"""Names of all parts of a season, which are new when another one is shown."""


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
        """What the operation spreads; worked out once for each season."""
        return prescription(self.season, self.operation)

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
