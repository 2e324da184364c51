"""What is claimed for humates: every claim with its grade, its size and its source."""

from html import escape

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from vrxapp.agronomy.humate_claims import HumateClaim, HumicMaterial, claims_for, told_size
from vrxapp.agronomy.humate_credits import HumateCredit, humate_credits
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, fill_combo, grown_form
from vrxapp.errors import VrxError
from vrxapp.inputs.humate_acceptance import humate_acceptance
from vrxapp.prescription.humate_notes import policy_told
from vrxapp.season import Operation
from vrxapp.sources import bibliography

INTRODUCTION = (
    "Best proven first. No rate takes a nutrient or a yield credit from any of these: lay a check "
    "strip and let it tell."
)
_WIDTH_PX, _HEIGHT_PX = 620, 560


class ClaimsDialog(QDialog):
    """A list to read, nothing to set; what goes with the pass's own choice comes first."""

    def __init__(self, operation: Operation, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._told = _told_html(operation)
        self._is_accepted = (
            operation.humate is not None and humate_acceptance(operation.humate.test).is_accepted
        )
        self.setObjectName("claimsDialog")
        self.setWindowTitle("What is claimed")
        self._material = combo_field("claimsMaterialCombo", self)
        fill_combo(
            self._material,
            [(str(m).capitalize(), str(m)) for m in HumicMaterial],
            str(HumicMaterial.SOLUBLE_HUMATE),
        )
        self._text = QTextBrowser(self)
        self._text.setObjectName("claimsText")
        self._text.setAccessibleName("Claims with their grade, effect and source")
        self._text.setOpenLinks(False)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.setObjectName("claimsButtons")
        buttons.rejected.connect(self.reject)
        form = grown_form(None)
        add_row(form, "&Material", self._material, "What the claims are made for")
        layout = QVBoxLayout(self)
        layout.addWidget(faint(INTRODUCTION, self))
        layout.addLayout(form)
        layout.addWidget(self._text, 1)
        layout.addWidget(buttons)
        self._material.currentIndexChanged.connect(self.show_claims)
        self.resize(_WIDTH_PX, _HEIGHT_PX)
        self.show_claims()

    @Slot()
    def show_claims(self) -> None:
        """Write the claims for the material."""
        material = HumicMaterial(self._material.currentData())
        claims = claims_for(material)
        # what this pass's own test shows holds for a soluble humate alone
        is_accepted = self._is_accepted and material is HumicMaterial.SOLUBLE_HUMATE
        standing = humate_credits(material, is_accepted=is_accepted)
        used = {row.source for row in (*claims, *standing)}
        sources = "".join(
            f"<p><b>{escape(entry.key)}</b>: {escape(entry.citation)} "
            f"<i>{escape(entry.grade)}; seen: {escape(entry.seen)}</i></p>"
            for entry in bibliography()
            if entry.key in used
        )
        told = "".join(map(_html, claims))
        credited = f"<h4>What may be credited</h4>{''.join(map(_credit_html, standing))}"
        self._text.setHtml(f"{self._told}{told}{credited}<h4>Sources</h4>{sources}")


def _told_html(operation: Operation) -> str:
    """What is told with the policy and the product of this pass."""
    try:
        notes = policy_told(operation)
    except VrxError as error:
        notes = (error.note,)
    items = "".join(f"<li>{escape(str(note))}</li>" for note in notes)
    return f"<h4>With this pass</h4><ul>{items}</ul><h4>Claims</h4>" if items else ""


def _credit_html(row: HumateCredit) -> str:
    """How one effect stands: none lowers a rate."""
    return (
        f"<p><b>{escape(str(row.effect).capitalize())}</b>: {escape(str(row.standing))}; "
        f"{escape(row.reason)}. <i>{escape(row.source)}, {escape(row.where)}; "
        f"{escape(str(row.grade))}</i></p>"
    )


def _html(claim: HumateClaim) -> str:
    """One claim: what is said, how far it is proven, its size, what to make of it, the source."""
    effect = told_size(claim) or "no size was read"
    return (
        f"<p style='margin-bottom:10px'><b>{escape(claim.claim)}</b><br>"
        f"{escape(str(claim.evidence).capitalize())}. Effect: {escape(effect)}.<br>"
        f"{escape(claim.reading)}<br>"
        f"<i>{escape(claim.source)}, {escape(claim.where)}; {escape(str(claim.grade))}</i></p>"
    )
