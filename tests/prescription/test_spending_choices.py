"""What money can be spent on."""

from dataclasses import replace

import numpy as np
import pytest
from known_curves import known_along

from vrxapp.errors import SoilInputError
from vrxapp.prescription.spending_choices import SpendingChoices


def straight(rates):
    return 2.0 + 0.01 * rates


RATES, YIELDS = known_along(straight, [[50.0], [100.0]], pieces=2)
GOOD = SpendingChoices(
    area_ha=np.array([10.0, 20.0]),
    need_kg_ha=np.array([[5.0], [6.0]]),
    rates_kg_ha=RATES,
    yields_t_ha=YIELDS,
    crop_price_t=300.0,
    nutrient_price_kg=np.array([1.5]),
    lowest_kg_ha=np.array([10.0]),
)


def test_a_curve_is_known_at_even_steps_up_to_the_highest_rate():
    assert RATES[:, 0, 0].tolist() == [0.0, 25.0, 50.0]
    assert YIELDS[:, 1, 0].tolist() == [2.0, 2.5, 3.0]


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"area_ha": np.array([10.0])}, "go together"),
        ({"nutrient_price_kg": np.array([1.5, 2.0])}, "go together"),
        ({"rates_kg_ha": RATES[:1], "yields_t_ha": YIELDS[:1]}, "go together"),
        ({"nutrient_price_kg": np.array([0.0])}, "prices"),
        ({"crop_price_t": float("nan")}, "prices"),
        ({"rates_kg_ha": RATES + 1.0}, "rise from zero"),
        ({"rates_kg_ha": RATES[[0, 2, 1]]}, "rise from zero"),
        ({"area_ha": np.array([-1.0, 20.0])}, "not be negative"),
        ({"lowest_kg_ha": np.array([60.0])}, "lowest rate"),
    ],
)
def test_what_does_not_go_together_is_refused(change, match):
    with pytest.raises(SoilInputError, match=match):
        replace(GOOD, **change)


def test_a_curve_that_bends_up_is_refused_with_its_place():
    yields = YIELDS.copy()
    yields[2, 1, 0] = 9.0
    with pytest.raises(SoilInputError, match="bend down") as refusal:
        replace(GOOD, yields_t_ha=yields)
    assert (refusal.value.note.row, refusal.value.note.column) == (2, "nutrient 1")
