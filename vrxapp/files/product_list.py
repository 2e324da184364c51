"""Products with analysis and price, from a CSV that the user keeps."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, MissingInputError
from vrxapp.files.lab_text import Sheet, read_sheet
from vrxapp.files.lab_values import Cells, plain_numbers, refused
from vrxapp.ground.zones import comparable
from vrxapp.inputs.products import Product
from vrxapp.units import PERCENT, mass_fraction

_ELEMENTS = ("n_percent", "p_percent", "k_percent", "s_percent")
_OXIDES = {
    "p_percent": ("p2o5_percent", "P", "P2O5"),
    "k_percent": ("k2o_percent", "K", "K2O"),
}
_PRICE, _CURRENCY = "price_per_tonne", "currency"
_COLUMNS = ("name", *_ELEMENTS, *(oxide for oxide, _, _ in _OXIDES.values()), _PRICE, _CURRENCY)


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
    without a note, for the column's own name says what they were.

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
        is missing or not possible, or a price lacks its currency.
    """
    listing = _listing(read_sheet(path, _likeness))
    names = listing.columns["name"]
    keys = _keys(names)
    shares = {element: _shares(listing, element) for element in _ELEMENTS}
    prices, currencies = _prices(listing)
    return tuple(
        _product(names, i, key=keys[i], shares=shares, price=(float(prices[i]), currencies[i]))
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
    wrong = np.flatnonzero((shares < 0) | (shares > PERCENT))
    if len(wrong):
        index = int(wrong[0])
        raise refused(
            cells,
            index,
            message=f"{cells.texts[index]} is not a share by mass",
            mend="Give a percentage from 0 to 100",
        )
    return shares


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
    key: str,
    shares: dict[str, NDArray[np.float64]],
    price: tuple[float, str],
) -> Product:
    """One product; an analysis that cannot be right is refused with its row."""
    n, p, k, s = (float(shares[element][index]) for element in _ELEMENTS)
    try:
        return Product(key, names.texts[index], n, p, k, s, *price)
    except MissingInputError as error:
        raise InputFileError(
            error.note.message,
            mend=error.note.mend,
            file=names.file,
            row=int(names.rows[index]),
            column=", ".join(_ELEMENTS),
        ) from None
