"""Ammonia lost from urea: figures to warn with, against the handbook's check values."""

import numpy as np
import pytest

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.volatilisation import nitrogen_volatilised, volatilisation_losses
from vrxapp.errors import SoilInputError


@pytest.mark.parametrize(
    ("where", "expected"),
    [pytest.param("fallow", 5.85, id="ENV-02"), pytest.param("in_crop", 4.05, id="ENV-06")],
)
def test_fifty_kilograms_of_urea_nitrogen_lose_the_handbook_amount(where, expected):
    # grdc-2021-volatilisation: means of 11.7 % on fallow and 8.1 % in the crop
    loss = figure(FigureTable.VOLATILISATION, where)
    assert nitrogen_volatilised(50.0, loss.value) == pytest.approx(expected, abs=0.01)


def test_australian_ranges_are_wide():
    wide = {row.key: (row.low, row.high) for row in volatilisation_losses()}
    assert wide["fallow"] == (5.4, 27)
    assert wide["in_crop"] == (0, 29)


def test_a_missing_rate_stays_missing():
    assert np.isnan(nitrogen_volatilised([np.nan], 10.0)).all()


@pytest.mark.parametrize("loss", [-1.0, 101.0])
def test_a_loss_that_cannot_be_is_refused(loss):
    with pytest.raises(SoilInputError, match="percent"):
        nitrogen_volatilised(50.0, loss)
