"""Response curves against the handbook's check values (derived from equations M1 to M4)."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.response_curve import (
    linear_plateau,
    linear_plateau_optimum,
    margin_over_nutrient,
    mitscherlich,
    mitscherlich_optimum,
    quadratic,
    quadratic_optimum,
)
from vrxapp.errors import SoilInputError

PRICES = {"crop_price_t": 300.0, "nutrient_price_kg": 1.5}
CURVE = {"unfed_yield_t_ha": 3.0, "top_yield_t_ha": 5.0, "curvature_ha_kg": 0.02}
STRAIGHT = {"unfed_yield_t_ha": 2.0, "slope_t_kg": 0.03, "knot_kg_ha": 80.0}


@pytest.mark.parametrize(
    ("rate", "expected"),
    [pytest.param(50.0, 4.26424, id="RESP-01"), pytest.param(0.0, 3.0, id="RESP-09")],
)
def test_mitscherlich_gives_the_handbook_yield(rate, expected):
    assert mitscherlich(rate, **CURVE) == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("unfed", "extra", "expected"),
    [
        pytest.param(3.0, 0.0, 103.972, id="RESP-02"),
        pytest.param(3.0, 1.0, 69.3147, id="RESP-03"),
        pytest.param(4.9, 0.0, 0.0, id="RESP-08"),
    ],
)
def test_mitscherlich_has_the_handbook_optimum(unfed, extra, expected):
    curve = CURVE | {"unfed_yield_t_ha": unfed}
    found = mitscherlich_optimum(**curve, **PRICES, extra_return=extra)
    assert found == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(
    ("slope_kg_kg", "expected"),
    [pytest.param(20.0, 125.0, id="RESP-04"), pytest.param(4.0, 0.0, id="RESP-11")],
)
def test_the_quadratic_has_the_handbook_optimum(slope_kg_kg, expected):
    # 0.30 per kg of grain is 300 per t; 1 kg/kg is 0.001 t/kg
    found = quadratic_optimum(slope_t_kg=slope_kg_kg / 1000, bend_t_ha_kg2=-0.06 / 1000, **PRICES)
    assert found == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("rate", "expected"),
    [pytest.param(100.0, 4.4, id="RESP-05"), pytest.param(40.0, 3.2, id="RESP-10")],
)
def test_linear_plateau_gives_the_handbook_yield(rate, expected):
    assert linear_plateau(rate, **STRAIGHT) == pytest.approx(expected, abs=0.001)


def test_profit_is_flat_around_the_optimum():
    # the handbook's worked example: 20 kg either way of 104 kg/ha
    rates = np.array([84.0, 104.0, 124.0])
    margins = margin_over_nutrient(mitscherlich(rates, **CURVE), rates, **PRICES)
    lost = margins[1] - margins
    assert np.all(lost < 0.01 * margins[1])
    assert lost[0] > 0
    assert lost[2] > 0


def test_a_missing_curve_stays_missing():
    missing = CURVE | {"curvature_ha_kg": [0.02, math.nan]}
    assert np.isnan(mitscherlich(50.0, **missing)).tolist() == [False, True]
    assert np.isnan(mitscherlich_optimum(**missing, **PRICES)).tolist() == [False, True]
    straight = linear_plateau_optimum(slope_t_kg=[0.03, math.nan], knot_kg_ha=80.0, **PRICES)
    assert np.isnan(straight).tolist() == [False, True]
    bent = quadratic_optimum(slope_t_kg=0.02, bend_t_ha_kg2=[-6e-5, math.nan], **PRICES)
    assert np.isnan(bent).tolist() == [False, True]


def test_a_crop_that_cannot_gain_needs_nothing():
    assert mitscherlich_optimum(**CURVE | {"top_yield_t_ha": 2.0}, **PRICES) == 0


@pytest.mark.parametrize(
    "call",
    [
        lambda: mitscherlich(-1.0, **CURVE),
        lambda: mitscherlich(50.0, **CURVE | {"curvature_ha_kg": 0.0}),
        lambda: mitscherlich_optimum(**CURVE, crop_price_t=0.0, nutrient_price_kg=1.5),
        lambda: mitscherlich_optimum(**CURVE, **PRICES, extra_return=-0.5),
        lambda: quadratic(50.0, unfed_yield_t_ha=2.0, slope_t_kg=0.02, bend_t_ha_kg2=1e-5),
        lambda: quadratic_optimum(slope_t_kg=0.02, bend_t_ha_kg2=0.0, **PRICES),
        lambda: linear_plateau(50.0, **STRAIGHT | {"slope_t_kg": -0.01}),
        lambda: margin_over_nutrient(-1.0, 0.0, **PRICES),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(SoilInputError):
        call()


prices = st.floats(0.5, 5.0)
extras = st.floats(0.0, 2.0)


@given(st.floats(1, 5), st.floats(0, 4), st.floats(0.005, 0.1), prices, extras, st.floats(0, 400))
def test_no_rate_beats_the_mitscherlich_optimum(unfed, gain, curvature, price, extra, other):
    curve = {
        "unfed_yield_t_ha": unfed,
        "top_yield_t_ha": unfed + gain,
        "curvature_ha_kg": curvature,
    }
    best = mitscherlich_optimum(
        **curve, crop_price_t=300.0, nutrient_price_kg=price, extra_return=extra
    )
    rates = np.array([best, other])
    margins = 300 * mitscherlich(rates, **curve) - price * (1 + extra) * rates
    assert margins[0] >= margins[1] - 1e-6


@given(st.floats(0, 0.05), st.floats(-1e-3, -1e-5), prices, extras, st.floats(0, 400))
def test_no_rate_beats_the_quadratic_optimum(slope, bend, price, extra, other):
    best = quadratic_optimum(
        slope_t_kg=slope,
        bend_t_ha_kg2=bend,
        crop_price_t=300.0,
        nutrient_price_kg=price,
        extra_return=extra,
    )
    rates = np.array([best, other])
    yields = quadratic(rates, unfed_yield_t_ha=2.0, slope_t_kg=slope, bend_t_ha_kg2=bend)
    margins = 300 * yields - price * (1 + extra) * rates
    assert margins[0] >= margins[1] - 1e-6
    assert best <= -slope / (2 * bend)


@given(st.floats(0, 0.05), st.floats(0, 200), prices, st.floats(0, 400))
def test_no_rate_beats_the_knot_or_nothing(slope, knot, price, other):
    best = linear_plateau_optimum(
        slope_t_kg=slope, knot_kg_ha=knot, crop_price_t=300.0, nutrient_price_kg=price
    )
    rates = np.array([best, other])
    yields = linear_plateau(rates, unfed_yield_t_ha=2.0, slope_t_kg=slope, knot_kg_ha=knot)
    margins = 300 * yields - price * rates
    assert margins[0] >= margins[1] - 1e-6


@given(extras, extras)
def test_asking_more_of_the_money_never_lifts_the_rate(one, other):
    low, high = sorted([one, other])
    rates = mitscherlich_optimum(**CURVE, **PRICES, extra_return=[low, high])
    assert rates[0] >= rates[1]
