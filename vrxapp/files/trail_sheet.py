"""The companion sheet: every step behind every rate, one row a zone, as CSV."""

import csv
import io
import math

from vrxapp.agronomy.trail import told_for
from vrxapp.prescription.pipeline import Prescription


def trail_csv(plan: Prescription) -> str:
    """The trail of a plan as CSV text: columns with units, then the sentences.

    Parameters
    ----------
    plan : Prescription
        The plan.

    Returns
    -------
    str
        Header, a row of units, a row of sources, and one row a zone.
    """
    steps = plan.trail.steps
    buffer = io.StringIO()
    sheet = csv.writer(buffer, lineterminator="\r\n")
    sheet.writerow(["zone", "area", *(step.label for step in steps), "product", "why"])
    sheet.writerow(["unit", "ha", *(step.unit for step in steps), "kg", ""])
    sheet.writerow(["source", "", *(step.source for step in steps), "", ""])
    for row, zone in enumerate(plan.zone_names):
        reason = str(plan.reasons[row])
        told = f"No rate: {reason}." if reason else _told(plan, row)
        sheet.writerow(
            [
                zone,
                f"{plan.totals.zone_area_ha[row]:.4f}",
                *(_cell(step.values[row]) for step in steps),
                f"{plan.totals.zone_product_kg[row]:.1f}",
                told,
            ]
        )
    return buffer.getvalue()


def _told(plan: Prescription, row: int) -> str:
    return " ".join(
        f"{s.text} [{s.source}]" if s.source else s.text for s in told_for(plan.trail, row)
    )


def _cell(value: float | str) -> str:
    """A value as a spreadsheet takes it: empty where missing."""
    if isinstance(value, str):
        return str(value)
    return "" if math.isnan(value) else f"{value:.6g}"
