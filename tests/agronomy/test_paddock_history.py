"""What earlier years left: lime that still reacts, and the nitrogen of a legume."""

import math

import pytest

from vrxapp.agronomy.paddock_history import (
    CropBefore,
    LimeSpread,
    PaddockHistory,
    legume_offer,
    pure_lime_t_ha,
    reacting_limes,
)
from vrxapp.errors import MissingInputError


@pytest.mark.parametrize(("year", "reacts"), [(2026, True), (2022, True), (2021, False)])
def test_lime_may_react_for_four_years(year, reacts):
    # missouri-lime-2013: three to four years after application
    history = PaddockHistory(2026, (LimeSpread(year, 2.0),))
    assert bool(reacting_limes(history)) is reacts


@pytest.mark.parametrize(
    ("crop", "expected"),
    # peoples-2017: 18 ± 9 kg N per t of grain, 9 ± 5 per t of shoots left
    [(CropBefore.PULSE, (36.0, 18.0, 54.0)), (CropBefore.LEGUME_PASTURE, (18.0, 8.0, 28.0))],
)
def test_a_legume_offers_what_was_found_in_trials(crop, expected):
    offer = legume_offer(PaddockHistory(2026, crop_before=crop, legume_t_ha=2.0))
    assert (offer.n_kg_ha, offer.low_kg_ha, offer.high_kg_ha) == expected
    assert offer.by.source == "peoples-2017"


@pytest.mark.parametrize(
    "history",
    [
        PaddockHistory(2026, crop_before=CropBefore.NO_LEGUME, legume_t_ha=2.0),
        PaddockHistory(2026, crop_before=CropBefore.PULSE),
        PaddockHistory(2026, legume_t_ha=2.0),
    ],
)
def test_nothing_is_offered_without_a_legume_and_its_amount(history):
    assert legume_offer(history) is None


def test_lime_of_unknown_value_is_not_taken_for_pure():
    assert math.isnan(pure_lime_t_ha(LimeSpread(2023, 2.0)))
    assert pure_lime_t_ha(LimeSpread(2023, 2.0, 90.0)) == pytest.approx(1.8)


@pytest.mark.parametrize(
    "made",
    [
        lambda: LimeSpread(2023, 0.0),
        lambda: LimeSpread(2023, 80.0),
        lambda: LimeSpread(2023, 2.0, 250.0),
        lambda: PaddockHistory(26),
        lambda: PaddockHistory(2026, (LimeSpread(2027, 2.0),)),
        lambda: PaddockHistory(2026, legume_t_ha=-1.0),
        lambda: PaddockHistory(2026, phosphorus_before_kg_ha=900.0),
    ],
)
def test_what_cannot_be_is_refused(made):
    with pytest.raises(MissingInputError):
        made()
