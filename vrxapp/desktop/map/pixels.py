"""Numbers as pixels: packed colours, and NumPy arrays as Qt images."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from vrxapp.legend import Step

#: The layout that Qt's rasteriser blends fastest: 0xAARRGGBB, colour already times alpha.
PIXEL_FORMAT = QImage.Format.Format_ARGB32_Premultiplied
CLEAR = np.uint32(0)


def packed_color(color: str, alpha: float = 1.0) -> int:
    """A colour such as "#5c7cc4" as one premultiplied pixel."""
    channels = [int(color[i : i + 2], 16) for i in (1, 3, 5)]
    red, green, blue = (round(channel * alpha) for channel in channels)
    return (round(255 * alpha) << 24) | (red << 16) | (green << 8) | blue


def packed_steps(steps: Sequence[Step], step_of_row: NDArray[np.intp]) -> NDArray[np.uint32]:
    """The pixel of each place, given the step that each falls into; -1 is clear."""
    palette = np.array([*(packed_color(step.fill) for step in steps), CLEAR], dtype=np.uint32)
    return palette[step_of_row]


def image_of(pixels: NDArray[np.uint32]) -> QImage:
    """An image over an array of packed pixels, which it shares and doesn't keep alive."""
    height, width = pixels.shape
    return QImage(pixels.data, width, height, pixels.strides[0], PIXEL_FORMAT)
