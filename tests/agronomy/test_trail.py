"""The trail: columns in, sentences out for the one place that is asked about."""

import numpy as np
import pytest

from vrxapp.agronomy.trail import Trail, TrailStep, printed_value, told_for
from vrxapp.sources import Grade


def trail_of_two_places():
    return Trail(
        (
            TrailStep("a", "first", "kg", np.array([1.5, 2.0]), ""),
            TrailStep("b", "second", "kg", np.array([3.0, np.nan]), ""),
            TrailStep(
                "c",
                "sum",
                "kg",
                np.array([4.5, np.nan]),
                "{a} + {b} = {c} kg",
                source="program-choice",
                grade=Grade.COMMON_PRACTICE,
                told=np.array([True, False]),
            ),
        )
    )


def test_a_sentence_holds_the_numbers_of_its_place():
    (sentence,) = told_for(trail_of_two_places(), 0)
    assert sentence.text == "1.5 + 3 = 4.5 kg"
    assert sentence.source == "program-choice"


def test_a_step_is_told_only_where_it_applies():
    assert told_for(trail_of_two_places(), 1) == ()


@pytest.mark.parametrize(
    ("value", "printed"),
    [(12.0, "12"), (12.345, "12.35"), (0.1, "0.1"), (float("nan"), "unknown"), ("below", "below")],
)
def test_a_value_prints_the_same_everywhere(value, printed):
    assert printed_value(value) == printed


def test_a_longer_trail_leaves_the_shorter_one_alone():
    trail = trail_of_two_places()
    longer = trail.then(TrailStep("d", "fourth", "", np.array([0.0, 0.0]), ""))
    assert len(trail.steps) == 3
    assert [step.name for step in longer.steps] == ["a", "b", "c", "d"]


def test_braces_that_people_typed_stay_as_they_are():
    told = told_for(
        Trail(
            (TrailStep("need", "need", "kg/ha", np.array([3.0]), "Mine {x} {2}: {need} {{y}}."),)
        ),
        0,
    )
    assert told[0].text == "Mine {x} {2}: 3 {y}."
