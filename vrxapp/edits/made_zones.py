"""Edit of the Zones stage: take other zones for all that there were."""

from dataclasses import replace

from vrxapp.ground.zones import Zones
from vrxapp.season import Season


def replace_zones(season: Season, zones: Zones) -> tuple[Season, int]:
    """The season with other zones, and how many samples joined by hand lost theirs.

    A hand-made match stays where a zone of the same id and shape is still there.
    """
    before = dict(zip(season.zones.ids, season.zones.shapes, strict=True))
    after = dict(zip(zones.ids, zones.shapes, strict=True))
    kept = tuple(
        match
        for match in season.row_matches
        if match.place_id in after and before.get(match.place_id) is after[match.place_id]
    )
    lost = len(season.row_matches) - len(kept)
    return replace(season, zones=zones, row_matches=kept), lost
