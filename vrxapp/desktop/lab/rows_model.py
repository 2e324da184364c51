"""The rows of a lab sheet as a table in which paddock, zone and layer can be changed."""

from dataclasses import replace

from PySide6.QtCore import QAbstractTableModel, QModelIndex, Qt

from vrxapp.edits.sheet_rows import RowPlace
from vrxapp.errors import UnknownChoiceError
from vrxapp.farm import Farm
from vrxapp.soil.results_table import ResultsTable
from vrxapp.soil.sheet_matching import layer_cm
from vrxapp.workflows.match_rows import as_said, proposed_places

ROW, SAMPLE, PADDOCK, ZONE, LAYER, WHY = range(6)
_HEADINGS = ("Row", "Sample", "Paddock", "Zone", "Layer, cm", "Why")
LEFT_OUT, NO_ZONE = "left out", "by position"


class RowsModel(QAbstractTableModel):
    """One row a result row of the sheet, with where it is from."""

    def __init__(self, farm: Farm, table: ResultsTable) -> None:
        super().__init__()
        self._farm, self._table = farm, table
        self._seasons = {season.id: season for season in farm.seasons}
        self.found = list(proposed_places(farm, table))

    def places(self) -> list[RowPlace]:
        """Where each row is from."""
        return [found.place for found in self.found]

    def open_count(self) -> int:
        """How many rows still have a question that must be settled."""
        return sum(not found.can_wait for found in self.found)

    def choices(self, index: QModelIndex) -> list[tuple[str, str]]:
        """What a cell can be: shown text and key; nothing where it is typed."""
        if index.column() == PADDOCK:
            names = [(s.paddock.name, s.id) for s in self._farm.seasons]
            return [*names, (LEFT_OUT, "")]
        season = self._seasons.get(self.found[index.row()].place.season_id)
        if index.column() == ZONE and season is not None:
            zones = zip(season.zones.names, season.zones.ids, strict=True)
            return [*zones, (NO_ZONE, "")]
        return []

    def rowCount(self, _parent: QModelIndex | None = None) -> int:
        """How many rows the sheet has."""
        return len(self.found)

    def columnCount(self, _parent: QModelIndex | None = None) -> int:
        """How many columns the table has."""
        return len(_HEADINGS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Names of the columns."""
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return _HEADINGS[section]
        return None

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        """Paddock, zone and layer can be changed."""
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.column() in (PADDOCK, ZONE, LAYER):
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """One cell: its text, or while it is edited its key."""
        found = self.found[index.row()]
        if role == Qt.ItemDataRole.EditRole:
            keys = {PADDOCK: found.place.season_id, ZONE: found.place.zone_id}
            return keys.get(index.column(), found.place.depth_cm)
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return self._texts(index.row())[index.column()]
        return None

    def _texts(self, row: int) -> tuple[str, ...]:
        """The cells of one row."""
        found = self.found[row]
        season = self._seasons.get(found.place.season_id)
        paddock, zone = LEFT_OUT, ""
        if season is not None:
            names = dict(zip(season.zones.ids, season.zones.names, strict=True))
            paddock, zone = season.paddock.name, names.get(found.place.zone_id, NO_ZONE)
        elif not found.can_wait:
            paddock = "?"
        if "zone?" in found.question:
            zone = "?"
        elif "is it so?" in found.question:
            zone = f"{zone} ?"
        why = f"{found.question}  {found.why}".strip() if found.question else found.why
        number, sample = int(self._table.file_rows[row]), self._table.sample_ids[row]
        return str(number), sample, paddock, zone, found.place.depth_cm or "?", why

    def set_all(self, rows: list[int], column: int, value: str) -> None:
        """Give one cell of several rows a value; what a row cannot have is left as it was.

        Raises
        ------
        UnknownChoiceError
            If the layer is none.
        """
        depth_cm = layer_cm(value) if column == LAYER else ""
        for row in rows:
            place = self.found[row].place
            if column == PADDOCK and value != place.season_id:
                place = self._moved(place, value)
            elif column == ZONE and value in self._zone_ids(place):
                place = replace(place, zone_id=value)
            elif column == LAYER:
                place = replace(place, depth_cm=depth_cm)
            self.found[row] = as_said(self._table, row, place)
        self.dataChanged.emit(self.index(0, 0), self.index(len(self.found) - 1, WHY))

    def _zone_ids(self, place: RowPlace) -> tuple[str, ...]:
        season = self._seasons.get(place.season_id)
        return (*season.zones.ids, "") if season is not None else ()

    def _moved(self, place: RowPlace, season_id: str) -> RowPlace:
        """A row given to another paddock; one of a single zone leaves no zone to ask."""
        season = self._seasons.get(season_id)
        zones = season.zones.ids if season is not None else ()
        return RowPlace(season_id, zones[0] if len(zones) == 1 else "", place.depth_cm)

    def setData(
        self, index: QModelIndex, value: object, role: int = Qt.ItemDataRole.EditRole
    ) -> bool:
        """Change one cell; a layer that is none is not taken."""
        if role != Qt.ItemDataRole.EditRole:
            return False
        try:
            self.set_all([index.row()], index.column(), str(value))
        except UnknownChoiceError:
            return False
        return True
