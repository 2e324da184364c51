"""The shape that every rule hands back: no need wins, gaps are named, the trail ends in need."""

import numpy as np

from vrxapp.agronomy.rule_need import Findings, settled_need
from vrxapp.agronomy.trail import Trail, TrailStep, told_for


def settle(amount, **findings):
    step = TrailStep("dose", "dose", "kg/ha", np.array(1.5), "Dose {dose}.")
    return settled_need(
        np.asarray(amount, dtype=float), "kg X/ha", findings=Findings(**findings), steps=(step,)
    )


def test_no_need_wins_over_one_that_cannot_be_told():
    both = np.array([True, False])
    need = settle([5.0, 6.0], none=((both, "rich"),), untold=((both, "no test"),))
    assert need.amount.tolist() == [0.0, 6.0]
    assert need.reason.tolist() == ["rich", ""]


def test_an_amount_that_is_missing_is_never_without_a_reason():
    assert settle([np.nan]).reason.tolist() == ["an input is missing"]


def test_a_single_value_is_spread_over_all_places():
    need = settle([1.0, 2.0], doubts=((np.array(True), "weak"),))
    assert need.doubt.tolist() == ["weak", "weak"]
    assert [sentence.text for sentence in told_for(Trail(need.steps), 1)] == [
        "Dose 1.5.",
        "Need: 2 kg X/ha.",
    ]


def test_an_unknown_need_is_not_told_as_a_number():
    assert [s.text for s in told_for(Trail(settle([np.nan]).steps), 0)] == ["Dose 1.5."]
