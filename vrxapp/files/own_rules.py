"""Rules of the agronomist's own, from a TOML file: one table a rule, and no formulas."""

import math
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import NoReturn, TypeVar

from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.errors import InputFileError, SoilInputError
from vrxapp.files.safe_reading import refuse_leading_name, refuse_no_file, told_failures
from vrxapp.soil.analytes import analyte

MOST_BYTES = 1_000_000
_AT_LINE = re.compile(r" \(at line (\d+), column \d+\)$")
_Choice = TypeVar("_Choice", bound=StrEnum)


_REQUIRED = (
    "analyte",
    "test_unit",
    "depth_cm",
    "element",
    "shape",
    "breakpoints",
    "needs_kg_ha",
    "source",
)
_OPTIONAL = ("cap_kg_ha", "crop")


@dataclass(frozen=True, slots=True)
class _Table:
    """One table of the file, and where its errors lie."""

    file: str
    name: str
    values: dict[str, object]

    def refuse(self, key: str, message: str, *, mend: str, value: object = "") -> NoReturn:
        """Raise for one key."""
        raise InputFileError(
            f"table [{self.name}], key {key}: {message}",
            mend=mend,
            file=self.file,
            value=str(value)[:60],
        )


def read_own_rules(path: Path) -> tuple[OwnRule, ...]:
    """The rules in a TOML file, in the order in which they stand there.

    Parameters
    ----------
    path : Path
        The file: one table a rule, named as the rule, with the keys ``analyte``,
        ``test_unit``, ``depth_cm``, ``element``, ``shape``, ``breakpoints``,
        ``needs_kg_ha``, ``source``, and where wanted ``cap_kg_ha`` and ``crop``.

    Returns
    -------
    tuple of OwnRule
        The rules, at least one.

    Raises
    ------
    InputFileError
        If the file is no TOML, or a table, key or value does not fit; the message names
        file, table and key.
    """
    refuse_leading_name(path)
    refuse_no_file(path)
    with told_failures(path, "TOML"), path.open("rb") as file:
        content = file.read(MOST_BYTES + 1)
    return own_rules_from(content, file=path.name)


def own_rules_from(content: bytes, *, file: str) -> tuple[OwnRule, ...]:
    """The rules in the bytes of a TOML file.

    Raises
    ------
    InputFileError
        As `read_own_rules` does.
    """
    tables = _parsed(content, file)
    for name, values in tables.items():
        if not isinstance(values, dict):
            raise InputFileError(
                f"the key {name} stands in no table",
                mend="Write a rule as a table that begins with its name, such as [My potash rule] "
                "in quotation marks",
                file=file,
            )
    if not tables:
        raise InputFileError(
            "there is no rule in it", mend="Write one table a rule (vrxapp plan own -h)", file=file
        )
    return tuple(_rule(_Table(file, name, values)) for name, values in tables.items())


def _parsed(content: bytes, file: str) -> dict[str, dict[str, object]]:
    """The tables of a TOML file."""
    if len(content) > MOST_BYTES:
        raise InputFileError(
            "it is too long for a file of rules", mend="Check that it is the right file", file=file
        )
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise InputFileError(
            "it is no text in UTF-8", mend="Save it as text in UTF-8", file=file
        ) from error
    except tomllib.TOMLDecodeError as error:
        line = _AT_LINE.search(str(error))
        raise InputFileError(
            f"this is no TOML: {_AT_LINE.sub('', str(error)).lower()}",
            mend='Write each line as key = value, and words in "quotation marks"',
            file=file,
            row=int(line[1]) if line else None,
        ) from error
    except RecursionError as error:
        raise InputFileError(
            "its lists lie too deep in one another", mend="Write plain lists", file=file
        ) from error


def _rule(table: _Table) -> OwnRule:
    """One rule out of its table."""
    _refuse_keys(table)
    found = _choice(table, "element", Nutrient), _choice(table, "shape", OwnShape)
    try:
        rule = OwnRule(
            name=table.name,
            analyte=_text(table, "analyte"),
            depth_cm=_text(table, "depth_cm"),
            element=found[0],
            shape=found[1],
            breakpoints=_numbers(table, "breakpoints"),
            needs_kg_ha=_numbers(table, "needs_kg_ha"),
            source=_text(table, "source"),
            cap_kg_ha=_optional(table, "cap_kg_ha", _number, math.nan),
            crop=_optional(table, "crop", _text, ""),
        )
    except SoilInputError as error:
        note = error.note
        table.refuse(note.column, note.message, mend=note.mend, value=note.value)
    _check_unit(table, rule)
    return rule


def _refuse_keys(table: _Table) -> None:
    """Refuse keys that no rule has, and a table that lacks one."""
    for key in table.values:
        if key not in (*_REQUIRED, *_OPTIONAL):
            mend = f"Use only: {', '.join((*_REQUIRED, *_OPTIONAL))}"
            table.refuse(key, "no rule has such a key", mend=mend)
    for key in _REQUIRED:
        if key not in table.values:
            table.refuse(key, "it is missing", mend="Add it (vrxapp plan own -h shows how)")


def _check_unit(table: _Table, rule: OwnRule) -> None:
    """Refuse breakpoints in another unit than the test's."""
    unit, told = analyte(rule.analyte).unit, _text(table, "test_unit")
    if told != unit:
        table.refuse(
            "test_unit",
            f"{analyte(rule.analyte).name} is counted in {unit or 'no unit'} here, not in {told}",
            mend=f'Turn the breakpoints into it and write "{unit}"',
        )


_Value = TypeVar("_Value")


def _optional(
    table: _Table, key: str, read: Callable[[_Table, str], _Value], otherwise: _Value
) -> _Value:
    return read(table, key) if key in table.values else otherwise


def _text(table: _Table, key: str) -> str:
    value = table.values[key]
    if not isinstance(value, str):
        table.refuse(key, "words are expected", mend="Put them in quotation marks", value=value)
    return value


def _choice(table: _Table, key: str, choices: type[_Choice]) -> _Choice:
    value = _text(table, key)
    if value not in list(choices):
        names = ", ".join(f'"{choice}"' for choice in choices)
        table.refuse(key, "there is no such choice", mend=f"Use one of: {names}", value=value)
    return choices(value)


def _number(table: _Table, key: str) -> float:
    return _plain_number(table, key, table.values[key])


def _numbers(table: _Table, key: str) -> tuple[float, ...]:
    values = table.values[key]
    if not isinstance(values, list):
        table.refuse(key, "a list is expected", mend="Write it as [0, 40, 80]", value=values)
    return tuple(_plain_number(table, key, value) for value in values)


def _plain_number(table: _Table, key: str, value: object) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not abs(value) < math.inf:
        table.refuse(key, "a number is expected", mend="Write it plainly, as 12.5", value=value)
    if abs(value) > 1e9:
        table.refuse(key, "the number is too large", mend="Check it and its unit", value=value)
    return float(value)
