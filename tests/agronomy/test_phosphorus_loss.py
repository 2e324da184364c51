"""The flag of phosphorus loss against the handbook's check value and its own words."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.phosphorus_loss import phosphorus_loss_flag
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade


@pytest.mark.parametrize(
    ("colwell", "pbi", "ratio", "is_raised"),
    [
        # moody-2006 in rayment-lyons-2011, Table 9.11: above 2.0
        pytest.param(50.0, 20.0, 2.5, True, id="PENV-01"),
        pytest.param(40.0, 20.0, 2.0, False, id="at the limit"),
    ],
)
def test_the_ratio_decides(colwell, pbi, ratio, is_raised):
    flag = phosphorus_loss_flag([colwell], [pbi])
    assert flag.ratio == pytest.approx([ratio])
    assert flag.is_raised.tolist() == [is_raised]
    assert ("above 2" in flag.reason[0]) is is_raised


def test_without_an_index_the_risk_cannot_be_told():
    flag = phosphorus_loss_flag([50.0, np.nan], [np.nan, 20.0])
    assert not flag.is_raised.any()
    assert all("cannot be told" in text for text in flag.reason)


def test_the_trail_tells_the_ratio_with_its_source():
    told = told_for(Trail(phosphorus_loss_flag([50.0], [20.0]).steps), 0)
    assert told[0].text.startswith("Colwell P / PBI is 2.5;")
    assert (told[0].source, told[0].grade) == ("moody-2006", Grade.PUBLISHED)


def test_an_index_of_zero_is_refused():
    with pytest.raises(SoilInputError, match="pbi"):
        phosphorus_loss_flag([50.0], [0.0])


@given(st.floats(0.0, 500.0), st.floats(1.0, 1000.0), st.floats(1.0, 1000.0))
def test_a_soil_that_holds_more_is_never_at_more_risk(colwell, first, second):
    low, high = sorted((first, second))
    weak, strong = phosphorus_loss_flag(colwell, [low, high]).is_raised
    assert weak or not strong
    assert np.shape(phosphorus_loss_flag(colwell, low).ratio) == ()
