"""Holds matrix products to one thread while many small ones are worked out."""

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def one_matrix_thread() -> Iterator[None]:
    """Give matrix products one thread inside the block, and what they had before after it.

    The products of a fit and the tiles of a kriging sweep are small: two threads share each of
    them and then wait for one another. On two busy processors a fit to 200 samples and its
    map took 18 s so, and 0.4 s with one thread. The limit holds for the whole program as long
    as the block lasts.
    """
    from threadpoolctl import threadpool_limits  # looks at every library that is loaded

    with threadpool_limits(limits=1, user_api="blas"):
        yield
