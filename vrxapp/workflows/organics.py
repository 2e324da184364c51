"""The sum of a compost or manure: rates wet and dry, what it carries, and what comes of it."""

import math
from dataclasses import dataclass, replace

from vrxapp.agronomy.organic_dressing import (
    ELEMENTS,
    ORGANIC_NITROGEN,
    Basis,
    OrganicAnalysis,
    OrganicDressing,
    SeasonRelease,
    YearSpread,
    carried_kg_ha,
    season_releases,
    share_percent,
    typical_analysis,
)
from vrxapp.agronomy.organics import (
    ORGANIC_CAUTIONS,
    OrganicMaterial,
    dry_rate,
    organic_rate_for,
    wet_rate,
)
from vrxapp.agronomy.trail import printed_value
from vrxapp.errors import MissingInputError
from vrxapp.sources import source

NO_FIGURE = "no published figure"
NOT_TOLD = "the analysis does not tell it"
CAUTION_SOURCE = "agrifutures-litter"


@dataclass(frozen=True, slots=True)
class OrganicSettings:
    """Which batch: a typical one, or one's own analysis; NaN and empty for not told.

    Parameters
    ----------
    typical : str
        Key of a typical analysis.
    name : str
        What one's own batch is called.
    material : str
        The kind whose published release one's own batch follows.
    basis : str
        What one's own percentages are counted by.
    moisture_percent : float
        Water by the mass as supplied. [%]
    n_percent, p_percent, k_percent, s_percent, ammonium_n_percent : float
        One's own analysis. [%]
    """

    typical: str = ""
    name: str = ""
    material: str = ""
    basis: str = str(Basis.DRY)
    moisture_percent: float = math.nan
    n_percent: float = math.nan
    p_percent: float = math.nan
    k_percent: float = math.nan
    s_percent: float = math.nan
    ammonium_n_percent: float = math.nan


@dataclass(frozen=True, slots=True)
class OrganicAsk:
    """What is asked of a batch: one of its rates, or the needs to rate it by.

    Parameters
    ----------
    wet_t_ha, dry_t_ha : float
        Rate as spread, or of dry matter; NaN for not told. [t/ha]
    need_p_kg_ha, need_n_kg_ha : float
        Needs to rate it by; phosphorus comes first. [kg/ha]
    counted_percent : float
        Share of what is carried that counts towards these needs. [%]
    """

    wet_t_ha: float = math.nan
    dry_t_ha: float = math.nan
    need_p_kg_ha: float = math.nan
    need_n_kg_ha: float = math.nan
    counted_percent: float = 100.0


@dataclass(frozen=True, slots=True)
class CarriedNutrient:
    """One nutrient of a rate: all of it, and what of it becomes available in which season."""

    element: str
    carried_kg_ha: float
    seasons: tuple[SeasonRelease, ...]


@dataclass(frozen=True, slots=True)
class NeedRate:
    """Rate that brings a need, and the phosphorus that comes with it."""

    element: str
    need_kg_ha: float
    counted_percent: float
    wet_t_ha: float
    carried_p_kg_ha: float


@dataclass(frozen=True, slots=True)
class OrganicSum:
    """What a rate of a batch comes to; NaN where it cannot be told.

    Parameters
    ----------
    analysis : OrganicAnalysis
        The batch.
    wet_t_ha, dry_t_ha : float
        Rate as spread, and of dry matter. [t/ha]
    nutrients : tuple of CarriedNutrient
        What it carries, one each.
    need_rates : tuple of NeedRate
        Rates by phosphorus and by nitrogen, where these needs were told.
    cautions : tuple of str
        What to mind; labels, local codes and law come first.
    """

    analysis: OrganicAnalysis
    wet_t_ha: float
    dry_t_ha: float
    nutrients: tuple[CarriedNutrient, ...]
    need_rates: tuple[NeedRate, ...]
    cautions: tuple[str, ...] = ORGANIC_CAUTIONS


def organic_analysis_from(settings: OrganicSettings) -> OrganicAnalysis:
    """The batch that the settings tell.

    Raises
    ------
    MissingInputError
        If neither or both of a typical and one's own analysis are told, or its moisture lacks.
    UnknownChoiceError
        If no typical analysis has this name.
    """
    own = (settings.n_percent, settings.p_percent, settings.k_percent, settings.s_percent)
    has_own = not all(math.isnan(share) for share in own)
    if bool(settings.typical) == has_own:
        raise MissingInputError(
            "an organic is told by a typical analysis, or by one of your own",
            mend="Give one of the two; the batch's own analysis is the better one",
        )
    if settings.typical:
        return typical_analysis(settings.typical, moisture_percent=settings.moisture_percent)
    material = OrganicMaterial(settings.material) if settings.material else None
    return OrganicAnalysis(
        settings.name or str(material or "organic"),
        material,
        Basis(settings.basis),
        settings.moisture_percent,
        *own,
        ammonium_n_percent=settings.ammonium_n_percent,
    )


def organic_sum(analysis: OrganicAnalysis, ask: OrganicAsk) -> OrganicSum:
    """What a rate of a batch carries and what becomes available of it.

    Where no rate is told, it is the one that brings the phosphorus needed, or else the
    nitrogen.

    Raises
    ------
    MissingInputError
        If nothing tells a rate, two do, or the analysis lacks what a rate is worked out from.
    SoilInputError
        If a value lies outside its range.
    """
    rates = _need_rates(analysis, ask)
    wet = _wet(analysis, ask, rates)
    return OrganicSum(
        analysis,
        wet,
        float(dry_rate(wet, moisture_percent=analysis.moisture_percent)),
        tuple(
            CarriedNutrient(e, carried_kg_ha(analysis, e, wet), season_releases(analysis, e, wet))
            for e in ELEMENTS
        ),
        rates,
    )


def need_rate_words(rate: NeedRate, found: OrganicSum) -> str:
    """A rate for a need in one sentence, with the phosphorus beyond the need where it is told."""
    text = (
        f"For {printed_value(rate.need_kg_ha)} kg {rate.element}/ha, counting "
        f"{rate.counted_percent:g} % of what it carries: "
        f"{printed_value(rate.wet_t_ha)} t/ha as spread"
    )
    by_phosphorus = next((r for r in found.need_rates if r.element == "P"), None)
    if rate.element == "P" or math.isnan(rate.carried_p_kg_ha):
        return f"{text}."
    if by_phosphorus is None or by_phosphorus.wet_t_ha >= rate.wet_t_ha:
        return f"{text}, which carries {printed_value(rate.carried_p_kg_ha)} kg P/ha."
    return (
        f"{text}, which carries {printed_value(rate.carried_p_kg_ha)} kg P/ha, more than is asked "
        "for. Rate it by phosphorus, and bring the rest of the nitrogen otherwise."
    )


def available_words(nutrient: CarriedNutrient, analysis: OrganicAnalysis) -> tuple[str, ...]:
    """What becomes available of a nutrient, a sentence a season, each with its setting."""
    if math.isnan(nutrient.carried_kg_ha):
        return (NOT_TOLD,)
    if not nutrient.seasons:
        return (NO_FIGURE,)
    return tuple(_season_words(release, analysis) for release in nutrient.seasons)


def organic_lines(found: OrganicSum) -> tuple[str, ...]:
    """The whole sum in plain lines, cautions last."""
    lines = [sum_title(found)]
    for nutrient in found.nutrients:
        carried = printed_value(nutrient.carried_kg_ha)
        lines.append(f"{nutrient.element}: carries {carried} kg/ha")
        lines += [f"    {words}" for words in available_words(nutrient, found.analysis)]
    lines += [need_rate_words(rate, found) for rate in found.need_rates]
    sources = (f"{key}: {source(key).citation}" for key in source_keys(found))
    return (*lines, "", "Mind:", *found.cautions, "", "Sources:", *sources)


def dressing_of(
    found: OrganicSum, name: str, year: YearSpread, *, is_in_test: bool
) -> OrganicDressing:
    """The dressing that a sum was worked out for, under the name that people call it by.

    Raises
    ------
    MissingInputError
        If it is at no rate above zero.
    """
    called = name.strip() or found.analysis.name
    return OrganicDressing(
        replace(found.analysis, name=called), found.wet_t_ha, year, is_in_test=is_in_test
    )


def dressing_words(dressing: OrganicDressing) -> str:
    """A dressing in one line."""
    kind = dressing.analysis.material or "no published release"
    tested = ", soil tested after it" if dressing.is_in_test else ""
    return f"{printed_value(dressing.wet_t_ha)} t/ha as spread, {dressing.year} ({kind}){tested}"


def sum_title(found: OrganicSum) -> str:
    """What was worked out: batch, rates, and how well the batch is known."""
    wet, dry = printed_value(found.wet_t_ha), printed_value(found.dry_t_ha)
    return f"{found.analysis.name}: {wet} t/ha as spread, {dry} t/ha dry ({found.analysis.grade})"


def source_keys(found: OrganicSum) -> tuple[str, ...]:
    """Every source behind a sum, each once."""
    releases = [s.published.source for n in found.nutrients for s in n.seasons]
    keys = (found.analysis.source, *releases, CAUTION_SOURCE)
    return tuple(dict.fromkeys(key for key in keys if key))


def _season_words(release: SeasonRelease, analysis: OrganicAnalysis) -> str:
    """What becomes available in a season, and where that was found."""
    least, most = printed_value(release.least_kg_ha), printed_value(release.most_kg_ha)
    amount = least if least == most else f"{least} to {most}"
    setting = release.published.setting
    if release.published.of == ORGANIC_NITROGEN and math.isnan(analysis.ammonium_n_percent):
        setting = f"{setting}; its ammonium is not told, so all nitrogen is taken as organic"
    return f"season {release.season}: {amount} kg/ha ({setting})"


def _need_rates(analysis: OrganicAnalysis, ask: OrganicAsk) -> tuple[NeedRate, ...]:
    """Rates that bring the needs that were told, phosphorus first."""
    found = []
    for element, need in (("P", ask.need_p_kg_ha), ("N", ask.need_n_kg_ha)):
        if math.isnan(need):
            continue
        share = share_percent(analysis, element)
        if not share > 0:
            raise MissingInputError(
                f"the analysis of {analysis.name} tells no {element}, so it cannot be rated by it",
                mend=f"Give its {element} in per cent",
            )
        moisture = analysis.moisture_percent if analysis.basis is Basis.DRY else 0.0
        wet = float(
            organic_rate_for(
                need, share, moisture_percent=moisture, available_percent=ask.counted_percent
            )
        )
        found.append(
            NeedRate(element, need, ask.counted_percent, wet, carried_kg_ha(analysis, "P", wet))
        )
    return tuple(found)


def _wet(analysis: OrganicAnalysis, ask: OrganicAsk, rates: tuple[NeedRate, ...]) -> float:
    """The rate as spread that is asked about. [t/ha]"""
    if not math.isnan(ask.wet_t_ha) and not math.isnan(ask.dry_t_ha):
        raise MissingInputError(
            "a rate was told both as spread and of dry matter", mend="Give one of the two"
        )
    if not math.isnan(ask.wet_t_ha):
        return ask.wet_t_ha
    if not math.isnan(ask.dry_t_ha):
        if math.isnan(analysis.moisture_percent):
            raise MissingInputError(
                f"the moisture of {analysis.name} is not known, so a dry rate tells no wet one",
                mend="Give its moisture, or the rate as spread",
            )
        return float(wet_rate(ask.dry_t_ha, moisture_percent=analysis.moisture_percent))
    if rates:
        return rates[0].wet_t_ha
    raise MissingInputError(
        "there is no rate to work with",
        mend="Give a rate as spread or of dry matter, or the phosphorus that is needed",
    )
