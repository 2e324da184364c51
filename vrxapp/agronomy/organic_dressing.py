"""One batch of compost, manure or litter: what it holds, what a rate of it brings, and when."""

import math
from dataclasses import dataclass
from enum import StrEnum

from vrxapp.agronomy.organics import (
    OrganicMaterial,
    OrganicRelease,
    ToldFor,
    available_from_organic,
    carried_by_organic,
    organic_contents,
    organic_releases,
)
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.units import PERCENT

ELEMENTS = ("N", "P", "K", "S")
"""What an analysis of an organic tells here; phosphorus is what it is rated by."""

_MOISTURE = "moisture"
ORGANIC_NITROGEN = "organic nitrogen"
"""What the release of litter is told of: its ammonium comes on top."""


class Basis(StrEnum):
    """What the percentages of an analysis are counted by."""

    DRY = "dry"
    AS_SUPPLIED = "as supplied"


class YearSpread(StrEnum):
    """When a dressing was spread."""

    THIS = "this year"
    BEFORE = "the year before"


SEASONS_AFTER = {YearSpread.THIS: 1, YearSpread.BEFORE: 2}
"""Which season after spreading the planned one is."""


@dataclass(frozen=True, slots=True)
class OrganicAnalysis:
    """What a batch holds; NaN where it was not told.

    Parameters
    ----------
    name : str
        What people call it.
    material : OrganicMaterial or None
        The kind whose published release it follows; None for none.
    basis : Basis
        Whether the percentages are by the dry matter or by the mass as supplied.
    moisture_percent : float
        Water by the mass as supplied. [%]
    n_percent, p_percent, k_percent, s_percent : float
        Elements, not oxides. [%]
    ammonium_n_percent : float
        The part of the nitrogen that is ammonium already. [%]
    source : str
        Key of the bibliography; empty for an analysis of the batch itself.
    grade : Grade
        How well it is known.
    """

    name: str
    material: OrganicMaterial | None
    basis: Basis
    moisture_percent: float = math.nan
    n_percent: float = math.nan
    p_percent: float = math.nan
    k_percent: float = math.nan
    s_percent: float = math.nan
    ammonium_n_percent: float = math.nan
    source: str = ""
    grade: Grade = Grade.YOURS

    def __post_init__(self) -> None:
        """Refuse shares that cannot be, and a dry analysis without its moisture."""
        shares = [share_percent(self, element) for element in ELEMENTS]
        if any(share < 0 or share > PERCENT for share in (*shares, self.ammonium_n_percent)):
            raise MissingInputError(
                f"{self.name} cannot hold less than 0 or more than 100 % of an element",
                mend="Give elements in per cent by mass, not oxides and not mg/kg",
            )
        if self.ammonium_n_percent > self.n_percent:
            raise MissingInputError(
                f"{self.name} cannot hold more ammonium nitrogen than nitrogen",
                mend="Give total nitrogen, and the part of it that is ammonium",
            )
        if self.moisture_percent < 0 or self.moisture_percent >= PERCENT:
            raise MissingInputError(
                f"a moisture of {self.moisture_percent:g} % is not possible",
                mend="Give the water by the mass as supplied, from 0 to below 100 %",
            )
        if self.basis is Basis.DRY and math.isnan(self.moisture_percent):
            raise MissingInputError(
                f"the analysis of {self.name} is by the dry matter, and its moisture is not told",
                mend="Give its moisture, as the laboratory or the supplier tells it",
            )


@dataclass(frozen=True, slots=True)
class OrganicDressing:
    """A dressing of compost, manure or litter on the whole paddock.

    Parameters
    ----------
    analysis : OrganicAnalysis
        What the batch held.
    wet_t_ha : float
        Rate as spread. [t/ha]
    year : YearSpread
        When it was spread.
    is_in_test : bool
        Whether the soil was tested after it was spread: the test then holds part of what it
        brings, and nothing more is counted.
    """

    analysis: OrganicAnalysis
    wet_t_ha: float
    year: YearSpread = YearSpread.THIS
    is_in_test: bool = False

    def __post_init__(self) -> None:
        """Refuse a rate that nobody spreads."""
        if not 0.0 < self.wet_t_ha <= 500.0:
            raise MissingInputError(
                f"a dressing of {self.wet_t_ha:g} t/ha is not possible",
                mend="Give tonnes per hectare as spread, above 0 and up to 500",
            )


@dataclass(frozen=True, slots=True)
class SeasonRelease:
    """What of one nutrient becomes available in one season after spreading.

    Parameters
    ----------
    element : str
        ``"N"``, ``"P"``, ``"K"`` or ``"S"``.
    season : int
        1 for the first season after spreading.
    least_kg_ha, most_kg_ha : float
        Ends of the published range. [kg/ha]
    published : OrganicRelease
        The row behind it, with setting and source.
    """

    element: str
    season: int
    least_kg_ha: float
    most_kg_ha: float
    published: OrganicRelease

    @property
    def can_be_counted(self) -> bool:
        """Whether it was told for a season; what a laboratory found is no least for a field."""
        return self.published.told_for is ToldFor.SEASON


def share_percent(analysis: OrganicAnalysis, element: str) -> float:
    """What a batch holds of an element; NaN where it was not told.

    Parameters
    ----------
    analysis : OrganicAnalysis
        The batch.
    element : str
        One of `ELEMENTS`.

    Returns
    -------
    float
        Share by the basis of the analysis. [%]
    """
    return float(getattr(analysis, f"{element.lower()}_percent"))


def typical_keys() -> tuple[str, ...]:
    """Keys of the typical analyses that are published; one from memory is not offered.

    Returns
    -------
    tuple of str
        In the order of the table.
    """
    known = (row.key for row in organic_contents() if row.grade is Grade.PUBLISHED)
    return tuple(dict.fromkeys(known))


def typical_analysis(key: str, *, moisture_percent: float = math.nan) -> OrganicAnalysis:
    """A published typical analysis, to plan with until the batch has its own.

    Parameters
    ----------
    key : str
        One of `typical_keys`.
    moisture_percent : float, default NaN
        The batch's own moisture; NaN for the published one, where there is one. [%]

    Returns
    -------
    OrganicAnalysis
        Means of the source; the same kind differs two- to threefold.

    Raises
    ------
    UnknownChoiceError
        If nothing is published under this key.
    MissingInputError
        If its moisture is not published and was not given.

    Examples
    --------
    >>> typical_analysis("litter_sawdust").p_percent
    1.2
    """
    if key not in typical_keys():
        raise UnknownChoiceError(
            f"no typical analysis is called {key!r}",
            mend=f"Choose one of: {', '.join(typical_keys())}; or give the batch's own",
        )
    rows = organic_contents(key)
    held = {row.item: row for row in rows}
    first = next(row for row in rows if row.item != _MOISTURE)
    if math.isnan(moisture_percent) and _MOISTURE in held:
        moisture_percent = held[_MOISTURE].percent
    n, p, k, s = (held[e].percent if e in held else math.nan for e in ELEMENTS)
    return OrganicAnalysis(
        first.name,
        first.material,
        Basis(first.basis),
        moisture_percent,
        n_percent=n,
        p_percent=p,
        k_percent=k,
        s_percent=s,
        source=first.source,
        grade=first.grade,
    )


def carried_kg_ha(analysis: OrganicAnalysis, element: str, wet_t_ha: float) -> float:
    """All of a nutrient that a rate of a batch carries, available or not.

    Parameters
    ----------
    analysis : OrganicAnalysis
        The batch.
    element : str
        One of `ELEMENTS`.
    wet_t_ha : float
        Rate as spread. [t/ha]

    Returns
    -------
    float
        NaN where the analysis does not tell the element. [kg/ha]

    Examples
    --------
    >>> round(carried_kg_ha(typical_analysis("litter_sawdust"), "P", 6.0))
    54
    """
    return _carried(analysis, share_percent(analysis, element), wet_t_ha)


def season_releases(
    analysis: OrganicAnalysis, element: str, wet_t_ha: float
) -> tuple[SeasonRelease, ...]:
    """What of a nutrient becomes available season by season, as far as that is published.

    Parameters
    ----------
    analysis : OrganicAnalysis
        The batch.
    element : str
        One of `ELEMENTS`.
    wet_t_ha : float
        Rate as spread. [t/ha]

    Returns
    -------
    tuple of SeasonRelease
        Empty where no release is published or the element was not told. Where a release
        is told of organic nitrogen, ammonium is left out of it if the analysis tells it.

    Examples
    --------
    >>> first, *later = season_releases(typical_analysis("feedlot_aged"), "P", 10.0)
    >>> round(first.least_kg_ha), len(later)
    (35, 3)
    """
    if analysis.material is None or math.isnan(share_percent(analysis, element)):
        return ()
    found = []
    for row in organic_releases(analysis.material, element):
        season, counted = int(row.year), _counted_percent(analysis, element, of=row.of)
        least, most = available_from_organic(
            _carried(analysis, counted, wet_t_ha), analysis.material, element, year=season
        )
        found.append(SeasonRelease(element, season, float(least), float(most), row))
    return tuple(found)


def _counted_percent(analysis: OrganicAnalysis, element: str, *, of: str) -> float:
    """The share of a batch that a release is told of. [%]"""
    share = share_percent(analysis, element)
    if of == ORGANIC_NITROGEN and not math.isnan(analysis.ammonium_n_percent):
        return share - analysis.ammonium_n_percent
    return share


def _carried(analysis: OrganicAnalysis, percent: float, wet_t_ha: float) -> float:
    """What a share of a batch comes to at a rate. [kg/ha]"""
    moisture = analysis.moisture_percent if analysis.basis is Basis.DRY else 0.0
    return float(carried_by_organic(wet_t_ha, percent, moisture_percent=moisture))
