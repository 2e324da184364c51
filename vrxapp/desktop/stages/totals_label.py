"""What the plan comes to, kept up to date below the settings."""

import math

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QLabel, QWidget

from vrxapp.desktop.document import FarmDocument
from vrxapp.errors import VrxError
from vrxapp.prescription.totals import Totals
from vrxapp.units import KILOGRAMS_PER_TONNE


class TotalsLabel(QLabel):
    """Tonnes, hectares and money of the operation; or what is still missing."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("totalsLabel")
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self._document = document
        document.changed.connect(self.show_totals)
        document.operation_chosen.connect(self.show_totals)
        self.show_totals()

    @Slot()
    def show_totals(self) -> None:
        """Write the totals of the plan."""
        try:
            plan = self._document.plan()
        except VrxError as error:
            self.setText(str(error))
            return
        without = [n for n, reason in zip(plan.zone_names, plan.reasons, strict=True) if reason]
        lines = _lines(plan.totals)
        if without:
            lines.append(f"No rate: {', '.join(without)}")
        self.setText("\n".join(lines))


def _lines(totals: Totals) -> list[str]:
    """Totals in the order in which they are asked for."""
    tonnes = totals.product_kg / KILOGRAMS_PER_TONNE
    cost = "no price" if math.isnan(totals.cost) else f"{totals.cost:,.0f} {totals.currency}"
    return [
        f"Total {tonnes:,.2f} t on {totals.spread_ha:,.2f} ha, {cost}",
        f"Nothing on {totals.strip_ha:,.2f} ha of check strips and "
        f"{totals.excluded_ha:,.2f} ha of exclusions",
    ]
