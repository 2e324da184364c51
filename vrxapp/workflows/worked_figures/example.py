"""The worked example of a docstring as what one would type."""

import ast
import inspect
import sys
from collections.abc import Mapping
from enum import Enum

from vrxapp.workflows.worked_figures.figure import WorkedFigure
from vrxapp.workflows.worked_figures.figure_inputs import default_text


def example_inputs(figure: WorkedFigure) -> Mapping[str, str]:
    """What is typed for each input in the first example that calls the function.

    Examples
    --------
    >>> from vrxapp.soil.conversions import mass_from_charge
    >>> from vrxapp.workflows.worked_figures.figure import Subject
    >>> example_inputs(WorkedFigure("mass", "Mass", Subject.CONVERSIONS, mass_from_charge))
    {'charge_cmol_kg': '5', 'ion': 'Ca'}
    """
    import doctest  # brings a debugger along, so only when an example is asked for

    function = figure.function
    known: dict[str, ast.expr] = {}
    for example in doctest.DocTestParser().get_examples(inspect.getdoc(function) or ""):
        for statement in ast.parse(example.source).body:
            call = _call_of(statement, getattr(function, "__name__", ""))
            if call is not None:
                return _typed(figure, call, known)
            if isinstance(statement, ast.Assign) and isinstance(statement.targets[0], ast.Name):
                known[statement.targets[0].id] = statement.value
    return {}


def _call_of(statement: ast.stmt, name: str) -> ast.Call | None:
    """The call of the function within a statement."""
    for node in ast.walk(statement):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name:
            return node
    return None


def _typed(figure: WorkedFigure, call: ast.Call, known: Mapping[str, ast.expr]) -> dict[str, str]:
    """The arguments of a call by the names of the parameters."""
    names = list(inspect.signature(figure.function).parameters)
    given = dict(zip(names, call.args, strict=False))
    given |= {keyword.arg: keyword.value for keyword in call.keywords if keyword.arg}
    module = vars(sys.modules[figure.function.__module__])
    return {name: _text(node, known, module) for name, node in given.items()}


def _text(node: ast.expr, known: Mapping[str, ast.expr], module: Mapping[str, object]) -> str:
    """An expression of an example as it would be typed."""
    if isinstance(node, ast.Name):
        return _text(known[node.id], known, module)
    if isinstance(node, ast.List | ast.Tuple):
        return ", ".join(_text(part, known, module) for part in node.elts)
    if isinstance(node, ast.Dict):
        pairs = zip(node.keys, node.values, strict=True)
        return ", ".join(
            f"{_text(key, known, module)} {_text(value, known, module)}"
            for key, value in pairs
            if key is not None
        )
    if isinstance(node, ast.Call):  # what looks a row up or wraps a list has it as first argument
        return _text(node.args[0], known, module)
    if isinstance(node, ast.Attribute):
        return _named(node, module)
    value = ast.literal_eval(node)
    return default_text(float(value) if type(value) is int else value)


def _named(node: ast.Attribute, module: Mapping[str, object]) -> str:
    """A member of an enumeration, or a number that a library names."""
    assert isinstance(node.value, ast.Name)
    value = getattr(module[node.value.id], node.attr)
    return default_text(value.value if isinstance(value, Enum) else value)
