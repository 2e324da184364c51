"""Docstrings say what comes out, in full for what others call with numbers or files."""

import importlib
import inspect
import pkgutil

import pytest
from numpydoc.validate import validate

import vrxapp

FULL = ("vrxapp.agronomy", "vrxapp.files", "vrxapp.spreading.machine")
ACCEPTED = {
    "ES01": "not every function needs a longer story",
    "EX01": "a reader or writer of files has no example that runs on its own",
    "GL01": "the first line starts beside the quotes",
    "GL08": "checked by ruff, which knows what is private",
    "PR06": "types are told in the trade's words",
    "RT01": "where the first line is the return value, it is enough",
    "RT03": "the same",
    "RT05": "a unit in brackets may end a description",
    "SA01": "see-also lists go stale",
    "SS03": "a unit in brackets may end the first line",
    "SS05": "a function that returns is told for its result",
    "SS06": "a first line that is a sentence may be a long one",
    "PR08": "a description may start with a symbol",
    "PR09": "a unit in brackets may end a description",
    "PR01": "a short function of files says in its first line what its arguments are",
    "GL03": "no story about blank lines",
    "YD01": "what a context manager yields stands in its first line",
}


def public_functions():
    for module_info in pkgutil.walk_packages(vrxapp.__path__, "vrxapp."):
        if module_info.name.startswith(FULL):
            module = importlib.import_module(module_info.name)
            for name, thing in vars(module).items():
                own = getattr(thing, "__module__", "") == module.__name__
                if own and inspect.isfunction(thing) and not name.startswith("_"):
                    yield f"{module.__name__}.{name}"


@pytest.mark.parametrize("name", sorted(public_functions()))
def test_a_public_function_is_documented_in_numpydoc_form(name):
    wrong = [(code, what) for code, what in validate(name)["errors"] if code not in ACCEPTED]
    assert wrong == []


@pytest.mark.parametrize("name", sorted(n for n in public_functions() if ".phosphorus." in n))
def test_a_rule_tells_parameters_returns_and_an_example(name):
    codes = {code for code, _ in validate(name)["errors"]}
    assert codes.isdisjoint({"PR01", "RT01", "EX01"})
