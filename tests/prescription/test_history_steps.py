"""The history of a paddock beside its needs: told with its source, and never in a rate."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.paddock_history import CropBefore, LimeSpread, PaddockHistory
from vrxapp.edits.history import set_history, use_legume_nitrogen
from vrxapp.errors import MissingInputError
from vrxapp.need_plans import NitrogenPlan, Purpose
from vrxapp.prescription.history_steps import history_steps
from vrxapp.prescription.pipeline import prescription, why

PULSE = PaddockHistory(2026, crop_before=CropBefore.PULSE, legume_t_ha=2.0)
NITROGEN = NitrogenPlan(figure(FigureTable.NITROGEN, "efficiency_rule"))


def sources(season, purpose):
    return [step.source for step in history_steps(season, purpose)]


def test_late_lime_is_a_doubt_on_lime_alone(season):
    limes = (LimeSpread(2024, 2.0, 85.0), LimeSpread(2010, 2.0))
    limed = set_history(season, PaddockHistory(2026, limes))
    (step,) = history_steps(limed, Purpose.LIME)
    assert step.source == "missouri-lime-2013"
    assert "as much as 1.7 t/ha of pure lime" in step.sentence
    assert sources(limed, Purpose.PHOSPHORUS) == []


def test_old_lime_on_top_is_told_however_old(season):
    on_top = LimeSpread(2010, 2.0, lies_on_top=True)
    limed = set_history(season, PaddockHistory(2026, (on_top,)))
    assert sources(limed, Purpose.LIME) == ["azam-gazey-2021"]


def test_phosphorus_of_the_year_before_is_told_and_changes_no_rate(season):
    after = set_history(season, PaddockHistory(2026, phosphorus_before_kg_ha=12.0))
    plain, plan = (prescription(s, s.operations[0]) for s in (season, after))
    assert np.array_equal(plan.rates_kg_ha, plain.rates_kg_ha, equal_nan=True)
    assert any(s.source == "lewis-1997" and "12 kg P/ha" in s.text for s in why(plan, "West"))
    assert any("12 kg P/ha" in str(note) for note in plan.notes)


def test_legume_nitrogen_is_offered_until_it_is_taken_up(season):
    offered = set_history(replace(season, nitrogen=NITROGEN), PULSE)
    (step,) = history_steps(offered, Purpose.NITROGEN)
    assert "36 kg N/ha (18 to 54)" in step.sentence
    assert offered.nitrogen.legume_n_kg_ha == 0.0
    taken = use_legume_nitrogen(offered)
    assert taken.nitrogen.legume_n_kg_ha == 36.0
    assert history_steps(taken, Purpose.NITROGEN) == ()
    assert use_legume_nitrogen(taken) is taken


def test_nothing_is_taken_up_without_an_offer_or_a_plan(season):
    with pytest.raises(MissingInputError, match="no legume nitrogen is offered"):
        use_legume_nitrogen(replace(season, nitrogen=NITROGEN))
    with pytest.raises(MissingInputError, match="how nitrogen is worked out"):
        use_legume_nitrogen(set_history(season, PULSE))


def test_the_same_history_changes_nothing(season):
    noted = set_history(season, PULSE)
    assert set_history(noted, replace(PULSE)) is noted
    assert set_history(noted, None).history is None
