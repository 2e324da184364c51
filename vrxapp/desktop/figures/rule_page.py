"""The page of rules: equations, inputs, range, sources and check values of each."""

from PySide6.QtWidgets import QWidget

from vrxapp.desktop.figures.search_list import ListEntry
from vrxapp.desktop.figures.text_page import TextPage, side_by_side
from vrxapp.desktop.figures.told_html import rule_html
from vrxapp.workflows.explained import explained
from vrxapp.workflows.rule_book import BOOK, BookRule


class RulePage(TextPage):
    """Every rule of the book, to read."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("rules", "rules", parent)
        self._rules = {rule.name: rule for rule in BOOK}
        side_by_side(self, self.list, self.text)
        self.list.fill({"": [_entry(rule) for rule in BOOK]})

    def html(self, key: str) -> str:
        """A rule with the needs it serves and its functions."""
        rule = self._rules[key]
        return f"<h2>{_title(rule)}</h2>" + rule_html(_needs(rule), explained(rule))


def _entry(rule: BookRule) -> ListEntry:
    functions = " ".join(getattr(function, "__name__", "") for function in rule.functions)
    words = f"{rule.name} {_title(rule)} {_needs(rule)} {functions.replace('_', ' ')}"
    return ListEntry(rule.name, _title(rule), f"Serves: {_needs(rule)}", words)


def _title(rule: BookRule) -> str:
    return rule.name.replace("-", " ").capitalize()


def _needs(rule: BookRule) -> str:
    return ", ".join(map(str, rule.purposes)) or rule.serves
