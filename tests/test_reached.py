"""Nothing is kept that nobody reaches: every public function is named by other code of its own."""

import ast
from collections import defaultdict
from pathlib import Path

import vrxapp

DOORS_FOR_CHECKS = {
    "files/lab_sheets/reader.py: read_lab_sheet",
    "ground/kriging.py: kriged_points",
}
"""Shorter ways to what the program reaches by others: a sheet in one step, kriging at a spot."""
FOLDER = Path(vrxapp.__file__).parent


def modules():
    """Every module of the program, with its syntax tree."""
    for path in sorted(FOLDER.rglob("*.py")):
        yield path.relative_to(FOLDER), ast.parse(path.read_text("utf-8"))


def names_in(tree):
    """The names that some code uses; an import alone is no use."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr


def public_functions():
    """Every public function outside the terminal's verbs, which their decorator reaches."""
    for path, tree in modules():
        if path.parts[0] != "cli":
            for node in tree.body:
                if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                    yield f"{path}: {node.name}", node


def uses():
    """How often each name is used in the whole program."""
    counted = defaultdict(int)
    for _, tree in modules():
        for name in names_in(tree):
            counted[name] += 1
    return counted


def test_every_public_function_is_used_by_code_other_than_its_own():
    counted = uses()
    unreached = [
        told
        for told, node in public_functions()
        if counted[node.name] <= sum(name == node.name for name in names_in(node))
    ]
    assert set(unreached) == DOORS_FOR_CHECKS
