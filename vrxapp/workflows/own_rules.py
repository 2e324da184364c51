"""Opens rules of the agronomist's own."""

from pathlib import Path

from vrxapp.agronomy.own_rule_values import OwnRule
from vrxapp.files.own_rules import read_own_rules


def open_own_rules(path: Path) -> tuple[OwnRule, ...]:
    """The rules in a TOML file.

    Raises
    ------
    InputFileError
        If the file does not hold rules; the message names file, table and key.
    """
    return read_own_rules(path)
