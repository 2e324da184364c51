"""What earlier years left on the open paddock: told, kept, and a legume's nitrogen taken up."""

import math
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.paddock_history import CropBefore, PaddockHistory
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import add_row, close_button, combo_field, faint, grown_form
from vrxapp.edits.history import set_history, use_legume_nitrogen
from vrxapp.errors import MissingInputError, VrxError
from vrxapp.season import Season
from vrxapp.workflows.paddock_history import history_lines, lime_from_text, lime_text

_FIELDS = (
    ("year", "Season's &year", "Year of the planned season, such as 2026"),
    ("limes", "&Lime, t/ha", "2023=2.5@85: 2.5 t/ha in 2023 of effective NV 85 %; several with ;"),
    ("legume", "&Legume, t/ha", "Grain of the pulse, or dry shoots that the pasture left"),
    ("phosphorus", "&Phosphorus, kg P/ha", "Fertiliser of the year before"),
)


class HistoryDialog(QDialog):
    """Each button is one edit that can be undone; no rate follows from it unasked."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("historyDialog")
        self.setWindowTitle(f"Earlier years on {document.season.paddock.name}")
        self.resize(720, 560)
        self._document = document
        self._fields = {name: self._field(name) for name, *_ in _FIELDS}
        self._fields["limes"].setPlaceholderText("2023=2.5@85; 2019=2@top where never worked in")
        self._crop = combo_field("historyCrop", self)
        for crop in CropBefore:
            self._crop.addItem(str(crop), crop)
        self._said = QPlainTextEdit(self)
        self._said.setObjectName("historySaid")
        self._said.setAccessibleName("What it says to the needs")
        self._said.setReadOnly(True)
        self._lay_out()
        self._show_season()

    def _field(self, name: str) -> QLineEdit:
        field = QLineEdit(self)
        field.setObjectName(f"history_{name}")
        field.setPlaceholderText("not told")
        return field

    def _lay_out(self) -> None:
        """Fields, what they say, buttons."""
        form = grown_form(None)
        for name, text, tip in _FIELDS:
            add_row(form, text, self._fields[name], tip)
        add_row(form, "&Crop before", self._crop, "What grew the year before")
        buttons = close_button("historyButtons", self)
        for name, text, slot in (
            ("keepHistoryButton", "&Keep", self._keep),
            ("useLegumeButton", "&Use legume nitrogen", self._use_legume),
        ):
            button = buttons.addButton(text, QDialogButtonBox.ButtonRole.ActionRole)
            button.setObjectName(name)
            button.setAutoDefault(False)
            button.clicked.connect(slot)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(self._said, 1)
        layout.addWidget(
            faint("It is told beside the needs; nothing is taken off a rate unasked.", self)
        )
        layout.addWidget(buttons)

    def _show_season(self) -> None:
        """Write what is noted into the fields."""
        history = self._document.season.history
        if history is not None:
            self._fields["year"].setText(str(history.season_year))
            self._fields["limes"].setText("; ".join(map(lime_text, history.limes)))
            self._fields["legume"].setText(_printed(history.legume_t_ha))
            self._fields["phosphorus"].setText(_printed(history.phosphorus_before_kg_ha))
            self._crop.setCurrentIndex(self._crop.findData(history.crop_before))
        self._said.setPlainText("\n\n".join(history_lines(self._document.season)))

    @Slot()
    def _keep(self) -> None:
        """Note what the fields tell."""
        self._edit("Note earlier years", lambda season: set_history(season, self._told()))

    @Slot()
    def _use_legume(self) -> None:
        """Take the offered nitrogen up, as the fields stand."""
        self._edit(
            "Use legume nitrogen",
            lambda season: use_legume_nitrogen(set_history(season, self._told())),
        )

    def _edit(self, text: str, change: Callable[[Season], Season]) -> None:
        try:
            self._document.edit(text, change)
        except VrxError as error:
            self._said.setPlainText(str(error))
            return
        self._show_season()

    def _told(self) -> PaddockHistory:
        """The history as the fields tell it."""
        number = partial(_number, self._fields)
        year = number("year")
        if math.isnan(year):
            raise MissingInputError("the year of the season is not known", mend="Give it as 2026")
        limes = (part for part in self._fields["limes"].text().split(";") if part.strip())
        return PaddockHistory(
            int(year),
            tuple(map(lime_from_text, limes)),
            CropBefore(self._crop.currentData()),
            number("legume"),
            number("phosphorus"),
        )


def _number(fields: dict[str, QLineEdit], name: str) -> float:
    """A field as a number; NaN where it is empty."""
    text = fields[name].text().strip().replace(",", ".")
    try:
        return float(text) if text else math.nan
    except ValueError:
        raise MissingInputError(f"{fields[name].accessibleName()}: {text!r} is no number") from None


def _printed(value: float) -> str:
    """A number as a field shows it; nothing for one that is missing."""
    return "" if math.isnan(value) else f"{value:g}"
