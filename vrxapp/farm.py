"""The whole farm: its seasons and what they share. Undo, autosave and the file are of it."""

from dataclasses import dataclass, replace

from vrxapp.errors import GroundError, UnknownChoiceError
from vrxapp.inputs.products import Product
from vrxapp.season import Season
from vrxapp.spreading.machine import Machine


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Farm:
    """Many seasons and what they share.

    Parameters
    ----------
    name : str
        What people call the farm.
    seasons : tuple of Season
        One paddock in one season each; all in one projected coordinate system.
    products : tuple of Product
        What can be bought, with prices.
    machines : tuple of Machine
        Spreaders to choose from.
    """

    name: str
    seasons: tuple[Season, ...]
    products: tuple[Product, ...]
    machines: tuple[Machine, ...]

    def __post_init__(self) -> None:
        """Refuse paddocks in different coordinate systems and seasons that share an id."""
        systems = {season.paddock.crs for season in self.seasons}
        if len(systems) > 1:
            raise GroundError(
                f"the paddocks lie in different coordinate systems: {', '.join(sorted(systems))}",
                mend="Open them in one farm from the start, so that they share one",
            )
        if len({season.id for season in self.seasons}) != len(self.seasons):
            raise UnknownChoiceError("two seasons of the farm share an id")


def season_called(farm: Farm, name: str) -> Season:
    """The season with this id, name or paddock name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    wanted = name.casefold()
    for season in farm.seasons:
        if wanted in (season.id.casefold(), season.name.casefold(), season.paddock.name.casefold()):
            return season
    raise UnknownChoiceError(
        f"no season is called {name!r}",
        mend=f"Choose one of: {', '.join(season.name for season in farm.seasons)}",
    )


def with_season(farm: Farm, season: Season) -> Farm:
    """The farm with the season of the same id exchanged; the same farm if it is the same."""
    if any(known is season for known in farm.seasons):
        return farm
    seasons = tuple(season if known.id == season.id else known for known in farm.seasons)
    return replace(farm, seasons=seasons)
