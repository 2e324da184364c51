"""A guard against a Qt binding that loses references and aborts the process.

One release took a reference from None with every call of a Qt method that returns
nothing; on Python 3.11 the process then died after some thousand calls.
"""

import sys

from PySide6.QtGui import QPainter, QPixmap

_CALLS = 1_000
_LARGEST_DRIFT = 100


def none_refcount_is_safe() -> bool:
    """Whether calls into Qt leave the references of None alone."""
    pixmap = QPixmap(8, 8)
    with QPainter(pixmap) as painter:
        before = sys.getrefcount(None)
        for _ in range(_CALLS):
            painter.save()
            painter.restore()
        return abs(sys.getrefcount(None) - before) < _LARGEST_DRIFT
