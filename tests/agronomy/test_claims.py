"""Reasons in words: the first that holds, or all of them."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.claims import all_claims, first_claim

flags = st.lists(st.tuples(st.booleans(), st.booleans(), st.booleans()), min_size=1, max_size=9)


@given(flags)
def test_texts_are_those_of_the_claims_that_hold(rows):
    columns = np.array(rows).T
    claims = list(zip(columns, ("one", "two", "three"), strict=True))
    for row, first, together in zip(rows, first_claim(claims), all_claims(claims), strict=True):
        holding = [text for is_so, text in zip(row, ("one", "two", "three"), strict=True) if is_so]
        assert first == (holding[0] if holding else "")
        assert together == "; ".join(holding)


def test_a_million_places_share_their_texts():
    told = all_claims([(np.ones(1_000_000, dtype=bool), "shallow")])
    assert len({id(text) for text in told[:1000]}) == 1
