"""Reasons and doubts in words: what holds at each place, as one text a place."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Claim = tuple[NDArray[np.bool_], str]
"""Where something holds, and how it is told."""
_COUNTED = 16
"""Most claims whose combinations are counted in a table; of more they are sorted."""


def any_of(claims: Sequence[Claim]) -> NDArray[np.bool_]:
    """Where at least one of the claims is so."""
    return np.asarray(np.logical_or.reduce([is_so for is_so, _ in claims]), dtype=bool)


def first_claim(claims: Sequence[Claim]) -> NDArray[np.object_]:
    """The first claim that is so at each place; empty where none is.

    Examples
    --------
    >>> first_claim([(np.array([True, False]), "no test"), (np.array([True, True]), "no yield")])
    array(['no test', 'no yield'], dtype=object)
    """
    # one shared text a claim: a million places cost no million texts
    texts = np.array(["", *(text for _, text in claims)], dtype=object)
    which = np.zeros(_shape(claims), dtype=np.intp)
    for number in range(len(claims), 0, -1):  # backwards, so that the first is written last
        np.copyto(which, number, where=claims[number - 1][0])
    return np.asarray(texts[which], dtype=object)


def all_claims(claims: Sequence[Claim]) -> NDArray[np.object_]:
    """Every claim that is so at each place, in one text; empty where none is.

    Examples
    --------
    >>> all_claims([(np.array([True, False]), "shallow"), (np.array([True, True]), "old")])
    array(['shallow; old', 'old'], dtype=object)
    """
    marks = np.zeros(_shape(claims), dtype=np.int64)
    for bit, (is_so, _) in enumerate(claims):
        marks |= np.left_shift(is_so, bit, dtype=np.int64)
    found, which = _numbered(marks, count=len(claims))
    # one text for each combination that occurs, shared by its places
    texts = np.array([_joined(claims, mark=int(mark)) for mark in found], dtype=object)
    return np.asarray(texts[which], dtype=object)


def both_texts(first: NDArray[np.object_], second: NDArray[np.object_]) -> NDArray[np.object_]:
    """Two columns of words as one; where both say something, in their order.

    Examples
    --------
    >>> both_texts(np.array(["shallow", ""], dtype=object), np.array(["old", "old"], dtype=object))
    array(['shallow; old', 'old'], dtype=object)
    """
    both = (first != "") & (second != "")
    told = np.where(first != "", first, second).astype(object)
    told[both] = first[both] + "; " + second[both]
    return told


def _numbered(
    marks: NDArray[np.int64], *, count: int
) -> tuple[NDArray[np.int64], NDArray[np.intp]]:
    """The combinations that occur, in order, and which of them each place has."""
    if count > _COUNTED:
        found, which = np.unique(marks, return_inverse=True)
        return found, which.reshape(marks.shape)
    # few combinations are counted, which spares the sorting of a million places
    occurs = np.bincount(marks.ravel(), minlength=1 << count) > 0
    number = np.cumsum(occurs) - 1
    return np.flatnonzero(occurs), number[marks]


def _shape(claims: Sequence[Claim]) -> tuple[int, ...]:
    """The shape of all claims together."""
    return np.broadcast_shapes(*(np.shape(is_so) for is_so, _ in claims))


def _joined(claims: Sequence[Claim], *, mark: int) -> str:
    """The texts whose bits are set."""
    return "; ".join(text for bit, (_, text) in enumerate(claims) if mark >> bit & 1)
