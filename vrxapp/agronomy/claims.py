"""Texts that hold at some places: why there is no need, or why one is less sure."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Claim = tuple[NDArray[np.bool_], str]
"""Where something is so, and the text that tells it."""


def any_of(claims: Sequence[Claim]) -> NDArray[np.bool_]:
    """Where at least one of the claims is so."""
    return np.asarray(np.logical_or.reduce([is_so for is_so, _ in claims]), dtype=bool)


def worded(claims: Sequence[Claim]) -> NDArray[np.object_]:
    """The first claim that is so at each place; empty where none is.

    Examples
    --------
    >>> import numpy as np
    >>> worded([(np.array([True, False]), "too dry")])
    array(['too dry', ''], dtype=object)
    """
    # one shared text a claim: a million places cost no million texts
    texts = np.array(["", *(text for _, text in claims)], dtype=object)
    which = np.select([is_so for is_so, _ in claims], range(1, len(texts)), 0)
    return np.asarray(texts[which], dtype=object)


def all_worded(claims: Sequence[Claim]) -> NDArray[np.object_]:
    """Every claim that is so at each place, one behind the other; empty where none is.

    Examples
    --------
    >>> import numpy as np
    >>> all_worded([(np.array([True, False]), "too dry"), (np.array([True, False]), "too late")])
    array(['too dry; too late', ''], dtype=object)
    """
    marks = sum(np.asarray(is_so, dtype=np.int64) << i for i, (is_so, _) in enumerate(claims))
    found, which = np.unique(np.asarray(marks), return_inverse=True)
    # one text for each combination that occurs, shared by its places
    texts = np.array(
        [_joined(claims, mark=int(mark)) for mark in found],
        dtype=object,
    )
    return np.asarray(texts[which.reshape(np.shape(marks))], dtype=object)


def _joined(claims: Sequence[Claim], *, mark: int) -> str:
    """The texts whose bits are set."""
    return "; ".join(text for i, (_, text) in enumerate(claims) if mark >> i & 1)
