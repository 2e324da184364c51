"""The dialog for a budget by response curves: the curves, the money, and where it earns most."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QDialog,
    QDoubleSpinBox,
    QHBoxLayout,
    QListWidget,
    QPushButton,
    QTableWidget,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.stages.curve_fields import CurveFields, curve_text
from vrxapp.desktop.stages.return_plot import ReturnPlot
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    close_button,
    faint,
    grown_form,
    heading,
    number_field,
)
from vrxapp.desktop.stages.shown_table import fill_row, prepare_table
from vrxapp.errors import VrxError
from vrxapp.prescription.season_shortfall import budget_currency, whole_cost
from vrxapp.prescription.zone_curve import ZoneCurve
from vrxapp.season import Season
from vrxapp.units import PERCENT

if TYPE_CHECKING:
    from vrxapp.workflows.curve_budget import CurveBudget, CurveRow

_WIDTH_PX, _HEIGHT_PX = 1120, 660
_LEFT_PX = 400
_MOST_MONEY = 100_000_000.0


@dataclass(frozen=True, slots=True)
class CurveQuestion:
    """What is to be worked out: the curves and the money."""

    curves: tuple[ZoneCurve, ...]
    money: float
    crop_price_t: float
    extra_return: float


class CurvesDialog(QDialog):
    """Curves to the left, where the money earns most to the right."""

    asked = Signal(object)  # the question

    def __init__(
        self, season: Season, curves: tuple[ZoneCurve, ...], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("curvesDialog")
        self.setWindowTitle("Budget by response curves")
        self._season, self._curves = season, list(curves)
        self.question: CurveQuestion | None = None  # the one that is being worked out
        self._currency = budget_currency(season)
        self._fields = CurveFields(season, self)
        self._list = QListWidget(self)
        self._list.setObjectName("curvesList")
        self._list.setAccessibleName("Curves that were given")
        self._list.setWordWrap(True)
        self._remove = self._button("removeCurveButton", "&Remove", "Take the chosen curve out")
        self._money = self._money_field("curveMoneySpinBox", _start_money(season))
        price = season.crop.price_t
        self._price = self._money_field(
            "curveCropPriceSpinBox", 0.0 if math.isnan(price) else price
        )
        self._price.setSuffix(" per t")
        self._price.setSpecialValueText("not told")
        self._extra = number_field("curveExtraSpinBox", self, unit="%", low=0.0, high=1000.0)
        self._work = self._button(
            "workCurvesButton", "&Work out", "Put the money where it earns most"
        )
        self._told = faint("", self, name="curvesToldLabel")
        self._table = _results_table(self)
        self._plot = ReturnPlot(self)
        self._lay_out()
        self._connect()
        self._show_curves()
        self._clear()
        self.resize(_WIDTH_PX, _HEIGHT_PX)

    @property
    def curves(self) -> tuple[ZoneCurve, ...]:
        """The curves of the list."""
        return tuple(self._curves)

    def _button(self, name: str, text: str, tip: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(name)
        button.setToolTip(tip)
        button.setAutoDefault(False)
        return button

    def _money_field(self, name: str, value: float) -> QDoubleSpinBox:
        field = number_field(name, self, unit="", low=0.0, high=_MOST_MONEY, decimals=0)
        field.setPrefix(f"{self._currency} " if self._currency else "")
        field.setValue(value)
        return field

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Budget", self._money, "Money for the products of these passes")
        add_row(form, "&Crop price", self._price, "At the farm, for a tonne")
        add_row(form, "&Extra return", self._extra, "Asked for beyond each unit of money; 100 % "
                "doubles it")  # fmt: skip
        left = QVBoxLayout()
        for part in (
            heading("Curve, from your own trials", self), self._fields, self._list, self._remove,
        ):  # fmt: skip
            left.addWidget(part)
        left.addLayout(form)
        left.addWidget(self._work)
        holder = QWidget(self)
        holder.setLayout(left)
        holder.setFixedWidth(_LEFT_PX)
        right = QVBoxLayout()
        right.addWidget(heading("Where the money earns most", self))
        right.addWidget(self._table, 1)
        right.addWidget(self._plot)
        right.addWidget(self._told)
        across = QHBoxLayout()
        across.addWidget(holder)
        across.addLayout(right, 1)
        layout = QVBoxLayout(self)
        layout.addLayout(across, 1)
        layout.addWidget(close_button("curvesButtons", self))

    def _connect(self) -> None:
        self._fields.given.connect(self._on_curve_given)
        self._remove.clicked.connect(self._on_remove_clicked)
        self._list.currentRowChanged.connect(self._allow)
        self._work.clicked.connect(self._on_work_clicked)
        self._price.valueChanged.connect(self._allow)
        for number in (self._money, self._price, self._extra):
            number.valueChanged.connect(self._clear)

    def _show_curves(self) -> None:
        self._list.clear()
        self._list.addItems([curve_text(curve, self._season) for curve in self._curves])
        self._allow()

    @Slot()
    def _allow(self) -> None:
        self._remove.setEnabled(self._list.currentRow() >= 0)
        self._work.setEnabled(bool(self._curves) and self._price.value() > 0)

    @Slot()
    def _clear(self) -> None:
        """Take away an answer to what is no longer the question."""
        self.question = None
        self._table.setRowCount(0)
        self._plot.hide()
        self._told.setText("Give a curve for a pass, and the price of the crop; then work it out.")

    @Slot(object)
    def _on_curve_given(self, curve: ZoneCurve) -> None:
        place = (curve.operation_id, curve.zone_row)
        self._curves = [c for c in self._curves if (c.operation_id, c.zone_row) != place]
        self._curves.append(curve)
        self._curves.sort(key=lambda c: c.zone_row >= 0)
        self._show_curves()
        self._clear()

    @Slot()
    def _on_remove_clicked(self) -> None:
        del self._curves[self._list.currentRow()]
        self._show_curves()
        self._clear()

    @Slot()
    def _on_work_clicked(self) -> None:
        self._told.setText("Working it out …")
        self.question = CurveQuestion(
            self.curves, self._money.value(), self._price.value(), self._extra.value() / PERCENT
        )
        self.asked.emit(self.question)

    def show_answer(
        self, by: "CurveBudget", rows: "tuple[CurveRow, ...]", notes: tuple[str, ...]
    ) -> None:
        """Show where the money earns most, and the return against the budget."""
        _fill(self._table, rows)
        points = tuple(
            (float(money), plan.net_return)
            for money, plan in zip(by.budgets, by.plans, strict=True)
        )
        best = by.best
        self._plot.show_returns(
            points, spent=best.spent, net=best.net_return, currency=self._currency
        )
        self._plot.show()
        spent = (
            f"Spent {best.spent:,.0f} {self._currency}; crop gained {best.crop_value:,.0f}; net "
            f"{best.net_return:,.0f}. The last dollar earned {best.last_dollar_earned:.2f}."
        )
        left = [f"{name} gets nothing here: {lack}." for name, lack in by.found.left_out]
        self._told.setText("\n".join([spent, *left, *(f"{note}." for note in notes)]))

    def show_error(self, error: VrxError) -> None:
        """Say why it cannot be worked out."""
        self._clear()
        self._told.setText(str(error))


_COLUMNS: tuple[tuple[str, str, "Callable[[CurveRow], str]"], ...] = (
    ("Pass", "What is spread", lambda row: row.operation),
    ("Zone", "Where", lambda row: row.zone),
    ("Rate,\nkg/ha", "With the budget", lambda row: _told(row.rate_kg_ha, 1)),
    ("Short,\nkg/ha", "Below what the need asks for", lambda row: _told(row.below_need_kg_ha, 1)),
    ("Margin\nper ha", "Crop less product, with the budget", lambda row: _told(row.margin_per_ha)),
    (
        "Best rate,\nkg/ha",
        "If money were no matter; * held to the highest rate",
        lambda row: _told(row.best_rate_kg_ha, 1) + "*" * row.best_rate_is_held,
    ),
    ("Its margin\nper ha", "Crop less product", lambda row: _told(row.best_margin_per_ha)),
)


def _results_table(parent: QWidget) -> QTableWidget:
    """The table of zones, without rows yet."""
    table = QTableWidget(parent)
    headings = [name for name, _, _ in _COLUMNS]
    prepare_table(table, "curveResults", "Rates and margins of each zone", headings)
    for column, (_, tip, _) in enumerate(_COLUMNS):
        table.horizontalHeaderItem(column).setToolTip(tip)
    return table


def _fill(table: QTableWidget, rows: "tuple[CurveRow, ...]") -> None:
    """Write the rows into the table."""
    table.setRowCount(len(rows))
    for line, row in enumerate(rows):
        texts = [told(row) for _, _, told in _COLUMNS]
        fill_row(table, line, texts, words=(0, 1))
        for column, text in enumerate(texts):
            table.item(line, column).setToolTip(text)


def _told(value: float, decimals: int = 0) -> str:
    return "–" if math.isnan(value) else f"{value:,.{decimals}f}"


def _start_money(season: Season) -> float:
    """The season's budget, else what all of it costs."""
    if season.budget is not None:
        return season.budget.money
    return float(math.ceil(whole_cost(season)))
