"""Progress and cancel for long work, without knowing who watches."""

from typing import Protocol


class Cancelled(Exception):  # noqa: N818 - a wish fulfilled, not an error
    """Raised inside long work once the user has asked to stop."""


class Progress(Protocol):
    """Whoever watches long work: a terminal line, the status line, or nobody."""

    def step(self, done: int, total: int, stage: str) -> None:
        """Report `done` of `total` steps of a named stage; raise `Cancelled` to stop."""


class Unwatched:
    """Progress that nobody looks at."""

    def step(self, done: int, total: int, stage: str) -> None:
        """Say nothing and go on."""
