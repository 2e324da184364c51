"""Points that whoever works in a paddock must find or keep away from."""

from dataclasses import dataclass
from enum import StrEnum

from vrxapp.errors import GroundError

POWERLINE_CAUTION = (
    "Keep clear of overhead powerlines with tipping bins, augers and masts; the network "
    "operator's and your local rules give the distance."
)
WASH_DOWN_CAUTION = (
    "Wash down where the runoff reaches no waterway, and by the product's label and local codes."
)


class GroundPointKind(StrEnum):
    """What a point marks."""

    GATE = "gate"
    DUMP_SITE = "dump site"
    POWERLINE = "powerline"
    FORD = "ford"
    WET_PATCH = "wet patch"
    WASH_DOWN = "wash-down"
    CONTACT = "contact"


@dataclass(frozen=True, slots=True)
class GroundPoint:
    """One such point.

    Parameters
    ----------
    name : str
        What people call it.
    kind : GroundPointKind
        What it marks.
    easting_m, northing_m : float
        Where, in the paddock's coordinates. [m]
    note : str, optional
        Whatever else helps: clearance, which key, whom to ring.
    """

    name: str
    kind: GroundPointKind
    easting_m: float
    northing_m: float
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a point that nobody could name or find."""
        if not self.name.strip():
            raise GroundError(f"a {self.kind} has no name", mend="Give it one")
        if not abs(self.easting_m) + abs(self.northing_m) < float("inf"):
            raise GroundError(f"{self.name!r} lies nowhere", mend="Give its position")


def cautions_for(points: tuple[GroundPoint, ...]) -> tuple[str, ...]:
    """What to mind where such points are about."""
    kinds = {point.kind for point in points}
    said = {
        GroundPointKind.POWERLINE: POWERLINE_CAUTION,
        GroundPointKind.DUMP_SITE: POWERLINE_CAUTION,
        GroundPointKind.WASH_DOWN: WASH_DOWN_CAUTION,
    }
    return tuple(dict.fromkeys(text for kind, text in said.items() if kind in kinds))
