"""What the fields of all needs share: a way is chosen, its settings follow, and it is one edit."""

import math
from collections.abc import Callable
from functools import partial
from typing import TypeVar

from PySide6.QtCore import QSignalBlocker, Slot
from PySide6.QtWidgets import QComboBox, QDoubleSpinBox, QLineEdit, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, grown_form, number_field
from vrxapp.edits.need_plans import drop_need_plan, plan_beneath, set_need_plan
from vrxapp.errors import VrxError
from vrxapp.need_plans import NeedPlan, Purpose
from vrxapp.season import Season
from vrxapp.workflows.need_words import plan_words

_Field = TypeVar("_Field", bound=QWidget)


class PlanFields(QWidget):
    """Fields for one need; sub-classes say which there are and what plan they make.

    What cannot be used yet (a value without its reason) is told under the fields and
    leaves the season as it is.
    """

    def __init__(self, document: FarmDocument, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._document = document
        self.form = grown_form(self)
        self._words = faint("", self, name=f"{name}Words")
        self._fields: list[QWidget] = []

    # what sub-classes say (a Qt class cannot be an abstract one of Python) --------------

    def purpose(self) -> Purpose:
        """The need that the fields are for now."""
        raise NotImplementedError

    def made(self, season: Season) -> NeedPlan | None:
        """The plan as the fields stand; None where no way has been chosen."""
        raise NotImplementedError

    def show_plan(self, plan: NeedPlan | None) -> None:
        """Write a plan into the fields."""
        raise NotImplementedError

    # what they share -------------------------------------------------------------------

    def combo(self, name: str, label: str, tip: str) -> QComboBox:
        """A list among the fields."""
        field = combo_field(name, self)
        field.activated.connect(self._on_edited)
        return self._add(field, label, tip)

    def number(self, name: str, label: str, tip: str, *, unit: str, high: float) -> QDoubleSpinBox:
        """A number that starts as not set."""
        field = number_field(name, self, unit=unit, low=0.0, high=high, decimals=2)
        field.setSpecialValueText("not set")
        field.valueChanged.connect(self._on_edited)
        return self._add(field, label, tip)

    def text(self, name: str, label: str, tip: str) -> QLineEdit:
        """A line of text."""
        field = QLineEdit(self)
        field.setObjectName(name)
        field.editingFinished.connect(self._on_edited)
        return self._add(field, label, tip)

    def _add(self, field: _Field, label: str, tip: str) -> _Field:
        add_row(self.form, label, field, tip)
        self._fields.append(field)
        return field

    def finish(self) -> None:
        """Show the season, once all fields are there."""
        self.form.addRow(self._words)
        self._document.changed.connect(self.show_season)
        self._document.operation_chosen.connect(self.show_season)
        self.show_season()

    @Slot()
    def show_season(self) -> None:
        """Write the season's plan into the fields, without taking that for an edit."""
        if self._document.operation.purpose not in self.purposes():
            return
        blockers = [QSignalBlocker(field) for field in self._fields]
        season = self._document.season
        plan = plan_beneath(season, self.purpose())
        self.show_plan(plan)
        self._words.setText("" if plan is None else plan_words(season, self.purpose()))
        del blockers

    def purposes(self) -> tuple[Purpose, ...]:
        """The needs that the fields can be for."""
        return (self.purpose(),)

    def show_rows(self, rows: dict[QWidget, bool]) -> None:
        """Show just the rows that the chosen way asks for."""
        for field, is_asked in rows.items():
            self.form.setRowVisible(field, is_asked)

    @Slot()
    def _on_edited(self) -> None:
        season, purpose = self._document.season, self.purpose()
        try:
            plan = self.made(season)
        except VrxError as error:
            self._words.setText(str(error))
            self.after_refusal()
            return
        change: Callable[[Season], Season] = (
            partial(drop_need_plan, purpose=purpose)
            if plan is None
            else partial(set_need_plan, plan=plan)
        )
        text = f"Leave {purpose} out" if plan is None else f"Plan {purpose}"
        self._document.edit(text, change)
        self._words.setText(plan_words(self._document.season, purpose) if plan else "")

    def after_refusal(self) -> None:
        """Show the fields that are still to be filled; nothing by itself."""


def unset(field: QDoubleSpinBox) -> float:
    """The number, NaN where it is not set."""
    return field.value() or math.nan


def zero(value: float) -> float:
    """What a field shows for a number that may be missing."""
    return 0.0 if math.isnan(value) else value
