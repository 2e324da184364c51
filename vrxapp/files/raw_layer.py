"""A layer as it stands in a file, before its coordinates are understood and its shapes mended."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note, UnknownChoiceError


@dataclass(frozen=True, slots=True, eq=False)
class RawLayer:
    """The features of one layer, nothing checked.

    Parameters
    ----------
    file : str
        Name of the file, for messages.
    crs : str
        Coordinate system as the file says it (a code, WKT), empty where it says none.
    shapes : ndarray of shapely geometry
        In the numbers of the file; None where a feature has none.
    fields : sequence of mapping
        Fields of each feature.
    notes : tuple of Note
        What was done or doubtful so far.
    """

    file: str
    crs: str
    shapes: NDArray[np.object_]
    fields: Sequence[Mapping[str, object]]
    notes: tuple[Note, ...] = ()


class _TableRow(Mapping[str, object]):
    """One row of a table of columns, looked up when asked for."""

    __slots__ = ("_columns", "_index")

    def __init__(
        self, columns: Mapping[str, NDArray[np.generic] | Sequence[object]], index: int
    ) -> None:
        self._columns, self._index = columns, index

    def __getitem__(self, name: str) -> object:
        value = self._columns[name][self._index]
        return value.item() if isinstance(value, np.generic) else value

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    def __repr__(self) -> str:
        return repr(dict(self))


class TableRows(Sequence[Mapping[str, object]]):
    """The rows of a table given by its columns; nobody may change the columns afterwards.

    Each row is made when asked for: a mapping for each of 100,000 features takes a fifth of the
    time of reading them.

    Parameters
    ----------
    columns : mapping of str to sequence
        The columns by name.
    count : int
        Number of rows.

    Examples
    --------
    >>> TableRows({"zone": ["North", "South"], "ph": [5.4, 6.1]}, 2)[1]
    {'zone': 'South', 'ph': 6.1}
    """

    def __init__(
        self, columns: Mapping[str, NDArray[np.generic] | Sequence[object]], count: int
    ) -> None:
        self._columns, self._indices = columns, range(count)

    @overload
    def __getitem__(self, index: int) -> Mapping[str, object]: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Mapping[str, object], ...]: ...
    def __getitem__(
        self, index: int | slice
    ) -> Mapping[str, object] | tuple[Mapping[str, object], ...]:
        """The row of an index, or those of a slice."""
        if isinstance(index, slice):
            return tuple(_TableRow(self._columns, row) for row in self._indices[index])
        return _TableRow(self._columns, self._indices[index])

    def __len__(self) -> int:
        """Number of rows."""
        return len(self._indices)

    def __eq__(self, other: object) -> bool:
        """Whether another sequence holds the same rows."""
        if not isinstance(other, Sequence):
            return NotImplemented
        return tuple(self) == tuple(other)

    __hash__ = None  # type: ignore[assignment]  # as of a list: its columns can be written to


def chosen_layer(names: tuple[str, ...], layer: str, *, file: str) -> str:
    """The layer to read: the one asked for, or the only one.

    Raises
    ------
    InputFileError
        If there is no layer.
    UnknownChoiceError
        If there is none of that name, or several and none was asked for.
    """
    if not names:
        raise InputFileError(
            "it holds no layer of shapes", mend="Export the layer that holds them", file=file
        )
    listed = ", ".join(names)
    if not layer and len(names) > 1:
        raise UnknownChoiceError(
            f"it holds {len(names)} layers", mend=f"Choose one of: {listed}", file=file
        )
    if layer and layer not in names:
        raise UnknownChoiceError(
            f"it has no layer {layer!r}", mend=f"Choose one of: {listed}", file=file, value=layer
        )
    return layer or names[0]
