"""Products with analysis and price, from a CSV that the user keeps."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, MissingInputError
from vrxapp.files.lab_sheets.decimals import Cells, refused
from vrxapp.files.lab_sheets.sheet_text import Sheet, read_sheet
from vrxapp.files.lab_sheets.values import plain_numbers
from vrxapp.ground.zones import comparable
from vrxapp.inputs.products import (
    HIGHEST_NEUTRALISING_VALUE,
    VALUES_OF_LIME,
    Material,
    Product,
)
from vrxapp.units import PERCENT, mass_fraction

_ELEMENTS = ("n_percent", "p_percent", "k_percent", "s_percent")
_OXIDES = {
    "p_percent": ("p2o5_percent", "P", "P2O5"),
    "k_percent": ("k2o_percent", "K", "K2O"),
}
_PRICE, _CURRENCY, _MATERIAL = "price_per_tonne", "currency", "material"
_COMPOSITION = (
    "ca_percent",
    "mg_percent",
    "nitrate_n_percent",
    "ammonium_n_percent",
    "urea_n_percent",
    "zn_percent",
    "mn_percent",
    "cu_percent",
    "b_percent",
    "fe_percent",
    "mo_percent",
    "organic_c_percent",
    "neutralising_value_percent",
    "effective_nv_percent",
    "moisture_percent",
    "humic_acid_percent",
)
_COLUMNS = (
    "name",
    *_ELEMENTS,
    *(oxide for oxide, _, _ in _OXIDES.values()),
    _PRICE,
    _CURRENCY,
    _MATERIAL,
    *_COMPOSITION,
)


@dataclass(frozen=True, slots=True)
class _List:
    """The lines of a product list, by column name."""

    file: str
    delimiter: str
    columns: dict[str, Cells]


def read_product_list(path: Path) -> tuple[Product, ...]:
    """Open a list of products.

    The header names the columns, in any order: name, n_percent, p_percent, k_percent,
    s_percent, price_per_tonne and currency. Phosphorus and potassium may stand as
    oxides instead, in p2o5_percent and k2o_percent; they are turned into elements
    without a note, for the column's own name says what they were. What else a product
    is made of may follow: material, ca_percent, mg_percent, nitrate_n_percent,
    ammonium_n_percent, urea_n_percent, the trace elements zn_percent, mn_percent,
    cu_percent, b_percent, fe_percent and mo_percent, organic_c_percent,
    neutralising_value_percent, effective_nv_percent, moisture_percent and
    humic_acid_percent. A blank there is not told: nitrogen of no told form counts as
    nitrate where that is a danger.

    Parameters
    ----------
    path : Path
        CSV file; encodings and delimiters as for a lab sheet. Analyses by mass. [%]
        Prices delivered, blank where not known. [currency/t]

    Returns
    -------
    tuple of Product
        One a line, elemental, in the order of the file.

    Raises
    ------
    InputFileError
        If a column is missing or unknown, a name is missing or used twice, an analysis
        is missing or not possible, a material is unknown, or a price lacks its currency.
    """
    listing = _listing(read_sheet(path, _likeness))
    names = listing.columns["name"]
    keys = _keys(names)
    shares = {element: _shares(listing, element) for element in _ELEMENTS}
    shares |= {column: _percents(listing, column) for column in _COMPOSITION}
    prices, currencies = _prices(listing)
    materials = _materials(listing)
    return tuple(
        _product(
            names,
            i,
            told=(keys[i], materials[i]),
            shares=shares,
            price=(float(prices[i]), currencies[i]),
        )
        for i in range(len(keys))
    )


def _likeness(row: Sequence[str]) -> int:
    """How many cells of a row are names of columns."""
    return sum(_column_name(cell) in _COLUMNS for cell in row)


def _column_name(text: str) -> str:
    """A column's name as it is compared."""
    return comparable(text).replace(" ", "_")


def _listing(sheet: Sheet) -> _List:
    """The lines under the header, by column."""
    names = tuple(map(_column_name, sheet.rows[sheet.header_index]))
    _refuse_wrong_columns(sheet, names)
    rows, lines = [], []
    for row, line in enumerate(sheet.rows[sheet.header_index + 1 :], sheet.header_index + 2):
        if any(line[len(names) :]):
            raise InputFileError(
                f"the row has {len(line)} cells, but the header only {len(names)}",
                mend="Name the extra column, or put text that holds "
                f"{sheet.delimiter!r} in quotation marks",
                file=sheet.file,
                row=row,
                column=f"column {len(names) + 1}",
                value=next(filter(None, line[len(names) :])),
            )
        if any(line):
            rows.append(row)
            lines.append((*line, *[""] * (len(names) - len(line))))
    if not lines:
        raise InputFileError(
            "there are no products under the header",
            mend="Check that the whole list was saved",
            file=sheet.file,
            row=sheet.header_index + 1,
        )
    columns = {
        name: Cells(sheet.file, name, np.array(rows), tuple(line[i] for line in lines))
        for i, name in enumerate(names)
        if name
    }
    return _List(sheet.file, sheet.delimiter, columns)


def _refuse_wrong_columns(sheet: Sheet, names: tuple[str, ...]) -> None:
    """Refuse columns that are missing, unknown or named twice."""
    given = [name for name in names if name]
    missing = [
        name
        for name in ("name", *_ELEMENTS)
        if name not in given and _OXIDES.get(name, ("",))[0] not in given
    ]
    unknown = [name for name in given if name not in _COLUMNS]
    twice = [name for name in given if given.count(name) > 1]
    for wrong, what in (
        (missing, "is missing"),
        (unknown, "is not one of a product list"),
        (twice, "is there twice"),
    ):
        if wrong:
            raise InputFileError(
                f"the column {wrong[0]!r} {what}",
                mend=f"The columns are: {', '.join(_COLUMNS)}",
                file=sheet.file,
                row=sheet.header_index + 1,
                column=wrong[0],
            )


def _keys(names: Cells) -> tuple[str, ...]:
    """A lasting key for each product, made of its name."""
    keys: dict[str, int] = {}
    for index, text in enumerate(names.texts):
        key = re.sub(r"\W+", "_", comparable(text)).strip("_")
        if not key:
            raise refused(names, index, message="the product has no name", mend="Write its name")
        if key in keys:
            raise refused(
                names,
                index,
                message=f"the name {text!r} stands in row {names.rows[keys[key]]} already",
                mend="Give each product a name of its own",
            )
        keys[key] = index
    return tuple(keys)


def _shares(listing: _List, element: str) -> NDArray[np.float64]:
    """Share of an element in each product, from its own column or its oxide's. [%]"""
    share, told_in = _percents(listing, element), listing.columns.get(element)
    if element in _OXIDES:
        oxide, symbol, formula = _OXIDES[element]
        as_oxide = _percents(listing, oxide)
        both = np.flatnonzero(np.isfinite(share) & np.isfinite(as_oxide))
        if len(both):
            raise refused(
                listing.columns[oxide],
                int(both[0]),
                message=f"the product has both {element} and {oxide}",
                mend="Leave one of the two empty",
            )
        share = np.where(np.isnan(share), as_oxide * mass_fraction(symbol, formula), share)
        told_in = told_in or listing.columns.get(oxide)
    if told_in is not None and np.any(np.isnan(share)):
        raise refused(
            told_in,
            int(np.flatnonzero(np.isnan(share))[0]),
            message=f"{told_in.column} is missing",
            mend="Write 0 if the product holds none",
        )
    return share


def _percents(listing: _List, column: str) -> NDArray[np.float64]:
    """A column of shares by mass; NaN where it is blank or not there. [%]"""
    cells = listing.columns.get(column)
    if cells is None:
        return np.full(len(listing.columns["name"].texts), math.nan)
    shares = plain_numbers(cells, listing.delimiter)
    # burnt lime neutralises more than the pure lime it is measured against
    most = HIGHEST_NEUTRALISING_VALUE if column in VALUES_OF_LIME else PERCENT
    wrong = np.flatnonzero((shares < 0) | (shares > most))
    if len(wrong):
        index = int(wrong[0])
        raise refused(
            cells,
            index,
            message=f"{cells.texts[index]} is not a share by mass",
            mend=f"Give a percentage from 0 to {most:g}",
        )
    return shares


def _materials(listing: _List) -> tuple[Material, ...]:
    """What each product is made of; a fertiliser where it is not told."""
    cells = listing.columns.get(_MATERIAL)
    if cells is None:
        return (Material.FERTILISER,) * len(listing.columns["name"].texts)
    known = {comparable(material): material for material in Material}
    for index, text in enumerate(cells.texts):
        if text and comparable(text) not in known:
            raise refused(
                cells,
                index,
                message=f"{text!r} is not a material",
                mend=f"The materials are: {', '.join(Material)}; leave it empty for a fertiliser",
            )
    return tuple(known.get(comparable(text), Material.FERTILISER) for text in cells.texts)


def _prices(listing: _List) -> tuple[NDArray[np.float64], tuple[str, ...]]:
    """Price of each product, NaN where not told, and its currency. [currency/t]"""
    count = len(listing.columns["name"].texts)
    cells, currency = listing.columns.get(_PRICE), listing.columns.get(_CURRENCY)
    currencies = tuple(map(str.upper, currency.texts)) if currency else ("",) * count
    if cells is None:
        return np.full(count, math.nan), currencies
    prices = plain_numbers(cells, listing.delimiter)
    for index, (price, unit) in enumerate(zip(prices, currencies, strict=True)):
        if price < 0:
            raise refused(
                cells,
                index,
                message=f"a price of {cells.texts[index]} is not possible",
                mend="Give a price of zero or more, or leave it empty",
            )
        if math.isfinite(price) and not re.fullmatch(r"[A-Z]{3}", unit):
            raise InputFileError(
                f"the price of {listing.columns['name'].texts[index]!r} has no currency"
                + (f" of three letters: {unit!r}" if unit else ""),
                mend="Write three letters, for instance AUD",
                file=listing.file,
                row=int(cells.rows[index]),
                column=_CURRENCY,
                value=unit,
            )
    return prices, currencies


def _product(
    names: Cells,
    index: int,
    *,
    told: tuple[str, Material],
    shares: dict[str, NDArray[np.float64]],
    price: tuple[float, str],
) -> Product:
    """One product; an analysis that cannot be right is refused with its row."""
    (key, material), (price_per_tonne, currency) = told, price
    analysis: dict[str, Any] = {column: float(share[index]) for column, share in shares.items()}
    try:
        return Product(
            key,
            names.texts[index],
            price_per_tonne=price_per_tonne,
            currency=currency,
            material=material,
            **analysis,
        )
    except MissingInputError as error:
        raise InputFileError(
            error.note.message,
            mend=error.note.mend,
            file=names.file,
            row=int(names.rows[index]),
            column=error.note.column or ", ".join(_ELEMENTS),
        ) from None
