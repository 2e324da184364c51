"""What travels together in an operation: its name, its parts, and what to mind with them."""

from vrxapp.inputs.cautions import cautions
from vrxapp.inputs.compatibility import mixing_cautions
from vrxapp.inputs.products import Product
from vrxapp.season import Operation


def spread_name(operation: Operation) -> str:
    """What is spread, as the contractor reads it."""
    if operation.humate is None:
        return operation.product.name
    humate = operation.humate
    return f"{operation.product.name} with {humate.share_percent:g} % {humate.product.name}"


def products_of(operation: Operation) -> tuple[Product, ...]:
    """The product of an operation and what travels with it."""
    humate = operation.humate
    return (operation.product,) if humate is None else (operation.product, humate.product)


def mix_cautions(operation: Operation) -> tuple[str, ...]:
    """What to mind with all that is spread together, and with mixing it, each sentence once."""
    products = products_of(operation)
    lines = [line for product in products for line in cautions(product)]
    lines += [caution.sentence for caution in mixing_cautions(products)]
    return tuple(dict.fromkeys(lines))
