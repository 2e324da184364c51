"""What must never meet, and what mixes badly when dry, by composition.

Organic carbon with a nitrate is refused whatever the amounts: nothing is worked out for
such a mix, because very little of it is already too much.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from vrxapp.errors import RefusedMixError
from vrxapp.inputs.products import Material, Product, typical_products
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT, mass_fraction

SECURITY_SENSITIVE_PERCENT = 45.0
"""Ammonium nitrate above which a solid is security-sensitive in Australia [worksafe-an]. [%]"""

_CAUSTIC_NEUTRALISING_VALUE = 119.0  # of MgCO3; only burnt and slaked lime are above
_ELEMENTAL_SULFUR_PERCENT = 60.0  # no sulfate holds as much [prohaska-2022]
_ORGANIC_MATERIALS = frozenset(
    {Material.HUMATE, Material.FULVATE, Material.COAL, Material.COMPOST, Material.MANURE}
)
_ORGANIC_WORDS = re.compile(
    r"humat|humic|fulvi|fulva|charcoal|biochar|lignit|leonardit|compost|manure|sawdust|guano|"
    r"molasses|(?<![a-z])(?:coal|peat|litter|organic|straw)|(?<![a-z])meal(?![a-z])",
    re.IGNORECASE,
)
_HAZARDS = {
    "OX": "a nitrate burns fiercely with it",
    "DET": "it can become an explosive",
    "SSD": "the mix can go on decomposing by itself",
    "HYG": "the mix draws water, wets and sticks",
    "H2O": "water of the crystals comes free and wets the mix",
    "CAK": "the mix cakes",
    "NH3": "ammonia is lost",
    "REV": "the phosphate turns less soluble",
    "PPT": "a salt that dissolves badly forms when damp",
    "FLOC": "the humic acid drops out",
    "ACID": "free acid reacts",
    "SEG": "the parts come apart on the way: match their sizes",
    "DUST": "dust",
    "SEC": "the law on ammonium nitrate asks for a licence",
    "REG": "the mix falls into another class of dangerous goods",
}


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why products may not be mixed, and what to do instead; it holds no quantity."""

    organic: tuple[str, ...]
    nitrate: tuple[str, ...]
    reason: str
    caution: str
    instead: str
    source: str
    grade: Grade


class Verdict(StrEnum):
    """How two products mix when dry."""

    OK = "OK"
    LIMITED = "LIMITED"
    NO = "NO"


@dataclass(frozen=True, slots=True)
class MixingRule:
    """One pair of the table of dry mixing."""

    id: str
    first: str
    second: str
    verdict: Verdict
    reasons: tuple[str, ...]
    condition: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class MixingCaution:
    """What to mind when two products are mixed dry."""

    first: str
    second: str
    verdict: Verdict
    sentence: str
    source: str
    grade: Grade


def nitrate_counted_percent(product: Product) -> float:
    """Nitrogen that counts as nitrate: what is told, or else all that is of no told form. [%]

    Examples
    --------
    >>> nitrate_counted_percent(Product("x", "Blend", 20.0, 0.0, 0.0, 0.0))
    20.0
    """
    if not math.isnan(product.nitrate_n_percent):
        return product.nitrate_n_percent
    others = (product.ammonium_n_percent, product.urea_n_percent)
    return max(0.0, product.n_percent - sum(form for form in others if not math.isnan(form)))


def holds_organic_carbon(product: Product) -> bool:
    """Whether a product holds organic carbon: by analysis, by what it is, or by its name.

    A product that tells nothing of what it holds may be anything, and counts as organic.
    """
    if product.organic_c_percent > 0 or product.humic_acid_percent > 0:
        return True
    if product.material in _ORGANIC_MATERIALS or _ORGANIC_WORDS.search(product.name):
        return True
    return math.isnan(product.organic_c_percent) and _tells_nothing(product)


def ammonium_nitrate_percent(product: Product) -> float:
    """Ammonium nitrate that the told or counted forms of nitrogen can make. [%]

    Examples
    --------
    >>> can = Product("can", "CAN", 27.0, 0.0, 0.0, 0.0)
    >>> round(ammonium_nitrate_percent(can), 1)
    77.1
    """
    nitrate = nitrate_counted_percent(product)
    ammonium = product.ammonium_n_percent
    if math.isnan(product.nitrate_n_percent):
        # of no told form, it may be ammonium nitrate through and through
        pairs = nitrate / 2 if math.isnan(ammonium) else min(nitrate, ammonium)
    else:
        pairs = min(nitrate, nitrate if math.isnan(ammonium) else ammonium)
    return min(PERCENT, 2 * pairs / mass_fraction("N", "N2H4O3"))


def refusal(products: Iterable[Product]) -> Refusal | None:
    """Why these products may not be mixed or carried together; None where nothing forbids it.

    Organic carbon and nitrate in two of them are refused whatever the amounts, and so is a
    single product that is told to hold both, unless it is a compost or a manure.
    """
    mixed = tuple(products)
    pairs = [
        (organic, nitrate)
        for i, organic in enumerate(mixed)
        for j, nitrate in enumerate(mixed)
        if holds_organic_carbon(organic)
        and nitrate_counted_percent(nitrate) > 0
        and _meet(organic, nitrate, is_same=i == j)
    ]
    if not pairs:
        return None
    nitrates = {nitrate.name: nitrate for _, nitrate in pairs}
    guessed = sorted(name for name, n in nitrates.items() if math.isnan(n.nitrate_n_percent))
    return _refusal_of(
        tuple(sorted({organic.name for organic, _ in pairs})), tuple(sorted(nitrates)), guessed
    )


def require_no_refusal(products: Iterable[Product]) -> None:
    """Refuse a mix that must not be, before anything of it is worked out.

    Raises
    ------
    RefusedMixError
        If organic carbon would meet a nitrate; the mend says what to do instead.
    """
    found = refusal(products)
    if found is not None:
        raise RefusedMixError(f"{found.reason}. {found.caution}", mend=found.instead)


def mixing_rules() -> tuple[MixingRule, ...]:
    """Every pair of the table of dry mixing."""
    return read_table("dry_mixing.csv", MixingRule)


def mixing_class(product: Product) -> str:
    """What a product is called in the table of dry mixing; empty where nobody can say."""
    if product.mixing_class:
        return product.mixing_class
    if product.material is not Material.FERTILISER:
        return _class_by_material(product)
    for typical in typical_products():
        if product.key == typical.key or product.name.casefold() == typical.name.casefold():
            return typical.mixing_class
    if product.s_percent > _ELEMENTAL_SULFUR_PERCENT:
        return "elemental sulfur"
    if product.p_percent > 0 and product.nitrate_n_percent > 0:
        return "nitrate-based compound"
    return ""


def mixing_cautions(products: Sequence[Product]) -> tuple[MixingCaution, ...]:
    """What to mind when these products are mixed dry, the worst first.

    A pair that the table calls fine without a published source is told as limited, and
    one that it does not hold as not covered.
    """
    found = [_caution(*pair) for pair in combinations(sorted(products, key=lambda p: p.name), 2)]
    told = [caution for caution in found if caution is not None]
    return tuple(sorted(told, key=lambda c: (c.verdict is not Verdict.NO, c.first, c.second)))


def _tells_nothing(product: Product) -> bool:
    """Whether neither the material nor the analysis says what a product is."""
    if product.material is Material.OTHER:
        return True
    told = (
        product.n_percent,
        product.p_percent,
        product.k_percent,
        product.s_percent,
        product.ca_percent,
        product.mg_percent,
        product.neutralising_value_percent,
    )
    is_blank = not any(share > 0 for share in told)
    return is_blank and product.material is Material.FERTILISER


def _meet(organic: Product, nitrate: Product, *, is_same: bool) -> bool:
    """Whether the carbon of one meets the nitrate of the other by mixing them."""
    if not is_same:
        return True
    is_told = nitrate.nitrate_n_percent > 0
    return is_told and organic.material not in (Material.COMPOST, Material.MANURE)


def _refusal_of(
    organic: tuple[str, ...], nitrate: tuple[str, ...], guessed: Sequence[str]
) -> Refusal:
    """The refusal in words, without any quantity."""
    reason = f"organic carbon ({_listed(organic)}) must never meet a nitrate ({_listed(nitrate)})"
    mend = (
        "Keep them apart in store, truck, auger and bin; spread them in separate passes on "
        "separate days with the machine brushed out between, and ask the supplier and a "
        "licensed adviser first"
    )
    if guessed:
        reason += (
            f"; the form of nitrogen of {_listed(guessed)} is not told, so it counts as nitrate"
        )
        mend += f". If the label of {_listed(guessed)} says that it holds no nitrate, tell so"
    return Refusal(
        organic=organic,
        nitrate=nitrate,
        reason=reason,
        caution="A nitrate is an oxidiser: with organic matter it can burn fiercely or become "
        "an explosive, and a spill of one in the other is contamination. No mix is worked out",
        instead=mend,
        source="worksafe-an",
        grade=Grade.PUBLISHED,
    )


def _listed(names: Sequence[str]) -> str:
    """Names in one line."""
    return ", ".join(names)


def _class_by_material(product: Product) -> str:
    """The class of what is no fertiliser."""
    if product.material is Material.LIMING_MATERIAL:
        return "burnt or hydrated lime" if is_caustic(product) else "lime or dolomite"
    return {
        Material.GYPSUM: "gypsum",
        Material.HUMATE: "soluble humate",
        Material.FULVATE: "fulvic powder",
        Material.COAL: "brown coal",
    }.get(product.material, "")


def is_caustic(product: Product) -> bool:
    """Whether a liming material is burnt or hydrated, by its neutralising value."""
    return product.neutralising_value_percent > _CAUSTIC_NEUTRALISING_VALUE


def _caution(first: Product, second: Product) -> MixingCaution | None:
    """What to mind with one pair; None where a published source calls it fine."""
    classes = {mixing_class(first), mixing_class(second)}
    if len(classes) == 1 and "" not in classes:
        return None
    for rule in mixing_rules():
        if classes == {rule.first, rule.second}:
            return _told_rule(rule, first.name, second.name)
    return MixingCaution(
        first.name,
        second.name,
        Verdict.LIMITED,
        f"{first.name} with {second.name}: not covered by the table of dry mixing. Ask the "
        "suppliers, and try a bucket first.",
        "program-choice",
        Grade.COMMON_PRACTICE,
    )


def _told_rule(rule: MixingRule, first: str, second: str) -> MixingCaution | None:
    """A rule of the table as a caution; a fine pair without a source is limited."""
    if rule.verdict is Verdict.OK and rule.grade is Grade.PUBLISHED:
        return None
    is_fine = rule.verdict is Verdict.OK
    verdict = Verdict.LIMITED if is_fine else rule.verdict
    heads = {Verdict.NO: "do not mix", Verdict.LIMITED: "mix with care"}
    head = "believed to mix well, but unverified" if is_fine else heads[verdict]
    parts = [_HAZARDS[code] for code in rule.reasons] + ([rule.condition] if rule.condition else [])
    tail = f" ({'; '.join(parts)})" if parts else ""
    return MixingCaution(
        first, second, verdict, f"{first} with {second}: {head}{tail}.", rule.source, rule.grade
    )
