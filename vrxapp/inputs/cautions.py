"""The usual cautions for handling and spreading a product. Labels and law come first."""

from vrxapp.inputs.compatibility import (
    SECURITY_SENSITIVE_PERCENT,
    ammonium_nitrate_percent,
    holds_organic_carbon,
    is_caustic,
    mixing_class,
    nitrate_counted_percent,
)
from vrxapp.inputs.products import Material, Product

CAUTION_SOURCE = "label-and-law"

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
_PHOSPHORUS = "Phosphorus in water feeds algae: clean up spills, and load away from drains."
_UREA = "Urea loses ammonia to the air on moist, sandy or limy ground until rain carries it in."
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
_MANURE = "Germs and spores: wear a mask, wash hands, and keep stock off what was freshly spread."
_SULFUR = "Fire: dust of elemental sulfur explodes. No flame, no sparks, no nitrate near it."


def cautions(product: Product) -> tuple[str, ...]:
    """What to mind with this product, in plain sentences.

    They are general: the product's label and safety data sheet, local codes and
    licensed advice come first.
    """
    return (*_ALWAYS, *_nutrient_cautions(product), *_material_cautions(product))


def _nutrient_cautions(product: Product) -> tuple[str, ...]:
    """What the nutrients ask for."""
    told = (
        (product.n_percent > 0, _SEED),
        (product.p_percent > 0, _PHOSPHORUS),
        (product.urea_n_percent > 0, _UREA),
        (nitrate_counted_percent(product) > 0, _OXIDISER),
        (ammonium_nitrate_percent(product) > SECURITY_SENSITIVE_PERCENT, _SECURITY),
    )
    return tuple(sentence for is_so, sentence in told if is_so)


def _material_cautions(product: Product) -> tuple[str, ...]:
    """What the material asks for."""
    is_lime = product.material is Material.LIMING_MATERIAL
    told = (
        (is_lime and is_caustic(product), _CAUSTIC),
        (is_lime, _LIME_DUST),
        (product.material in (Material.HUMATE, Material.FULVATE), _HUMATE),
        (product.material is Material.COAL, _COAL),
        (product.material in (Material.COMPOST, Material.MANURE), _MANURE),
        (holds_organic_carbon(product), _ORGANIC),
        (mixing_class(product) == "elemental sulfur", _SULFUR),
    )
    return tuple(sentence for is_so, sentence in told if is_so)
