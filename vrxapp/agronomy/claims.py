"""Reasons and doubts in words: what holds at each place, as one text a place."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Claim = tuple[NDArray[np.bool_], str]
"""Where something holds, and how it is told."""


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
    which = np.select([is_so for is_so, _ in claims], range(1, len(texts)), 0)
    return np.asarray(texts[which], dtype=object)


def all_claims(claims: Sequence[Claim]) -> NDArray[np.object_]:
    """Every claim that is so at each place, in one text; empty where none is.

    Examples
    --------
    >>> all_claims([(np.array([True, False]), "shallow"), (np.array([True, True]), "old")])
    array(['shallow; old', 'old'], dtype=object)
    """
    marks = sum(np.asarray(is_so, dtype=np.int64) << bit for bit, (is_so, _) in enumerate(claims))
    found, which = np.unique(np.asarray(marks), return_inverse=True)
    # one text for each combination that occurs, shared by its places
    texts = np.array([_joined(claims, mark=int(mark)) for mark in found], dtype=object)
    return np.asarray(texts[which.reshape(np.shape(marks))], dtype=object)


def _joined(claims: Sequence[Claim], *, mark: int) -> str:
    """The texts whose bits are set."""
    return "; ".join(text for bit, (_, text) in enumerate(claims) if mark >> bit & 1)
