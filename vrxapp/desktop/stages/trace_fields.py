"""How trace elements are judged: the class always, a rate only where somebody chose one."""

from PySide6.QtWidgets import QWidget

from vrxapp.agronomy.trace_elements import trace_tests
from vrxapp.agronomy.trace_rates import Placement, TraceElement, trace_rates
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.plan_fields import PlanFields, unset
from vrxapp.desktop.stages.sheet_parts import fill_combo
from vrxapp.need_plans import SYMBOLS, TRACES, NeedPlan, Purpose, TracePlan
from vrxapp.season import Season
from vrxapp.soil.analytes import analyte
from vrxapp.workflows.need_settings import TraceSettings, trace_plan_from

_NONE, _CLASS, _OWN = "", "class", "own"


class TraceFields(PlanFields):
    """Soil test and rate; one set of fields serves all trace elements."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(document, "traceFields", parent)
        self._test = self.combo("traceTestCombo", "Soil &test", "The test that has classes")
        self._rate = self.combo(
            "traceRateCombo", "&Rate", "For places that tested low; few rates have a source"
        )
        self._own = self.number(
            "traceOwnRateSpinBox", "My rate", "Of the element", unit="kg/ha", high=20.0
        )
        self._placement = self.combo("tracePlacementCombo", "Placed", "How it is placed")
        self._reason = self.text("traceReasonEdit", "Reason", "Where your rate comes from")
        fill_combo(self._placement, [(str(p), str(p)) for p in Placement], str(Placement.BROADCAST))
        self.finish()

    def purpose(self) -> Purpose:
        """The element that the operation on screen is for."""
        purpose = self._document.operation.purpose
        return purpose if purpose in TRACES else TRACES[0]

    def purposes(self) -> tuple[Purpose, ...]:
        """The trace elements."""
        return TRACES

    def made(self, season: Season) -> NeedPlan | None:
        """The plan as the fields stand."""
        del season  # the class asks nothing of the crop
        rate = self._rate.currentData()
        if rate == _NONE:
            return None
        settings = TraceSettings(
            self.purpose(),
            test=self._test.currentData(),
            rate_key="" if rate in (_CLASS, _OWN) else rate,
            own_rate_kg_ha=unset(self._own) if rate == _OWN else float("nan"),
            placement=Placement(self._placement.currentData()),
            reason=self._reason.text(),
        )
        return trace_plan_from(settings)

    def show_plan(self, plan: NeedPlan | None) -> None:
        """Write a plan into the fields, and offer the tests and rates of the element."""
        element = TraceElement(SYMBOLS[self.purpose()])
        known = plan if isinstance(plan, TracePlan) else None
        tests = [(analyte(key).name, key) for key in trace_tests(element)]
        fill_combo(self._test, tests, known.test if known else tests[0][1])
        entries = [("choose", _NONE), ("class alone, no rate", _CLASS)]
        entries += [
            (f"{r.rate_kg_ha:g} kg/ha, {r.placement} ({r.where})", r.key)
            for r in trace_rates(element)
        ]
        rate = known.rate if known else None
        chosen = _NONE if known is None else rate.key if rate is not None else _CLASS
        fill_combo(self._rate, [*entries, ("my own rate", _OWN)], chosen)
        if rate is not None and rate.key == _OWN:
            self._own.setValue(rate.rate_kg_ha)
            self._placement.setCurrentIndex(self._placement.findData(str(rate.placement)))
            self._reason.setText(rate.where)
        self.after_refusal()

    def after_refusal(self) -> None:
        """Show just the fields that the chosen rate asks for."""
        is_own = self._rate.currentData() == _OWN
        self.show_rows(dict.fromkeys((self._own, self._placement, self._reason), is_own))
