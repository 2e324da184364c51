"""Imports without the look of the Qt binding."""

import builtins

import pytest

from vrxapp.desktop.plain_imports import plain_imports


def failing_import():
    with plain_imports():
        assert builtins.__import__ is builtins.__orig_import__
        import no_such_module  # noqa: F401


def test_the_import_of_the_binding_is_back_afterwards_even_after_an_error():
    looking = builtins.__import__
    assert looking is not builtins.__orig_import__
    with pytest.raises(ModuleNotFoundError):
        failing_import()
    assert builtins.__import__ is looking


def test_a_binding_that_keeps_no_original_is_left_as_it_is(monkeypatch):
    monkeypatch.delattr(builtins, "__orig_import__")
    looking = builtins.__import__
    with plain_imports():
        assert builtins.__import__ is looking
