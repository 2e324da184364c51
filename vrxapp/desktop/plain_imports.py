"""Imports without the look at their source that the Qt binding takes."""

import builtins
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def plain_imports() -> Iterator[None]:
    """Import by Python's own function for a while.

    The binding puts its own in place, which reads the source of every module for a switch of
    names that is not used here: an eighth of the time until the farm is seen. A binding that
    keeps no original is left as it is.
    """
    looking = builtins.__import__
    builtins.__import__ = getattr(builtins, "__orig_import__", looking)
    try:
        yield
    finally:
        builtins.__import__ = looking
