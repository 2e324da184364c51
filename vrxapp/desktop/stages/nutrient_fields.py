"""How potassium, sulfur, magnesium and calcium are worked out."""

import math

from PySide6.QtWidgets import QWidget

from vrxapp.agronomy.cation_balance import EVIDENCE_NOTE, FreeSalt, cation_targets
from vrxapp.agronomy.critical_ranges import CriticalRange, critical_ranges
from vrxapp.agronomy.sufficiency_values import NeedChoices, NeedPolicy
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.plan_fields import PlanFields, unset, zero
from vrxapp.desktop.stages.sheet_parts import fill_combo
from vrxapp.need_plans import NUTRIENTS, SYMBOLS, NeedPlan, NutrientPlan, Purpose
from vrxapp.season import Season
from vrxapp.soil.analytes import analyte, analytes
from vrxapp.sources import Grade
from vrxapp.workflows.need_settings import NutrientSettings, nutrient_plan_from

_NONE, _DEFAULT, _OWN = "", "default", "own"
_POLICIES = {
    NeedPolicy.SUFFICIENCY: "lift poor soil, replace the harvest",
    NeedPolicy.REPLACEMENT: "replace the harvest, whatever the test",
    NeedPolicy.CATION_BALANCE: "shares of the exchange (no yield shown)",
}


class NutrientFields(PlanFields):
    """Policy, range, soil; one set of fields serves the four elements."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(document, "nutrientFields", parent)
        self._policy = self.combo("nutrientPolicyCombo", "&Work out by", "What the need is for")
        self._range = self.combo(
            "nutrientRangeCombo", "Critical &range", "What the soil test is read against"
        )
        self._test = self.combo("nutrientTestCombo", "Soil test", "Test of a range of your own")
        self._low = self.number(
            "nutrientLowSpinBox", "From", "Low end of your own range", unit="", high=5000.0
        )
        self._high = self.number(
            "nutrientHighSpinBox", "To", "High end; not set: the same", unit="", high=5000.0
        )
        self._reason = self.text("nutrientReasonEdit", "Reason", "Where your range comes from")
        self._density = self.number(
            "nutrientDensitySpinBox", "Bulk density", "Of the layer", unit="t/m³", high=2.0
        )
        self._scheme = self.combo("nutrientSchemeCombo", "Shares of", "Whose shares to aim at")
        self._salt = self.combo("nutrientSaltCombo", "Free salt", "Lime, gypsum or salt in samples")
        entries = [("choose a way", _NONE), *((text, str(p)) for p, text in _POLICIES.items())]
        fill_combo(self._policy, entries, _NONE)
        self._policy.setToolTip(f"What the need is for. {EVIDENCE_NOTE}")
        salts = [("not told", str(FreeSalt.NOT_TOLD))]
        salts += [(str(salt), str(salt)) for salt in FreeSalt if salt]
        fill_combo(self._salt, salts, str(FreeSalt.NOT_TOLD))
        self.finish()

    def purpose(self) -> Purpose:
        """The element that the operation on screen is for."""
        purpose = self._document.operation.purpose
        return purpose if purpose in NUTRIENTS else NUTRIENTS[0]

    def purposes(self) -> tuple[Purpose, ...]:
        """The four elements."""
        return NUTRIENTS

    def made(self, season: Season) -> NeedPlan | None:
        """The plan as the fields stand."""
        policy, chosen = self._policy.currentData(), self._range.currentData()
        if policy == _NONE:
            return None
        is_own = chosen == _OWN
        settings = NutrientSettings(
            self.purpose(),
            range_key="" if chosen in (_DEFAULT, _OWN) else chosen or "",
            test=self._test.currentData() or "",
            own_low=unset(self._low) if is_own else math.nan,
            own_high=unset(self._high) if is_own else math.nan,
            reason=self._reason.text(),
            choices=NeedChoices(NeedPolicy(policy)),
            bulk_density_t_m3=unset(self._density),
            scheme=self._scheme.currentData() or "",
            free_salt=FreeSalt(self._salt.currentData()),
        )
        return nutrient_plan_from(settings, season.crop.crop, season.tests)

    def show_plan(self, plan: NeedPlan | None) -> None:
        """Write a plan into the fields, and offer what there is for crop and element."""
        season, symbol = self._document.season, SYMBOLS[self.purpose()]
        ranges = critical_ranges(symbol, crop=season.crop.crop)
        known = plan if isinstance(plan, NutrientPlan) else None
        entries = [("published, for the tests at hand", _DEFAULT)]
        entries += [(_marked(row), row.key) for row in ranges]
        chosen = known.critical.key if known and known.critical else _DEFAULT
        fill_combo(self._range, [*entries, ("my own range", _OWN)], chosen)
        tests = [(a.name, a.key) for a in analytes() if a.ion == symbol or a.key in _tests(ranges)]
        tests += [(analyte(key).name, key) for key in _OTHER_TESTS.get(symbol, ())]
        own = known.critical if known and known.critical and chosen == _OWN else None
        fill_combo(self._test, list(dict.fromkeys(tests)), own.analyte if own else tests[0][1])
        schemes = {t.scheme: t.name for t in cation_targets() if t.cation == symbol}
        shares = [("nobody yet", _NONE), *((name, key) for key, name in schemes.items())]
        fill_combo(self._scheme, shares, known.scheme if known else _NONE)
        policy = str(known.choices.policy) if known else _NONE
        self._policy.setCurrentIndex(self._policy.findData(policy))
        if known is not None:
            self._density.setValue(zero(known.bulk_density_t_m3))
            self._salt.setCurrentIndex(self._salt.findData(str(known.free_salt)))
        if own is not None:
            self._low.setValue(own.low)
            self._high.setValue(own.high)
            self._reason.setText(own.where)
        self.after_refusal()

    def after_refusal(self) -> None:
        """Show just the fields that the chosen way asks for."""
        policy, is_own = self._policy.currentData(), self._range.currentData() == _OWN
        balances, reads = policy == NeedPolicy.CATION_BALANCE, policy == NeedPolicy.SUFFICIENCY
        self.show_rows(
            {
                self._range: reads,
                **dict.fromkeys(
                    (self._test, self._low, self._high, self._reason), reads and is_own
                ),
                self._density: reads or balances,
                self._scheme: balances,
                self._salt: balances,
            }
        )


_OTHER_TESTS = {"S": ("sulfur_kcl40", "mcp_s")}


def _tests(ranges: tuple[CriticalRange, ...]) -> set[str]:
    """Soil tests that published ranges are for."""
    return {row.analyte for row in ranges}


def _marked(row: CriticalRange) -> str:
    """A range's name with its layer, marked where nobody could check it."""
    text = f"{row.name}, {row.depth_cm} cm"
    return text if row.grade is Grade.PUBLISHED else f"{text} !"
