"""Texts over places: the first reason, every doubt, and nothing where nothing is so."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.claims import all_claims, any_of, first_claim

masks = st.lists(st.tuples(st.booleans(), st.booleans(), st.booleans()), min_size=1, max_size=20)


def claims_of(rows):
    columns = np.array(rows, dtype=bool).T
    return [(column, name) for column, name in zip(columns, ("a", "b", "c"), strict=True)]


@given(masks)
def test_the_first_claim_that_is_so_is_told(rows):
    first = [next((n for n, is_so in zip("abc", row, strict=True) if is_so), "") for row in rows]
    assert first_claim(claims_of(rows)).tolist() == first


@given(masks)
def test_every_claim_that_is_so_is_told(rows):
    every = ["; ".join(n for n, is_so in zip("abc", row, strict=True) if is_so) for row in rows]
    assert all_claims(claims_of(rows)).tolist() == every


@given(masks)
def test_any_of_is_true_where_one_is_so(rows):
    assert any_of(claims_of(rows)).tolist() == [any(row) for row in rows]


def test_a_single_place_without_a_dimension_is_told_too():
    assert first_claim([(np.array(True), "dry")]) == np.array("dry", dtype=object)
    assert all_claims([(np.array(True), "dry"), (np.array(True), "late")]).item() == "dry; late"


def test_a_million_places_share_their_texts():
    told = all_claims([(np.ones(1_000_000, dtype=bool), "shallow")])
    assert len({id(text) for text in told[:1000]}) == 1


@given(st.lists(st.lists(st.booleans(), min_size=18, max_size=18), min_size=1, max_size=6))
def test_many_claims_at_once_are_all_told_too(rows):
    names = [chr(ord("a") + bit) for bit in range(18)]
    claims = list(zip(np.array(rows, dtype=bool).T, names, strict=True))
    every = ["; ".join(n for n, is_so in zip(names, row, strict=True) if is_so) for row in rows]
    assert all_claims(claims).tolist() == every


def test_a_claim_for_all_places_is_spread_over_them():
    claims = [(np.array([True, False]), "shallow"), (np.array(True), "old")]
    assert first_claim(claims).tolist() == ["shallow", "old"]
    assert all_claims(claims).tolist() == ["shallow; old", "old"]
