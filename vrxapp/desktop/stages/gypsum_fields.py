"""How gypsum is worked out."""

from PySide6.QtWidgets import QWidget

from vrxapp.agronomy.gypsum_values import Dispersion, GypsumMethod, gypsum_methods
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.plan_fields import PlanFields, unset, zero
from vrxapp.desktop.stages.sheet_parts import fill_combo
from vrxapp.errors import MissingInputError
from vrxapp.need_plans import GypsumPlan, NeedPlan, Purpose
from vrxapp.season import Season
from vrxapp.workflows.need_settings import GypsumSettings, gypsum_plan_from

_NONE = ""


class GypsumFields(PlanFields):
    """Method, target and what the soil did in rainwater."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(document, "gypsumFields", parent)
        self._method = self.combo(
            "gypsumMethodCombo", "Gypsum &by", "The method; there is no default"
        )
        self._target = self.number(
            "targetEspSpinBox", "Target ESP", "To be reached; 3 to 6 is usual", unit="%", high=6.0
        )
        self._dispersion = self.combo(
            "dispersionCombo",
            "In rain&water",
            "What air-dry aggregates did; without it nothing can be told",
        )
        self._factor = self.number(
            "exchangeFactorSpinBox", "Factor", "1.1 to 1.3 for what is not exchanged", unit="",
            high=2.0,
        )  # fmt: skip
        self._density = self.number(
            "gypsumDensitySpinBox", "Bulk density", "Of the layer", unit="t/m³", high=2.0
        )
        self._years = self.number(
            "gypsumYearsSpinBox", "Staged over", "Not set: at once", unit="years", high=20.0
        )
        methods = [(row.name, str(row.key)) for row in gypsum_methods()]
        fill_combo(self._method, [("choose a method", _NONE), *methods], _NONE)
        seen = [("not tested", _NONE), *((str(d), str(d)) for d in Dispersion if d)]
        fill_combo(self._dispersion, seen, _NONE)
        self.finish()

    def purpose(self) -> Purpose:
        """Gypsum."""
        return Purpose.GYPSUM

    def made(self, season: Season) -> NeedPlan | None:
        """The plan as the fields stand."""
        del season  # gypsum asks nothing of the crop
        method = self._method.currentData()
        if method == _NONE:
            return None
        if not self._target.value():
            raise MissingInputError("the ESP to be reached is not set", mend="Set it; 3 to 6")
        settings = GypsumSettings(
            GypsumMethod(method),
            self._target.value(),
            Dispersion(self._dispersion.currentData()),
            exchange_factor=unset(self._factor),
            years=self._years.value() or 1.0,
            bulk_density_t_m3=unset(self._density),
        )
        return gypsum_plan_from(settings)

    def show_plan(self, plan: NeedPlan | None) -> None:
        """Write a plan into the fields."""
        if isinstance(plan, GypsumPlan):
            self._method.setCurrentIndex(self._method.findData(str(plan.method)))
            self._target.setValue(plan.choices.target_esp_percent)
            self._dispersion.setCurrentIndex(self._dispersion.findData(str(plan.dispersion)))
            self._factor.setValue(zero(plan.choices.exchange_factor))
            self._density.setValue(zero(plan.bulk_density_t_m3))
            self._years.setValue(plan.choices.years)
        else:
            self._method.setCurrentIndex(0)
        self.after_refusal()

    def after_refusal(self) -> None:
        """Show just the fields that the chosen method asks for."""
        method = self._method.currentData()
        others = (self._target, self._dispersion, self._years)
        self.show_rows(
            {
                **dict.fromkeys(others, method != _NONE),
                self._factor: method == GypsumMethod.OSTER,
                self._density: method in (GypsumMethod.EXCHANGE, GypsumMethod.OSTER),
            }
        )
