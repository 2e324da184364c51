"""The dialog of the limes at hand: what a tonne that works costs, and a value from a sieve."""

import math
from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QDialog,
    QDoubleSpinBox,
    QGridLayout,
    QLabel,
    QPushButton,
    QTableWidget,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.lime_quality import size_classes
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    close_button,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    heading,
    number_field,
)
from vrxapp.desktop.stages.shown_table import fill_row, prepare_table
from vrxapp.edits.prices import set_effective_nv
from vrxapp.errors import VrxError
from vrxapp.inputs.products import Material
from vrxapp.workflows.lime_products import (
    PRICE_CAUTION,
    LimePrice,
    SieveAnalysis,
    effective_nv_of,
    lime_prices,
)

_MESH, _SIZES = "mesh", "wa"
_ROWS = 4
_WIDTH_PX, _HEIGHT_PX = 620, 640
_HEADINGS = ("Lime", "Effective NV, %", "Price per t", "A tonne that works")


class LimesDialog(QDialog):
    """The limes by what works in them above, a sieve analysis below."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("limesDialog")
        self.setWindowTitle("Limes at hand")
        self._document = document
        self._table = QTableWidget(self)
        prepare_table(
            self._table, "limesTable", "Limes with their price for a tonne that works", _HEADINGS
        )
        self._lime = combo_field("sieveLimeCombo", self)
        limes = [p for p in document.farm.products if p.material is Material.LIMING_MATERIAL]
        fill_combo(self._lime, [(p.name, p.key) for p in limes], limes[0].key if limes else "")
        self._form = combo_field("sieveFormCombo", self)
        forms = [("Three sizes in mm", _SIZES), ("Four mesh classes", _MESH)]
        fill_combo(self._form, forms, _SIZES)
        self._names = [QLabel(self) for _ in range(_ROWS)]
        self._shares = [_percent(f"sieveShare{row}SpinBox", self) for row in range(1, _ROWS + 1)]
        self._values = [_percent(f"sieveValue{row}SpinBox", self) for row in range(1, _ROWS + 1)]
        self._moisture = _percent("sieveMoistureSpinBox", self)
        self._told = faint("", self, name="sieveToldLabel")
        self._use = QPushButton("&Use it for this lime", self)
        self._use.setObjectName("useSieveButton")
        self._use.setToolTip("Every rate of this lime follows; it can be undone")
        self._use.setAutoDefault(False)
        self._lay_out()
        self._connect()
        self._show_limes()
        self._show_form()
        self.resize(_WIDTH_PX, _HEIGHT_PX)

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Lime", self._lime, "The lime that was sieved")
        add_row(form, "&Form", self._form, "As the test report tells its sizes")
        grid = QGridLayout()
        for column, text in ((1, "Share by mass"), (2, "Neutralising value")):
            grid.addWidget(QLabel(text, self), 0, column)
        for row in range(_ROWS):
            grid.addWidget(self._names[row], row + 1, 0)
            grid.addWidget(self._shares[row], row + 1, 1)
            grid.addWidget(self._values[row], row + 1, 2)
        last = grown_form(None)
        add_row(last, "&Moisture", self._moisture, "Water by mass, as delivered")
        layout = QVBoxLayout(self)
        layout.addWidget(heading("What a tonne that works costs", self))
        layout.addWidget(self._table, 1)
        layout.addWidget(faint(f"{PRICE_CAUTION}.", self))
        layout.addWidget(heading("Effective neutralising value from a sieve", self))
        layout.addLayout(form)
        layout.addLayout(grid)
        layout.addLayout(last)
        layout.addWidget(self._told)
        layout.addWidget(self._use)
        layout.addWidget(close_button("limesButtons", self))

    def _connect(self) -> None:
        self._form.currentIndexChanged.connect(self._show_form)
        for number in (*self._shares, *self._values, self._moisture):
            number.valueChanged.connect(self._tell)
        self._use.clicked.connect(self._on_use_clicked)
        self._document.changed.connect(self._show_limes)

    @Slot()
    def _show_limes(self) -> None:
        """Write the limes into the table, the cheapest tonne that works first."""
        limes = lime_prices(self._document.farm.products)
        self._table.setRowCount(len(limes))
        for row, lime in enumerate(limes):
            fill_row(self._table, row, _cells(lime))

    @Slot()
    def _show_form(self) -> None:
        """Name the size classes of the form; the mesh form has one value for the whole."""
        is_mesh = self._form.currentData() == _MESH
        names = [row.size_class for row in size_classes(self._form.currentData())]
        for row in range(_ROWS):
            is_there = row < len(names)
            name = names[row] if is_there else ""
            self._names[row].setText(name)
            has_value = is_there and (row == 0 or not is_mesh)
            for field, is_shown, what in (
                (self._shares[row], is_there, "share by mass"),
                (self._values[row], has_value, "neutralising value"),
            ):
                field.setVisible(is_shown)
                whole = is_mesh and field is self._values[row]
                field.setAccessibleName(f"{what}, {'the whole lime' if whole else name}")
                field.setToolTip(f"{what.capitalize()}, {'the whole lime' if whole else name}")
        self._tell()

    @Slot()
    def _tell(self) -> None:
        """The value as the fields stand, or what is wrong."""
        try:
            value, is_whole = effective_nv_of(self._sieve()), True
            told = f"Effective: {value:.1f} % as delivered."
        except VrxError as error:
            told, is_whole = str(error), False
        self._told.setText(told)
        self._use.setEnabled(is_whole and self._lime.count() > 0)

    def _sieve(self) -> SieveAnalysis:
        """The sieve analysis as the fields stand."""
        is_mesh = self._form.currentData() == _MESH
        count = len(size_classes(self._form.currentData()))
        return SieveAnalysis(
            tuple(field.value() for field in self._shares[:count]),
            tuple(field.value() for field in self._values[: 1 if is_mesh else count]),
            is_mesh=is_mesh,
            moisture_percent=self._moisture.value(),
        )

    @Slot()
    def _on_use_clicked(self) -> None:
        value = effective_nv_of(self._sieve())
        change = partial(
            set_effective_nv, product_key=self._lime.currentData(), effective_nv_percent=value
        )
        text = f"Set the effective value of {self._lime.currentText()} to {value:.1f} %"
        self._document.edit_farm(text, change)


def _cells(lime: LimePrice) -> tuple[str, str, str, str]:
    """One lime in words."""
    product = lime.product
    prices = (product.price_per_tonne, lime.cost_per_pure_t)
    price, cost = ("–" if math.isnan(p) else f"{p:,.2f} {product.currency}" for p in prices)
    return product.name, f"{product.effective_nv_percent:.1f}", price, cost


def _percent(name: str, parent: QWidget) -> QDoubleSpinBox:
    return number_field(name, parent, unit="%", low=0.0, high=180.0)
