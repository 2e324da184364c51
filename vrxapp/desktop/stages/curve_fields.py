"""The fields of one response curve: its pass and zone, its kind, and its three numbers."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QDoubleSpinBox, QPushButton, QVBoxLayout, QWidget

from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    faint,
    fill_combo,
    grown_form,
)
from vrxapp.errors import VrxError
from vrxapp.need_plans import SYMBOLS, Purpose
from vrxapp.prescription.zone_curve import EVERY_ZONE, CurveKind, ZoneCurve, curve_form
from vrxapp.season import Season

_DECIMALS = 5
_MOST = 100_000.0


class CurveFields(QWidget):
    """Fields for a curve that is then added to the list."""

    given = Signal(object)  # the curve

    def __init__(self, season: Season, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("curveFields")
        self._season = season
        self._pass = combo_field("curvePassCombo", self)
        names = [(o.name, o.id) for o in season.operations]
        fill_combo(self._pass, names, names[0][1])
        self._zone = combo_field("curveZoneCombo", self)
        self._zone.addItem("every zone", EVERY_ZONE)
        for row, name in enumerate(season.zones.names):
            self._zone.addItem(name, row)
        self._kind = combo_field("curveKindCombo", self)
        kinds = [(str(kind).capitalize(), str(kind)) for kind in CurveKind]
        fill_combo(self._kind, kinds, kinds[0][1])
        self._numbers = [_number(f"curveNumber{place}SpinBox", self) for place in (1, 2, 3)]
        self._words = faint("", self, name="curveWordsLabel")
        self._add = QPushButton("&Add the curve", self)
        self._add.setObjectName("addCurveButton")
        self._add.setAutoDefault(False)  # Enter in a field adds no curve that is half made
        self._add.setToolTip("Put it into the list; a later one of the same place holds")
        self._lay_out()
        self._kind.currentIndexChanged.connect(self._show_kind)
        self._pass.currentIndexChanged.connect(self._show_kind)
        self._add.clicked.connect(self._on_add_clicked)
        self._show_kind()

    def _lay_out(self) -> None:
        self._form = grown_form(None)
        add_row(self._form, "&Pass", self._pass, "What is spread")
        add_row(self._form, "&Zone", self._zone, "A curve of one zone goes before that of all")
        add_row(self._form, "&Kind", self._kind, "The form of the curve, from your own trials")
        for field in self._numbers:
            add_row(self._form, "Number", field, "")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(self._form)
        layout.addWidget(self._words)
        layout.addWidget(self._add)

    @Slot()
    def _show_kind(self) -> None:
        """Name the three numbers of the kind, with their units for the pass."""
        form = curve_form(CurveKind(self._kind.currentData()))
        need = _need_unit(self._season, self._pass.currentData())
        for field, name, unit in zip(self._numbers, form.numbers, form.units, strict=True):
            told = name if len(name) == 1 else name.capitalize()
            self._form.labelForField(field).setText(told)
            field.setAccessibleName(told)
            field.setToolTip(form.mend)
            field.setSuffix(f" {unit.format(need=need)}")
            is_bend = name == "bend"
            field.setRange(-_MOST if is_bend else 0.0, 0.0 if is_bend else _MOST)
        self._words.setText(f"Yield {form.words}; x in {need}. {form.mend}.")

    @Slot()
    def _on_add_clicked(self) -> None:
        first, second, third = (field.value() for field in self._numbers)
        try:
            curve = ZoneCurve(
                self._pass.currentData(),
                self._zone.currentData(),
                CurveKind(self._kind.currentData()),
                (first, second, third),
            )
        except VrxError as error:
            self._words.setText(str(error))
            return
        self._show_kind()
        self.given.emit(curve)


def curve_text(curve: ZoneCurve, season: Season) -> str:
    """A curve in one line of the list."""
    operation = next(o for o in season.operations if o.id == curve.operation_id)
    zone = "every zone" if curve.zone_row == EVERY_ZONE else season.zones.names[curve.zone_row]
    names = curve_form(curve.kind).numbers
    told = ", ".join(f"{name} {value:g}" for name, value in zip(names, curve.numbers, strict=True))
    return f"{operation.name}, {zone}: {curve.kind}, {told}"


class _ShortNumber(QDoubleSpinBox):
    """A number of many decimals without the zeros behind it."""

    def textFromValue(self, value: float) -> str:
        """The number as it is shown."""
        text, point = super().textFromValue(value), self.locale().decimalPoint()
        return text.rstrip("0").rstrip(point) if point in text else text


def _number(name: str, parent: QWidget) -> QDoubleSpinBox:
    field = _ShortNumber(parent)
    field.setObjectName(name)
    field.setKeyboardTracking(False)
    field.setDecimals(_DECIMALS)
    field.setStepType(QDoubleSpinBox.StepType.AdaptiveDecimalStepType)
    return field


def _need_unit(season: Season, operation_id: str) -> str:
    """Unit in which a pass's need is told."""
    purpose = next(o.purpose for o in season.operations if o.id == operation_id)
    if purpose in (Purpose.LIME, Purpose.GYPSUM):
        return "t/ha"
    return f"kg {SYMBOLS[purpose]}/ha"
