"""The budget of the season as a knob: its money, who gets it first, and what falls short."""

import math
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QListWidget,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import add_row, faint, grown_form, number_field
from vrxapp.edits.budget import set_budget, set_priority
from vrxapp.errors import VrxError
from vrxapp.prescription.season_cut import priority
from vrxapp.prescription.season_shortfall import budget_currency, shortfall_lines, whole_cost
from vrxapp.season import Season, SeasonBudget

_NOTCHES = 200
_MOST_MONEY = 100_000_000.0
_ROW_PX = 22


class BudgetFields(QWidget):
    """A switch, money as number and slider up to the full cost, the order, and the shortfall."""

    curves_requested = Signal()

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("budgetFields")
        self._document = document
        self._most = 0.0
        self._keep = QCheckBox("Keep to a &budget", self)
        self._keep.setObjectName("budgetCheck")
        self._keep.setToolTip("Keep the products of all passes of this season to a sum of money")
        self._money = number_field(
            "budgetSpinBox", self, unit="", low=0.0, high=_MOST_MONEY, decimals=0
        )
        self._slider = QSlider(Qt.Orientation.Horizontal, self)
        self._slider.setObjectName("budgetSlider")
        self._slider.setAccessibleName("Budget, from nothing to the full cost")
        self._slider.setToolTip("From nothing to the full cost; the map follows")
        self._slider.setRange(0, _NOTCHES)
        self._slider.setPageStep(_NOTCHES // 10)
        self._order = QListWidget(self)
        self._order.setObjectName("budgetOrder")
        self._order.setAccessibleName("Passes in the order in which they get money")
        self._order.setToolTip("The first gets all it needs, then the next")
        self._sooner = self._button("budgetSoonerButton", "S&ooner", "Give this pass money sooner")
        self._later = self._button("budgetLaterButton", "&Later", "Give this pass money later")
        self._short = faint("", self, name="budgetShortLabel")
        self._curves = self._button(
            "budgetCurvesButton",
            "Budget by response curves…",
            "Put the money where your own trials say that it earns most",
        )
        self._lay_out()
        self._connect()
        self.show_season()

    def _button(self, name: str, text: str, tip: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(name)
        button.setToolTip(tip)
        return button

    def _lay_out(self) -> None:
        self._knob, self._ranks = QWidget(self), QWidget(self)
        form = grown_form(self._knob)
        add_row(form, "Money", self._money, "Money for the products of all passes")
        form.addRow(self._slider)
        ranks = QVBoxLayout(self._ranks)
        ranks.setContentsMargins(0, 0, 0, 0)
        ranks.addWidget(self._order)
        buttons = QHBoxLayout()
        buttons.addWidget(self._sooner)
        buttons.addWidget(self._later)
        ranks.addLayout(buttons)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for part in (self._keep, self._knob, self._ranks, self._short, self._curves):
            layout.addWidget(part)

    def _connect(self) -> None:
        self._keep.clicked.connect(self._on_switched)
        self._money.valueChanged.connect(self._on_money_edited)
        self._slider.valueChanged.connect(self._on_slider_moved)
        self._slider.sliderReleased.connect(self._on_slider_released)
        self._sooner.clicked.connect(lambda: self._move(-1))
        self._later.clicked.connect(lambda: self._move(1))
        self._curves.clicked.connect(self.curves_requested)
        self._order.currentRowChanged.connect(self._allow_moves)
        self._document.changed.connect(self.show_season)

    @Slot()
    def show_season(self) -> None:
        """Write the season's budget into the fields, without taking that for edits."""
        season = self._document.season
        budget = season.budget
        fields = (self._keep, self._money, self._slider, self._order)
        blockers = [QSignalBlocker(field) for field in fields]
        self._keep.setChecked(budget is not None)
        for part in (self._knob, self._short):
            part.setVisible(budget is not None)
        self._ranks.setVisible(budget is not None and len(season.operations) > 1)
        if budget is not None:
            self._show_money(season, budget)
            self._show_order(season, budget)
        self._short.setText(_told_short(season))
        del blockers
        self._allow_moves()

    def _show_money(self, season: Season, budget: SeasonBudget) -> None:
        self._most = whole_cost(season)
        self._money.setPrefix(f"{budget.currency} " if budget.currency else "")
        self._money.setValue(budget.money)
        self._slider.setEnabled(self._most > 0)
        if not self._slider.isSliderDown() and self._most > 0:
            notch = round(budget.money / self._most * _NOTCHES)
            self._slider.setValue(min(notch, _NOTCHES))

    def _show_order(self, season: Season, budget: SeasonBudget) -> None:
        names = [operation.name for operation in priority(season.operations, budget)]
        if [self._order.item(row).text() for row in range(self._order.count())] != names:
            self._order.clear()
            self._order.addItems(names)
            self._order.setFixedHeight(_ROW_PX * min(len(names), 5) + 6)

    @Slot()
    def _allow_moves(self) -> None:
        row = self._order.currentRow()
        self._sooner.setEnabled(row > 0)
        self._later.setEnabled(0 <= row < self._order.count() - 1)

    @Slot()
    def _on_switched(self) -> None:
        if not self._keep.isChecked():
            self._document.edit("Keep to no budget", partial(set_budget, budget=None))
            return
        season = self._document.season
        money = SeasonBudget(float(math.ceil(whole_cost(season))), budget_currency(season))
        self._document.edit("Keep to a budget", partial(set_budget, budget=money))

    @Slot(float)
    def _on_money_edited(self, money: float) -> None:
        self._document.edit(f"Keep to a budget of {money:,.0f}", _with_money(money))

    @Slot(int)
    def _on_slider_moved(self, notch: int) -> None:
        money = self._money_at(notch)
        if self._slider.isSliderDown():
            self._document.preview(_with_money(money))
        else:
            self._document.edit(f"Keep to a budget of {money:,.0f}", _with_money(money))

    @Slot()
    def _on_slider_released(self) -> None:
        money = self._money_at(self._slider.value())
        self._document.edit(f"Keep to a budget of {money:,.0f}", _with_money(money))

    def _money_at(self, notch: int) -> float:
        """Money at a notch of the slider, in whole units; the last one pays for everything."""
        return float(math.ceil(self._most * notch / _NOTCHES))

    def _move(self, by: int) -> None:
        """Give the chosen pass money sooner or later."""
        season, row = self._document.season, self._order.currentRow()
        if season.budget is None or row < 0:
            return
        order = [operation.id for operation in priority(season.operations, season.budget)]
        order.insert(row + by, order.pop(row))
        text = f"Give {self._order.item(row).text()} money {'sooner' if by < 0 else 'later'}"
        self._document.edit(text, partial(set_priority, order=tuple(order)))
        self._order.setCurrentRow(row + by)


def _with_money(money: float) -> Callable[[Season], Season]:
    """The edit that sets the money and keeps currency and order."""

    def change(season: Season) -> Season:
        order = season.budget.order if season.budget else ()
        return set_budget(season, SeasonBudget(money, budget_currency(season), order))

    return change


def _told_short(season: Season) -> str:
    """What falls short, one line an operation; or why that cannot be told."""
    try:
        return "\n".join(shortfall_lines(season))
    except VrxError as error:
        return str(error)
