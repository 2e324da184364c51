"""A rule of the agronomist's own in place of the standard way: loaded from a file, and chosen."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QSettings, QSignalBlocker, Qt, Slot
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QToolButton, QWidget

from vrxapp.agronomy.own_rule_values import OwnRule
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, fill_combo, grown_form
from vrxapp.edits.need_plans import drop_own_rule, own_rule_plan_of, set_need_plan
from vrxapp.errors import VrxError
from vrxapp.farm import rule_called, with_own_rules
from vrxapp.need_plans import SYMBOLS, OwnRulePlan
from vrxapp.workflows.own_rules import open_own_rules

RULE_KINDS = "Rules (*.toml)"
_FOLDER, _NONE = "own_rules/folder", ""


class OwnRuleFields(QWidget):
    """Which rule of one's own works out the need of the operation on screen, if any."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ownRuleFields")
        self._document = document
        self._rule = combo_field("ownRuleCombo", self)
        self._load = QToolButton(self)
        self._load.setObjectName("loadOwnRulesButton")
        self._load.setText("Load…")
        self._load.setToolTip("Load rules of your own from a TOML file")
        self._load.setAccessibleName("Load rules of your own")
        self._load.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._words = faint("", self, name="ownRuleWords")
        holder = QWidget(self)
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._rule, 1)
        row.addWidget(self._load)
        form = grown_form(self)
        add_row(form, "My own rule", self._rule, "Goes before the standard way", holder=holder)
        form.addRow(self._words)
        self._rule.activated.connect(self._on_rule_chosen)
        self._load.clicked.connect(self._on_load_clicked)
        document.changed.connect(self.show_season)
        document.operation_chosen.connect(self.show_season)
        self.show_season()

    @Slot()
    def show_season(self) -> None:
        """Offer the rules for this need, and show the one that is chosen."""
        purpose = self._document.operation.purpose
        self.setVisible(purpose in SYMBOLS)
        chosen = own_rule_plan_of(self._document.season, purpose)
        blocker = QSignalBlocker(self._rule)
        entries = [("none", _NONE), *((rule.name, rule.name) for rule in self._offered())]
        fill_combo(self._rule, entries, chosen.rule.name if chosen else _NONE)
        self._rule.setEnabled(len(entries) > 1)
        self._words.setText(f"Source: {chosen.rule.source}" if chosen else "")
        self._words.setVisible(chosen is not None)
        del blocker

    def _offered(self) -> tuple[OwnRule, ...]:
        """The chosen rule as it stands in the season, and the farm's others for this need."""
        purpose = self._document.operation.purpose
        chosen = own_rule_plan_of(self._document.season, purpose)
        first = (chosen.rule,) if chosen else ()
        others = (
            rule
            for rule in self._document.farm.own_rules
            if OwnRulePlan(rule).purpose is purpose and rule.name not in {r.name for r in first}
        )
        return (*first, *others)

    @Slot(int)
    def _on_rule_chosen(self, index: int) -> None:
        name, purpose = self._rule.itemData(index), self._document.operation.purpose
        if name == _NONE:
            change = partial(drop_own_rule, purpose=purpose)
            self._document.edit(f"Plan {purpose} the standard way", change)
            return
        plan = OwnRulePlan(rule_called(self._offered(), name))
        self._document.edit(f"Plan {purpose} by {name}", partial(set_need_plan, plan=plan))

    @Slot()
    def _on_load_clicked(self) -> None:
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self, "Load rules of your own", start, RULE_KINDS)
        if not name:
            return
        QSettings().setValue(_FOLDER, str(Path(name).parent))
        try:
            rules = open_own_rules(Path(name))
        except VrxError as error:
            self._tell(str(error))
            return
        text = f"Load rules from {Path(name).name}"
        self._document.edit_farm(text, partial(with_own_rules, rules=rules))
        purpose = self._document.operation.purpose
        fitting = sum(OwnRulePlan(rule).purpose is purpose for rule in rules)
        self._tell(f"{Path(name).name}: {len(rules)} loaded, {fitting} of them for {purpose}.")

    def _tell(self, text: str) -> None:
        self._words.setText(text)
        self._words.setVisible(True)
