"""Painted tiles: per layer, and flattened into sheets; the least recently used go first."""

from collections import OrderedDict
from dataclasses import dataclass

from PySide6.QtGui import QPixmap

from vrxapp.desktop.map.layer import Layer
from vrxapp.desktop.map.view_transform import TileKey

#: A tile holds a quarter of a megabyte.
MOST_LAYER_TILES = 1_200
MOST_SHEETS = 600


@dataclass(frozen=True, slots=True)
class Sheet:
    """All layers of one tile, flattened onto the background.

    Parameters
    ----------
    pixmap : QPixmap
        The picture, without any see-through.
    edition : int
        Which state of layers and colours it shows.
    is_draft : bool
        Whether something in it was painted coarsely.
    """

    pixmap: QPixmap
    edition: int
    is_draft: bool


class SheetStore:
    """Sheets by tile, and which tiles there are at each rung."""

    def __init__(self) -> None:
        self._sheets: OrderedDict[TileKey, Sheet] = OrderedDict()
        self._at_rung: dict[int, set[TileKey]] = {}

    def get(self, key: TileKey) -> Sheet | None:
        """The sheet of a tile, or None; asking for it keeps it longer."""
        sheet = self._sheets.get(key)
        if sheet is not None:
            self._sheets.move_to_end(key)
        return sheet

    def put(self, key: TileKey, sheet: Sheet, *, at_least: int = 0) -> None:
        """Keep a sheet, and drop the oldest beyond the limit or the number needed."""
        self._sheets[key] = sheet
        self._sheets.move_to_end(key)
        self._at_rung.setdefault(key.rung, set()).add(key)
        while len(self._sheets) > max(MOST_SHEETS, at_least):
            oldest, _ = self._sheets.popitem(last=False)
            self._at_rung[oldest.rung].discard(oldest)

    def rungs(self) -> list[int]:
        """Rungs at which there is at least one sheet."""
        return [rung for rung, keys in self._at_rung.items() if keys]

    def keys_at(self, rung: int) -> set[TileKey]:
        """Tiles at a rung that have a sheet."""
        return self._at_rung.get(rung, set())

    def clear(self) -> None:
        """Forget all."""
        self._sheets.clear()
        self._at_rung.clear()


class LayerTiles:
    """Tiles of single layers; None stands for a tile in which a layer has nothing."""

    def __init__(self) -> None:
        self._tiles: OrderedDict[tuple[Layer, TileKey, bool], QPixmap | None] = OrderedDict()

    def has(self, layer: Layer, key: TileKey, *, is_draft: bool) -> bool:
        """Whether the layer's part of a tile is painted (or known to be empty)."""
        return (layer, key, is_draft) in self._tiles

    def get(self, layer: Layer, key: TileKey, *, is_draft: bool) -> QPixmap | None:
        """The layer's part of a tile."""
        self._tiles.move_to_end((layer, key, is_draft))
        return self._tiles[layer, key, is_draft]

    def put(
        self, layer: Layer, key: TileKey, tile: QPixmap | None, *, is_draft: bool, at_least: int
    ) -> None:
        """Keep a tile, and drop the oldest beyond the limit or the number needed."""
        self._tiles[layer, key, is_draft] = tile
        while len(self._tiles) > max(MOST_LAYER_TILES, at_least):
            self._tiles.popitem(last=False)

    def keep_only(self, layers: tuple[Layer, ...]) -> None:
        """Forget the tiles of all other layers."""
        for entry in [entry for entry in self._tiles if entry[0] not in layers]:
            del self._tiles[entry]

    def clear(self) -> None:
        """Forget all."""
        self._tiles.clear()
