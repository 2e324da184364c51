"""Products: what is in a tonne and what it costs."""

import math
from dataclasses import dataclass

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class Product:
    """A fertiliser or amendment, elemental, as it is bought.

    Parameters
    ----------
    key, name : str
        Lasting name for the program, and what people call it.
    n_percent, p_percent, k_percent, s_percent : float
        Elements by mass, never oxides. [%]
    price_per_tonne : float
        Price delivered; NaN where nobody has said. [currency/t]
    currency : str
        Currency of the price, for instance ``"AUD"``.
    source : str
        Key of the bibliography for the analysis; empty for the user's own label.
    grade : Grade
        How well the analysis is known.
    """

    key: str
    name: str
    n_percent: float
    p_percent: float
    k_percent: float
    s_percent: float
    price_per_tonne: float = math.nan
    currency: str = ""
    source: str = ""
    grade: Grade = Grade.YOURS

    def __post_init__(self) -> None:
        """Refuse an analysis or a price that cannot be."""
        shares = (self.n_percent, self.p_percent, self.k_percent, self.s_percent)
        if not (all(0 <= share <= 100 for share in shares) and sum(shares) <= 100):
            raise MissingInputError(
                f"the analysis of {self.name!r} cannot be right: N {shares[0]:g} %, "
                f"P {shares[1]:g} %, K {shares[2]:g} %, S {shares[3]:g} %",
                mend="Give elements by mass, each from 0 to 100 % and together at most 100 %",
            )
        if self.price_per_tonne < 0 or math.isinf(self.price_per_tonne):
            raise MissingInputError(
                f"the price of {self.name!r} is {self.price_per_tonne:g}",
                mend="Give a price of zero or more, or leave it out",
            )


@dataclass(frozen=True, slots=True)
class _ProductRow:
    key: str
    name: str
    n_percent: float
    p_percent: float
    k_percent: float
    s_percent: float
    source: str
    where: str
    grade: Grade


def typical_products() -> tuple[Product, ...]:
    """Common fertilisers with a typical analysis and no price."""
    return tuple(
        Product(
            row.key,
            row.name,
            row.n_percent,
            row.p_percent,
            row.k_percent,
            row.s_percent,
            source=row.source,
            grade=row.grade,
        )
        for row in read_table("products.csv", _ProductRow)
    )


def product_called(name: str, products: tuple[Product, ...]) -> Product:
    """The product with this key or name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    wanted = " ".join(name.split()).casefold()
    for product in products:
        if wanted in (product.key.casefold(), product.name.casefold()):
            return product
    raise UnknownChoiceError(
        f"no product is called {name!r}",
        mend=f"Choose one of: {', '.join(product.key for product in products)}",
    )
