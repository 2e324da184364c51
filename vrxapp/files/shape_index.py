"""The index of a Shapefile: checked against its shapes, or made anew where it is missing.

The shapes lie one after another, each with its number and length, so a sound ``.shp`` tells
all that stands in the ``.shx``. With one record out of step nobody knows which row of the
table belongs to which shape: then there is no index.
"""

import mmap
import struct

import numpy as np
from numpy.typing import NDArray

HEADER_BYTES = 100
_HEAD = struct.Struct(">ii")
_KIND = struct.Struct("<i")
_NO_SHAPE = 0


def index_from_shapes(content: bytes) -> bytes | None:
    """The ``.shx`` that belongs to a ``.shp``.

    Parameters
    ----------
    content : bytes
        The whole ``.shp``.

    Returns
    -------
    bytes or None
        The whole ``.shx``; None where the records are not numbered from 1 without a gap, are
        of another kind than the header says, or do not end where the header says.

    Notes
    -----
    Both files begin with the same 100 bytes but for the length of the file; an entry of the
    index is the place and the length of a record. All of them count words of two bytes.
    """
    end = 2 * struct.unpack_from(">i", content, 24)[0] if len(content) >= HEADER_BYTES else 0
    if not HEADER_BYTES <= end <= len(content):
        return None
    kinds = (_NO_SHAPE, _KIND.unpack_from(content, 32)[0])
    entries, at, number = bytearray(), HEADER_BYTES, 1
    while at + _HEAD.size + _KIND.size <= end:
        told_number, words = _HEAD.unpack_from(content, at)
        kind = _KIND.unpack_from(content, at + _HEAD.size)[0]
        if told_number != number or kind not in kinds or 2 * words < _KIND.size:
            return None
        entries += _HEAD.pack(at // 2, words)
        at, number = at + _HEAD.size + 2 * words, number + 1
    if at != end:
        return None
    length = struct.pack(">i", (HEADER_BYTES + len(entries)) // 2)
    return content[:24] + length + content[28:HEADER_BYTES] + bytes(entries)


def other_kinds(content: bytes | mmap.mmap, index: bytes) -> NDArray[np.intp]:
    """Which shapes are of another kind than the set, or lie where there is nothing.

    Parameters
    ----------
    content : bytes or mmap
        The whole ``.shp``.
    index : bytes
        The whole ``.shx``.

    Returns
    -------
    ndarray of int
        Their places in the set, from 0. A reader would take the numbers of a polygon for those
        of a point.
    """
    end = min(2 * struct.unpack_from(">i", index, 24)[0], len(index))
    entries = max(end - HEADER_BYTES, 0) // _HEAD.size
    whole = index[HEADER_BYTES : HEADER_BYTES + entries * _HEAD.size]
    words = np.frombuffer(whole, dtype=">i4")[::2]
    at = 2 * words.astype(np.intp) + _HEAD.size
    deleted = words == 0
    inside = ~deleted & (at >= HEADER_BYTES) & (at + _KIND.size <= len(content))
    kinds = np.where(deleted, _NO_SHAPE, -1)
    place = at[inside, np.newaxis] + np.arange(_KIND.size)
    kinds[inside] = np.frombuffer(content, dtype=np.uint8)[place].view("<i4")[:, 0]
    known = (_NO_SHAPE, _KIND.unpack_from(content, 32)[0])
    return np.flatnonzero(~np.isin(kinds, known))
