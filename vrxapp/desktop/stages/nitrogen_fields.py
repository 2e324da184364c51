"""How nitrogen is worked out."""

from PySide6.QtWidgets import QWidget

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.plan_fields import PlanFields, unset, zero
from vrxapp.desktop.stages.sheet_parts import fill_combo
from vrxapp.need_plans import NeedPlan, NitrogenPlan, Purpose
from vrxapp.season import Season
from vrxapp.workflows.need_settings import EFFICIENCIES, NitrogenSettings, nitrogen_plan_from

_NONE, _OWN = "", "own"


class NitrogenFields(PlanFields):
    """Efficiency, protein, soil and season."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(document, "nitrogenFields", parent)
        self._efficiency = self.combo(
            "nitrogenEfficiencyCombo",
            "&Efficiency",
            "Share of the nitrogen within reach that ends in the grain; there is no default",
        )
        self._own = self.number(
            "ownEfficiencySpinBox", "My share", "From 0 to 1", unit="", high=1.0
        )
        self._reason = self.text("nitrogenReasonEdit", "Reason", "Where your share comes from")
        self._protein = self.number(
            "proteinSpinBox", "&Protein", "Not set: an ordinary harvest", unit="%", high=40.0
        )
        self._density = self.number(
            "nitrogenDensitySpinBox", "Bulk density", "Of the sampled layers", unit="t/m³", high=2.0
        )
        self._rain = self.number(
            "seasonRainSpinBox",
            "Season's rain",
            "Rain while the crop grows; not set: mineralisation is left out",
            unit="mm",
            high=2000.0,
        )
        self._legume = self.number(
            "legumeNitrogenSpinBox",
            "From legume",
            "Only where no soil test was taken after it",
            unit="kg N/ha",
            high=400.0,
        )
        entries = [("choose a figure", _NONE)]
        for key in EFFICIENCIES:
            known = figure(FigureTable.NITROGEN, key)
            entries.append((f"{known.value:g}: {known.name}", key))
        fill_combo(self._efficiency, [*entries, ("my own share", _OWN)], _NONE)
        self.finish()

    def purpose(self) -> Purpose:
        """Nitrogen."""
        return Purpose.NITROGEN

    def made(self, season: Season) -> NeedPlan | None:
        """The plan as the fields stand."""
        key = self._efficiency.currentData()
        if key == _NONE:
            return None
        settings = NitrogenSettings(
            efficiency="" if key == _OWN else key,
            own_efficiency=unset(self._own) if key == _OWN else float("nan"),
            reason=self._reason.text(),
            protein_percent=unset(self._protein),
            bulk_density_t_m3=unset(self._density),
            growing_season_rain_mm=unset(self._rain),
            legume_n_kg_ha=self._legume.value(),
        )
        return nitrogen_plan_from(settings, season.tests)

    def show_plan(self, plan: NeedPlan | None) -> None:
        """Write a plan into the fields."""
        if isinstance(plan, NitrogenPlan):
            self._efficiency.setCurrentIndex(self._efficiency.findData(plan.efficiency.key))
            self._own.setValue(plan.efficiency.value if plan.efficiency.key == _OWN else 0.0)
            self._reason.setText(plan.efficiency.where if plan.efficiency.key == _OWN else "")
            self._protein.setValue(zero(plan.protein_percent))
            self._density.setValue(zero(plan.bulk_density_t_m3))
            self._rain.setValue(zero(plan.growing_season_rain_mm))
            self._legume.setValue(plan.legume_n_kg_ha)
        else:
            self._efficiency.setCurrentIndex(0)
        self.after_refusal()

    def after_refusal(self) -> None:
        """Show just the fields that the chosen way asks for."""
        key = self._efficiency.currentData()
        others = (self._protein, self._density, self._rain, self._legume)
        self.show_rows(
            {
                self._own: key == _OWN,
                self._reason: key == _OWN,
                **dict.fromkeys(others, key != _NONE),
            }
        )
