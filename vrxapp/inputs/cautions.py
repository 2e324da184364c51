"""The usual cautions for handling and spreading a product. Labels and law come first."""

import math
from enum import StrEnum

from vrxapp.agronomy.fulvic import FulvicBand, fulvic_band, fulvic_cautions
from vrxapp.agronomy.organics import ORGANIC_CAUTIONS
from vrxapp.agronomy.volatilisation import VOLATILISATION_CAUTION, volatilisation_losses
from vrxapp.inputs.compatibility import (
    SECURITY_SENSITIVE_PERCENT,
    ammonium_nitrate_percent,
    holds_organic_carbon,
    is_caustic,
    mixing_class,
    nitrate_counted_percent,
)
from vrxapp.inputs.heavy_metals import METAL_CAUTION, highest_cadmium_load
from vrxapp.inputs.products import Material, Product
from vrxapp.inputs.salt_index import SALT_INDEX_CAUTION, salt_indices
from vrxapp.inputs.seed_placement import SEED_CAUTION

CAUTION_SOURCE = "label-and-law"

_P_OF_A_DRESSING_KG_HA = 10.0  # program-choice: a round rate to tell cadmium by


class Placing(StrEnum):
    """Where a product comes to lie."""

    BROADCAST = "spread over the ground"
    WITH_SEED = "placed with the seed"


_ALWAYS = (
    "Follow the product's label and safety data sheet, local codes and licensed advice; "
    "they come before this sheet.",
    "Dust: wear a mask and eye protection when loading, and keep people and stock upwind.",
    "Waterways: keep the setbacks, and do not spread on waterlogged or steep ground or "
    "before heavy rain.",
)
_SEED = (
    "Seed burn: this product holds nitrogen. These rates are for spreading; they were "
    "not checked for placing with the seed, which can kill it."
)
_WITH_SEED = (
    "Seed burn: this product goes with the seed. Its rates were checked against the guides that "
    "the notes of the plan name, and not lowered. " + SEED_CAUTION
)
_PHOSPHORUS = "Phosphorus in water feeds algae: clean up spills, and load away from drains."
_OXIDISER = (
    "Oxidiser: this product holds nitrate, or does not tell the form of its nitrogen. Keep it "
    "from fuel, oil, sulfur, humate, coal, compost and any organic matter, and from fire."
)
_SECURITY = (
    "Security: this much ammonium nitrate is regulated; a licence may be needed to buy, store "
    "and carry it."
)
_CAUSTIC = (
    "Caustic: burnt and hydrated lime burn skin and eyes and heat up with water. Wear goggles "
    "and gloves, and keep it from ammonium fertilisers."
)
_LIME_DUST = "Lime dust irritates eyes and lungs; spread it in light wind."
_HUMATE = (
    "Combustible dust: no flame, no sparks and no compressed air near humate dust. It draws "
    "water and bridges: mix and spread it on one day and brush the bin out. Its solution is "
    "alkaline and colours water."
)
_COAL = "Combustible dust: coal dust burns, and damp coal can heat up by itself in a heap."
_ORGANIC = "Organic matter: never store, load or spread it together with a nitrate fertiliser."
_SULFUR = "Fire: dust of elemental sulfur explodes. No flame, no sparks, no nitrate near it."


def cautions(
    product: Product,
    *,
    placing: Placing = Placing.BROADCAST,
    most_kg_ha: float = math.inf,
) -> tuple[str, ...]:
    """What to mind with this product, in plain sentences.

    They are general: the product's label and safety data sheet, local codes and
    licensed advice come first.

    Parameters
    ----------
    product : Product
        What is handled.
    placing : Placing
        Where it comes to lie.
    most_kg_ha : float, default infinite
        Most of it that any place gets; only fulvates have cautions by rate. [kg/ha]
    """
    return (
        *_ALWAYS,
        *_nutrient_cautions(product),
        *_placing_cautions(product, placing),
        *_material_cautions(product),
        *_fulvic_cautions(product, most_kg_ha),
    )


def _nutrient_cautions(product: Product) -> tuple[str, ...]:
    """What the nutrients ask for."""
    told = (
        (product.p_percent > 0, _PHOSPHORUS),
        (product.p_percent > 0, _cadmium()),
        (nitrate_counted_percent(product) > 0, _OXIDISER),
        (ammonium_nitrate_percent(product) > SECURITY_SENSITIVE_PERCENT, _SECURITY),
    )
    return tuple(sentence for is_so, sentence in told if is_so)


def _cadmium() -> str:
    """Cadmium that a dressing may bring at the highest that the law allows."""
    load = float(highest_cadmium_load(_P_OF_A_DRESSING_KG_HA))
    return (
        f"Cadmium: {_P_OF_A_DRESSING_KG_HA:g} kg P/ha may bring up to {load:g} g/ha at the most "
        f"that New South Wales allows. {METAL_CAUTION}"
    )


def _placing_cautions(product: Product, placing: Placing) -> tuple[str, ...]:
    """What lies with the seed can burn it; what lies on the ground can go into the air."""
    if placing is Placing.WITH_SEED:
        return (_WITH_SEED, *_salt(product))
    told = (
        (product.n_percent > 0, _SEED),
        (product.urea_n_percent > 0, _volatilisation()),
    )
    return tuple(sentence for is_so, sentence in told if is_so)


def _salt(product: Product) -> tuple[str, ...]:
    """The salt index of the product, where one was published."""
    return tuple(
        f"Salt index of {index.name}: {index.value:g}, sodium nitrate being 100. "
        f"{SALT_INDEX_CAUTION}"
        for index in salt_indices()
        if index.key == product.key
    )


def _volatilisation() -> str:
    """What urea on the surface was found to lose."""
    losses = "; ".join(
        f"{loss.name}: {loss.value:g} % of its nitrogen"
        + ("" if math.isnan(loss.low) else f" ({loss.low:g} to {loss.high:g} %)")
        for loss in volatilisation_losses()
        if loss.key in ("fallow", "in_crop")
    )
    return f"Ammonia to the air, means and ranges of trials. {losses}. {VOLATILISATION_CAUTION}"


def _material_cautions(product: Product) -> tuple[str, ...]:
    """What the material asks for."""
    is_lime = product.material is Material.LIMING_MATERIAL
    is_manure = product.material in (Material.COMPOST, Material.MANURE)
    told = (
        (is_lime and is_caustic(product), _CAUSTIC),
        (is_lime, _LIME_DUST),
        (product.material in (Material.HUMATE, Material.FULVATE), _HUMATE),
        (product.material is Material.COAL, _COAL),
        *((is_manure, sentence) for sentence in ORGANIC_CAUTIONS),
        (holds_organic_carbon(product) and not is_manure, _ORGANIC),
        (mixing_class(product) == "elemental sulfur", _SULFUR),
    )
    return tuple(sentence for is_so, sentence in told if is_so)


def _fulvic_cautions(product: Product, most_kg_ha: float) -> tuple[str, ...]:
    """What a fulvate asks for at the most that any place may get."""
    if product.material is not Material.FULVATE:
        return ()
    unlimited = math.isinf(most_kg_ha)
    band = FulvicBand.CLEAN_UP if unlimited else FulvicBand(str(fulvic_band(most_kg_ha)))
    return tuple(caution.text for caution in fulvic_cautions(band))
