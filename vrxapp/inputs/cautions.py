"""The usual cautions for handling and spreading a product. Labels and law come first."""

from vrxapp.inputs.products import Product

CAUTION_SOURCE = "label-and-law"


def cautions(product: Product) -> tuple[str, ...]:
    """What to mind with this product, in plain sentences.

    They are general: the product's label and safety data sheet, local codes and
    licensed advice come first.
    """
    lines = [
        "Follow the product's label and safety data sheet, local codes and licensed advice; "
        "they come before this sheet.",
        "Dust: wear a mask and eye protection when loading, and keep people and stock upwind.",
        "Waterways: keep the setbacks, and do not spread on waterlogged or steep ground or "
        "before heavy rain.",
    ]
    if product.n_percent > 0:
        lines.append(
            "Seed burn: this product holds nitrogen. These rates are for spreading; they were "
            "not checked for placing with the seed, which can kill it."
        )
    if product.p_percent > 0:
        lines.append("Phosphorus in water feeds algae: clean up spills, and load away from drains.")
    return tuple(lines)
