"""The window that maps a soil result: test and layer, the ways compared, and what to show."""

import math

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.lab.expert_map_fields import ExpertMapFields
from vrxapp.desktop.lab.variogram_plot import VariogramPlot
from vrxapp.desktop.lab.ways_table import WaysTable
from vrxapp.desktop.message_bar import MessageBar
from vrxapp.desktop.stages.fold import FieldFold
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.desktop.theme import scheme_of
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.season import Season
from vrxapp.workflows.interpolate import MapGrain
from vrxapp.workflows.interpolation_files import MapPart
from vrxapp.workflows.interpolation_study import MapRequest, MapStudy
from vrxapp.workflows.interpolation_words import (
    advice_in_words,
    claim_in_words,
    variogram_in_words,
)
from vrxapp.workflows.placed_samples import Mappable, mappable_tests
from vrxapp.workflows.planned_critical import planned_critical

_BUTTONS = (
    (MapPart.MEAN, "Show &mean", "Lay the expected result under the zones"),
    (MapPart.ERROR, "Show standard &error", "Lay under the zones how far the mean may be off"),
    (
        MapPart.CHANCE,
        "Show c&hance below",
        "Lay the chance of being below the critical value under the zones",
    ),
)


class MapResultDialog(QDialog):
    """Stays open beside the map; every choice compares the ways anew."""

    study_wanted = Signal(object)  # MapRequest
    map_wanted = Signal(object)  # MapPart
    cancel_wanted = Signal()

    def __init__(self, season: Season, *, is_dark: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("mapResultDialog")
        self.resize(820, 640)
        self._season = season
        self._tests: tuple[Mappable, ...] = ()
        self._critical_of = ("", "")  # test and layer that the critical value is for
        self.study: MapStudy | None = None
        self._message = MessageBar(self)
        self._message.set_scheme(scheme_of(is_dark=is_dark))
        self._test = combo_field("mapTestCombo", self)
        self._layer = combo_field("mapLayerCombo", self)
        self._critical = number_field(
            "mapCriticalBox", self, unit="", low=0.0, high=100_000.0, decimals=2
        )
        self._critical.setSpecialValueText("none")
        self._ways = WaysTable(self)
        self._advice = QLabel(self)
        self._advice.setObjectName("mapAdvice")
        self._advice.setWordWrap(True)
        self._advice.setProperty("role", "heading")
        self._plot = VariogramPlot(self)
        self._said = QPlainTextEdit(self)
        self._said.setObjectName("mapSaid")
        self._said.setAccessibleName("What is to be known of it")
        self._said.setReadOnly(True)
        self._said.setTabChangesFocus(True)
        self._expert = ExpertMapFields(self)
        self._fold = FieldFold("mapExpert", "E&xpert settings", self._expert, self)
        self._buttons = {shown: self._button(shown, text, tip) for shown, text, tip in _BUTTONS}
        self._bar = QProgressBar(self)
        self._bar.setObjectName("mapProgress")
        self._bar.setAccessibleName("Progress")
        self._bar.setFixedWidth(230)
        self._cancel = QPushButton("Cancel", self)
        self._cancel.setObjectName("mapCancelButton")
        self._cancel.setAutoDefault(False)
        self._cancel.setToolTip("Stop the running work; nothing is changed")
        self._lay_out()
        self._connect()
        self.show_idle()
        self.show_season(season)

    def _button(self, shown: MapPart, text: str, tip: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(f"map{shown.name.capitalize()}Button")
        button.setToolTip(tip)
        button.setAutoDefault(False)
        button.clicked.connect(lambda: self.map_wanted.emit(shown))
        return button

    def _lay_out(self) -> None:
        """Choices, comparison, variogram beside its words, settings, what to show."""
        layout = QVBoxLayout(self)
        layout.addWidget(self._message)
        layout.addLayout(self._choices())
        layout.addWidget(self._ways)
        layout.addWidget(self._advice)
        middle = QHBoxLayout()
        middle.addWidget(self._plot, 1)
        middle.addWidget(self._said, 1)
        layout.addLayout(middle, 1)
        layout.addWidget(self._fold)
        bottom = QHBoxLayout()
        for button in self._buttons.values():
            bottom.addWidget(button)
        bottom.addStretch(1)
        bottom.addWidget(self._bar)
        bottom.addWidget(self._cancel)
        layout.addLayout(bottom)

    def _choices(self) -> QHBoxLayout:
        left, right = grown_form(None), grown_form(None)
        add_row(
            left, "&Test", self._test, "Which result is mapped; those with positions are listed"
        )
        add_row(left, "&Layer", self._layer, "Which layer, and how many samples it has")
        add_row(
            right,
            "Critical &value",
            self._critical,
            "Below it the ground is short; it starts as the plan has it for this test and layer",
        )
        row = QHBoxLayout()
        row.setSpacing(18)
        row.addLayout(left, 1)
        row.addLayout(right, 1)
        return row

    def _connect(self) -> None:
        self._test.activated.connect(self._on_test)
        self._layer.activated.connect(self._on_layer)
        self._critical.valueChanged.connect(self._show_buttons)
        self._expert.choices_changed.connect(self.ask_for_study)
        self._cancel.clicked.connect(self.cancel_wanted)

    def show_season(self, season: Season) -> None:
        """List the tests that can be mapped and ask for the study of one; keep the chosen one."""
        self._season, self._tests = season, mappable_tests(season.tests)
        self.setWindowTitle(f"Map a result of {season.paddock.name}")
        entries = list(dict.fromkeys((one.analyte.name, one.analyte.key) for one in self._tests))
        most = max(self._tests, key=lambda one: one.samples)
        kept = self._test.currentData()
        known = {key for _, key in entries}
        fill_combo(self._test, entries, kept if kept in known else most.analyte.key)
        self._on_test()

    @Slot()
    def _on_test(self) -> None:
        """List the layers of the chosen test, the one of most samples first."""
        entries = [(_layer_text(one), one.depth_cm) for one in self._of_test()]
        fill_combo(self._layer, entries, entries[0][1])
        self._on_layer()

    @Slot()
    def _on_layer(self) -> None:
        """Take the critical value that is planned for the test in the layer, and study it."""
        measured, layer = self._of_test()[0].analyte, self._layer.currentData()
        if (measured.key, layer) != self._critical_of:
            self._critical_of = (measured.key, layer)
            planned = planned_critical(self._season, measured.key, layer)
            self._critical.setSuffix(f" {measured.unit}".rstrip())
            self._critical.setValue(0.0 if math.isnan(planned) else planned)
        self.ask_for_study()

    def _of_test(self) -> list[Mappable]:
        key = self._test.currentData()
        return [one for one in self._tests if one.analyte.key == key]

    # asked from outside ------------------------------------------------------------------

    def request(self) -> MapRequest:
        """What is chosen."""
        return MapRequest(
            self._test.currentData(), self._layer.currentData(), self._expert.choices()
        )

    def grain(self) -> MapGrain:
        """Cells and critical value as they are set."""
        critical = self._critical.value()
        return MapGrain(self._expert.cell_m(), critical if critical > 0.0 else math.nan)

    @Slot()
    def ask_for_study(self) -> None:
        """Ask for the comparison of what is chosen; nothing can be shown until it is here."""
        self._message.hide()
        self.show_study(None)
        self.study_wanted.emit(self.request())

    def show_study(self, study: MapStudy | None) -> None:
        """Write a comparison, or empty the window for one that is still being made."""
        self.study = study
        self._ways.show_study(study)
        self._plot.show_study(study)
        self._advice.setText(_advice(study) if study is not None else "")
        self._said.setPlainText("\n\n".join(_said(study)) if study is not None else "")
        self._show_buttons()

    def show_map(self, words: list[str], of_zones: list[str]) -> None:
        """Say what a map shows that has been made, and what it says of each zone."""
        self._message.tell("\n".join(map(_sentence, words)))
        if of_zones:
            told = "\n".join(map(_sentence, of_zones))
            self._said.setPlainText("\n\n".join((told, *_said(self.study))))

    def tell_error(self, error: BaseException) -> None:
        """Say what is in the way."""
        self._message.tell_error(error)

    @Slot(str)
    def show_start(self, text: str) -> None:
        """Show that work has begun."""
        self.show_work(0, 0, text)

    @Slot(int, int, str)
    def show_work(self, done: int, total: int, stage: str) -> None:
        """Show how far the work is, and the way to stop it."""
        self._bar.setRange(0, total)
        self._bar.setValue(done)
        self._bar.setFormat(f"{stage}: %p %")
        self._bar.setToolTip(stage)
        self._bar.show()
        self._cancel.show()

    @Slot()
    def show_idle(self) -> None:
        """Show that nothing is being worked out."""
        self._bar.hide()
        self._cancel.hide()

    @Slot()
    def _show_buttons(self) -> None:
        """Offer what the way and the choices bear, and say why not the rest."""
        study = self.study
        has_error = study is not None and study.way is not Interpolation.INVERSE_DISTANCE
        has_critical = not math.isnan(self.grain().critical)
        offered = {
            MapPart.MEAN: study is not None,
            MapPart.ERROR: has_error,
            MapPart.CHANCE: has_error and has_critical,
        }
        for (shown, _, tip), button in zip(_BUTTONS, self._buttons.values(), strict=True):
            button.setEnabled(offered[shown])
            lacks_error = study is not None and not has_error and shown is not MapPart.MEAN
            reason = "Inverse distance knows no error of its own" if lacks_error else ""
            if shown is MapPart.CHANCE and has_error and not has_critical:
                reason = "Set a critical value first"
            button.setToolTip(reason or tip)


def _layer_text(one: Mappable) -> str:
    layer = f"{one.depth_cm} cm" if one.depth_cm else "not told"
    return f"{layer} ({one.samples} sample{'s' * (one.samples != 1)})"


def _advice(study: MapStudy) -> str:
    """The advice, and the way that is taken where it is another."""
    advice = advice_in_words(study)
    if study.way is study.choice.advised:
        return advice
    return f"{advice} Taken instead: {study.way}."


def _said(study: MapStudy) -> list[str]:
    """Variogram, claim and notes as paragraphs."""
    words = (variogram_in_words(study), claim_in_words(study), *map(str, study.notes))
    return [_sentence(text) for text in words if text]


def _sentence(text: str) -> str:
    """A sentence with a capital, whose percent signs stay with their numbers."""
    return f"{text[0].upper()}{text[1:]}".replace(" %", "\N{NO-BREAK SPACE}%")
