"""Runs a verb in this process, where starting the program anew for each would take minutes."""

import contextlib
import io
import sys
from dataclasses import dataclass

import pytest

from vrxapp.cli.main import main


@dataclass
class Ended:
    """What a verb printed, and how it ended."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture(scope="session")
def in_terminal():
    """Runs `vrxapp` with some words, as the terminal does."""

    def run(*words):
        out, err, code = io.StringIO(), io.StringIO(), 0
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sys, "argv", ["vrxapp", *map(str, words)])
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
                try:
                    main()
                except SystemExit as ended:
                    code = int(ended.code or 0)
        return Ended(code, out.getvalue(), err.getvalue())

    return run
