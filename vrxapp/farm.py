"""The whole farm: its seasons and what they share. Undo, autosave and the file are of it."""

from dataclasses import dataclass, replace

from vrxapp.agronomy.own_rule_values import OwnRule
from vrxapp.errors import GroundError, MissingInputError, UnknownChoiceError
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
    own_rules : tuple of OwnRule
        Rules of the agronomist's own to choose from, by name.
    """

    name: str
    seasons: tuple[Season, ...]
    products: tuple[Product, ...]
    machines: tuple[Machine, ...]
    own_rules: tuple[OwnRule, ...] = ()

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


def season_titles(farm: Farm) -> tuple[str, ...]:
    """What to call each season: its paddock, and the season where a paddock has several."""
    paddocks = [season.paddock.name.casefold() for season in farm.seasons]
    return tuple(
        season.paddock.name
        if paddocks.count(season.paddock.name.casefold()) == 1
        else f"{season.paddock.name}, {season.name}"
        for season in farm.seasons
    )


def season_called(farm: Farm, name: str = "") -> Season:
    """The season with this id, name, paddock name or title; without a name the only one.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    MissingInputError
        If it could be one of several; the mend lists them.
    """
    wanted, titles = name.strip().casefold(), season_titles(farm)
    fitting = [
        season
        for season, title in zip(farm.seasons, titles, strict=True)
        if not wanted
        or wanted in (n.casefold() for n in (season.id, season.name, season.paddock.name, title))
    ]
    names = ", ".join(titles)
    if not fitting:
        raise UnknownChoiceError(
            f"no paddock and no season is called {name!r}", mend=f"Choose one of: {names}"
        )
    if len(fitting) > 1:
        what = f"{len(fitting)} seasons are called {name!r}" if wanted else "no paddock was chosen"
        raise MissingInputError(what, mend=f"Say --paddock with one of: {names}")
    return fitting[0]


def with_season(farm: Farm, season: Season) -> Farm:
    """The farm with the season of the same id exchanged; the same farm if it is the same."""
    if any(known is season for known in farm.seasons):
        return farm
    seasons = tuple(season if known.id == season.id else known for known in farm.seasons)
    return replace(farm, seasons=seasons)


def rule_called(rules: tuple[OwnRule, ...], name: str) -> OwnRule:
    """The rule with this name, or the only one where no name is given.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    if not name.strip() and len(rules) == 1:
        return rules[0]
    for rule in rules:
        if rule.name.casefold() == name.strip().casefold():
            return rule
    raise UnknownChoiceError(
        f"no rule of your own is called {name!r}" if name.strip() else "no rule was chosen",
        mend=f"Choose one of: {', '.join(rule.name for rule in rules) or 'none yet'}",
    )


def with_own_rules(farm: Farm, rules: tuple[OwnRule, ...]) -> Farm:
    """The farm with these rules to choose from; one of the same name is exchanged."""
    present = {repr(rule) for rule in farm.own_rules}  # NaN is never equal to itself
    if {repr(rule) for rule in rules} <= present:
        return farm
    new = {rule.name.casefold() for rule in rules}
    kept = tuple(rule for rule in farm.own_rules if rule.name.casefold() not in new)
    return replace(farm, own_rules=(*kept, *rules))
