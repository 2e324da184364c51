"""Finds which check values of the handbook the tests hold each function to.

Run it to write `vrxapp/tables/check_values.csv` anew; a test compares the two.
"""

import ast
import csv
import io
import re
from pathlib import Path

from vrxapp.workflows.rule_book import BOOK
from vrxapp.workflows.worked_figures.registry import FIGURES

TESTS = Path(__file__).parents[1]
TABLE = TESTS.parent / "vrxapp" / "tables" / "check_values.csv"
ID = re.compile(r"\b[A-Z]{2,}[A-Z0-9]*-\d+[a-z]?\b")
COMMENT = re.compile(rf"#\s*(?P<id>{ID.pattern})[:;,]?\s*(?P<told>.*)")
EXPLAINED = (
    *(function for rule in BOOK for function in rule.functions),
    *(figure.function for figure in FIGURES),
)
FUNCTIONS = {f.__qualname__: f"{f.__module__}.{f.__qualname__}" for f in EXPLAINED}
FOLDERS = ("agronomy", "inputs", "soil")


def found_check_values():
    """Rows of function, id and check, from the tests of rules and figures, in lasting order."""
    rows = set()
    paths = (path for folder in FOLDERS for path in (TESTS / folder).glob("test_*.py"))
    for path in sorted(paths):
        text = path.read_text("utf-8")
        helpers = _helpers(ast.parse(text))
        for test in ast.parse(text).body:
            if isinstance(test, ast.FunctionDef) and test.name.startswith("test_"):
                used = _functions_in(test, helpers)
                rows |= {(name, *check) for name in used for check in _checks_of(test, text)}
    return sorted(rows)


def csv_text(rows):
    """The table as text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("function", "id", "told"))
    writer.writerows(rows)
    return out.getvalue()


def _names_in(node):
    return {part.id for part in ast.walk(node) if isinstance(part, ast.Name)}


def _helpers(module):
    """What each helper of a test file calls."""
    return {
        node.name: _names_in(node)
        for node in module.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("test_")
    }


def _functions_in(test, helpers):
    """The rule functions that a test calls itself, through a helper or by a fixture's name."""
    names = _names_in(test) | {argument.arg for argument in test.args.args}
    for name in names & set(helpers):
        names = names | helpers[name]
    return {FUNCTIONS[name] for name in names & set(FUNCTIONS)}


def _checks_of(test, text):
    """Ids and what is checked: a param with its values, or a comment with its words."""
    sentence = test.name.removeprefix("test_").replace("_", " ")
    for decorator in test.decorator_list:
        yield from _params(decorator, sentence)
    for line in text.splitlines()[test.lineno - 1 : test.end_lineno]:
        comment = COMMENT.search(line)
        if comment:
            yield comment["id"], f"{sentence}: {comment['told']}".removesuffix(": ")


def _params(decorator, sentence):
    made_by = getattr(getattr(decorator, "func", None), "attr", "")
    if made_by != "parametrize" or not isinstance(decorator.args[0], ast.Constant | ast.Tuple):
        return
    names = ast.literal_eval(decorator.args[0])
    names = [n.strip() for n in names.split(",")] if isinstance(names, str) else list(names)
    for call in ast.walk(decorator.args[1]):
        keywords = {k.arg: k.value for k in getattr(call, "keywords", ())}
        if isinstance(call, ast.Call) and isinstance(keywords.get("id"), ast.Constant):
            found = ID.search(keywords["id"].value)
            values = (ast.unparse(value) for value in call.args)
            if found:
                told = ", ".join(f"{n} = {v}" for n, v in zip(names, values, strict=False))
                yield keywords["id"].value, f"{sentence}: {told}"


if __name__ == "__main__":
    TABLE.write_text(csv_text(found_check_values()), "utf-8")
