"""What is known of a humate as delivered, behind a fold: the water test and the analysis."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QDoubleSpinBox,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.stages.fold import fold_button
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
    tell_number,
    told_number,
    untold_field,
)
from vrxapp.errors import VrxError
from vrxapp.inputs.humate_acceptance import (
    WATER_TEST,
    HumateTest,
    HumicMethod,
    humate_acceptance,
)
from vrxapp.workflows.humate_metals import metals_from, metals_text

_SEEN = {"": None, "dissolved": True, "settled": False}


class HumateTestFields(QWidget):
    """A fold that opens on what a supplier should tell; closed until somebody asks."""

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("humateTestFields")
        self._fold = fold_button("humateTestFold", self)
        self._fold.setText("Tests of the humate")
        self._fold.setToolTip("What was seen and measured of it; nothing is credited without")
        self._body = QWidget(self)
        self._water = combo_field("humateWaterCombo", self._body)
        fill_combo(
            self._water,
            [("nobody looked", ""), ("it dissolved", "dissolved"), ("some settled", "settled")],
            "",
        )
        self._method = combo_field("humicMethodCombo", self._body)
        fill_combo(self._method, [(str(m), str(m)) for m in HumicMethod], HumicMethod.NOT_TOLD)
        self._acid = _share("humicAcidSpinBox", self._body)
        self._dry = QCheckBox("told by the dry matter", self._body)
        self._dry.setObjectName("humicAcidDryCheckBox")
        self._insoluble = _share("humateInsolubleSpinBox", self._body)
        self._moisture = _share("humateMoistureSpinBox", self._body)
        self._potassium = _share("humatePotassiumSpinBox", self._body)
        self._metals = QLineEdit(self._body)
        self._known_metals: tuple[tuple[str, float], ...] = ()
        self._metals.setObjectName("humateMetalsEdit")
        self._metals.setPlaceholderText("such as Cd 0.4, Pb 12 mg/kg")
        self._verdict = faint("", self._body, name="humateVerdict")
        self._lay_out()
        self._connect()
        self._on_folded()

    def _lay_out(self) -> None:
        form = grown_form(None)
        add_row(form, "&Water test", self._water, "What 10 g in a litre of your own water did")
        add_row(form, "Measured by", self._method, "How its humic acid was measured")
        add_row(form, "Humic acid", self._acid, "By weight, as the supplier tells it")
        form.addRow("", self._dry)
        add_row(form, "Insoluble", self._insoluble, "Of the product as delivered")
        add_row(form, "Moisture", self._moisture, "Of the product as delivered")
        add_row(form, "Potassium", self._potassium, "Elemental, of the product as delivered")
        add_row(form, "Metals", self._metals, "As measured, in mg/kg of the dry matter")
        inside = QVBoxLayout(self._body)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addWidget(faint(WATER_TEST, self._body))
        inside.addLayout(form)
        inside.addWidget(self._verdict)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._fold)
        layout.addWidget(self._body)

    def _connect(self) -> None:
        self._fold.toggled.connect(self._on_folded)
        for combo in (self._water, self._method):
            combo.activated.connect(self.edited)
        for number in (self._acid, self._insoluble, self._moisture, self._potassium):
            number.valueChanged.connect(self.edited)
        self._dry.clicked.connect(self.edited)
        self._metals.editingFinished.connect(self._on_metals_edited)

    @Slot()
    def _on_folded(self) -> None:
        is_open = self._fold.isChecked()
        self._fold.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        self._body.setVisible(is_open)

    @Slot()
    def _on_metals_edited(self) -> None:
        """Take the metals once they can be read."""
        try:
            metals_from(self._metals.text())
        except VrxError as error:
            self._verdict.setText(str(error))
            return
        self.edited.emit()

    def show_test(self, test: HumateTest) -> None:
        """Write what is known into the fields, and what that comes to."""
        fields = (
            self._water, self._method, self._acid, self._dry, self._insoluble, self._moisture,
            self._potassium,
        )  # fmt: skip
        blockers = [QSignalBlocker(field) for field in fields]
        seen = next(key for key, value in _SEEN.items() if value is test.dissolves_in_own_water)
        self._water.setCurrentIndex(self._water.findData(seen))
        self._method.setCurrentIndex(self._method.findData(str(test.method)))
        for field, value in (
            (self._acid, test.humic_acid_percent),
            (self._insoluble, test.insoluble_percent),
            (self._moisture, test.moisture_percent),
            (self._potassium, test.potassium_percent),
        ):
            tell_number(field, value)
        self._dry.setChecked(test.is_of_dry_matter)
        self._known_metals = test.metals
        self._metals.setText(metals_text(test.metals))
        found = humate_acceptance(test)
        accepted = (
            "Accepted as a soluble product; still no nutrient and no yield is credited."
            if found.is_accepted
            else f"Not accepted as soluble: {'; '.join(found.missing)}."
        )
        self._verdict.setText("\n".join((accepted, *found.doubts)))
        del blockers

    def test(self) -> HumateTest:
        """What is known, as the fields stand."""
        return HumateTest(
            dissolves_in_own_water=_SEEN[self._water.currentData()],
            method=HumicMethod(self._method.currentData()),
            humic_acid_percent=told_number(self._acid),
            is_of_dry_matter=self._dry.isChecked(),
            insoluble_percent=told_number(self._insoluble),
            moisture_percent=told_number(self._moisture),
            potassium_percent=told_number(self._potassium),
            metals=self._told_metals(),
        )

    def _told_metals(self) -> tuple[tuple[str, float], ...]:
        """The metals; those known before while they cannot be read, and the verdict says so."""
        try:
            return metals_from(self._metals.text())
        except VrxError:
            return self._known_metals


def _share(name: str, parent: QWidget) -> QDoubleSpinBox:
    return untold_field(name, parent, unit="%", high=100.0)
