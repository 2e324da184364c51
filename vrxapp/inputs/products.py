"""Products: what is in a tonne and what it costs."""

import math
from dataclasses import dataclass, fields
from enum import StrEnum

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

_NITROGEN_FORMS = ("nitrate_n_percent", "ammonium_n_percent", "urea_n_percent")
_ROUNDING_PERCENT = 0.1

VALUES_OF_LIME = ("neutralising_value_percent", "effective_nv_percent")
"""Shares that are measured against pure CaCO3 and may be above 100."""

HIGHEST_NEUTRALISING_VALUE = 180.0
"""Nothing neutralises more: pure burnt lime has 178, from its formula [prohaska-2022]. [%]"""


class Material(StrEnum):
    """What a product is made of, as far as cautions and mixing ask."""

    FERTILISER = "fertiliser"
    LIMING_MATERIAL = "liming material"
    GYPSUM = "gypsum"
    HUMATE = "humate"
    FULVATE = "fulvate"
    COAL = "coal"
    COMPOST = "compost"
    MANURE = "manure"
    OTHER = "other"


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
    material : Material
        What it is made of.
    ca_percent, mg_percent : float
        Elements by mass; NaN where not told, as all below. [%]
    nitrate_n_percent, ammonium_n_percent, urea_n_percent : float
        Forms of the nitrogen, by mass of the product. Nitrogen of no told form counts
        as nitrate wherever nitrate is a danger. [%]
    organic_c_percent : float
        Organic carbon by mass. [%]
    neutralising_value_percent, effective_nv_percent : float
        Against pure CaCO3: of all of it, and of what is fine enough to work. [%]
    moisture_percent, humic_acid_percent : float
        Water, and humic acid, by mass. [%]
    mixing_class : str
        What it is called in the table of dry mixing; empty where not told.
    composition_source : str
        Key of the bibliography for what is told beside N, P, K and S.
    zn_percent, mn_percent, cu_percent, b_percent, fe_percent, mo_percent : float
        Trace elements by mass. [%]
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
    material: Material = Material.FERTILISER
    ca_percent: float = math.nan
    mg_percent: float = math.nan
    nitrate_n_percent: float = math.nan
    ammonium_n_percent: float = math.nan
    urea_n_percent: float = math.nan
    organic_c_percent: float = math.nan
    neutralising_value_percent: float = math.nan
    effective_nv_percent: float = math.nan
    moisture_percent: float = math.nan
    humic_acid_percent: float = math.nan
    mixing_class: str = ""
    composition_source: str = ""
    zn_percent: float = math.nan
    mn_percent: float = math.nan
    cu_percent: float = math.nan
    b_percent: float = math.nan
    fe_percent: float = math.nan
    mo_percent: float = math.nan

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
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, float) and math.isnan(value):
                # one NaN for all, so that products that tell the same compare equal
                object.__setattr__(self, field.name, math.nan)
        self._refuse_composition()
        self._refuse_nitrogen_forms()

    def _refuse_composition(self) -> None:
        """Refuse a told share that cannot be."""
        for field in fields(self):
            share = getattr(self, field.name)
            if not field.name.endswith("_percent") or math.isnan(share):
                continue
            most = HIGHEST_NEUTRALISING_VALUE if field.name in VALUES_OF_LIME else 100.0
            if not 0 <= share <= most:
                raise MissingInputError(
                    f"{field.name} of {self.name!r} cannot be {share:g}",
                    mend=f"Give a percentage from 0 to {most:g}, or leave it out",
                    column=field.name,
                )

    def _refuse_nitrogen_forms(self) -> None:
        """Refuse forms of nitrogen that are more than the nitrogen."""
        told = [form for name in _NITROGEN_FORMS if not math.isnan(form := getattr(self, name))]
        if sum(told) > self.n_percent + _ROUNDING_PERCENT:
            raise MissingInputError(
                f"the forms of nitrogen of {self.name!r} add up to {sum(told):g} %, "
                f"more than its {self.n_percent:g} % of nitrogen",
                mend="Give each form as a share of the product's mass",
                column=", ".join(_NITROGEN_FORMS),
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
    material: Material
    ca_percent: float
    mg_percent: float
    nitrate_n_percent: float
    ammonium_n_percent: float
    urea_n_percent: float
    zn_percent: float
    mn_percent: float
    cu_percent: float
    b_percent: float
    fe_percent: float
    mo_percent: float
    organic_c_percent: float
    neutralising_value_percent: float
    effective_nv_percent: float
    moisture_percent: float
    humic_acid_percent: float
    mixing_class: str
    composition_source: str


def typical_products() -> tuple[Product, ...]:
    """Common fertilisers and amendments with a typical analysis and no price."""
    names = [field.name for field in fields(_ProductRow) if field.name != "where"]
    return tuple(
        Product(**{name: getattr(row, name) for name in names})
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
