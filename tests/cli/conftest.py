"""Verbs as a person types them, run in this process, and what they must leave as it was."""

import contextlib
import io
import re
import sys
import tempfile
from dataclasses import dataclass

import pytest

from vrxapp.cli.main import main

OTHERS_WORDS = r"Traceback|Errno|Exception|/tmp|None|TIFF[A-Z]|not a zip|token|delimiter"


@pytest.fixture
def verb(monkeypatch, capsys):
    """A function that runs a verb and gives its exit code, its output and what it complained of."""

    def run(*arguments):
        monkeypatch.setattr(sys, "argv", ["vrxapp", *map(str, arguments)])
        with pytest.raises(SystemExit) as caught:
            main()
        said = capsys.readouterr()
        return caught.value.code or 0, said.out, said.err

    return run


@pytest.fixture
def harmless(verb, monkeypatch, tmp_path):
    """Runs a verb that writes nothing, neither beside the files nor for a while aside."""
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(scratch))

    def run(*arguments):
        before = contents(tmp_path)
        ended = verb(*arguments)
        assert contents(tmp_path) == before
        return ended

    return run


@pytest.fixture
def refused(harmless):
    """Runs a verb that is refused in one plain sentence with a mend, and writes nothing."""

    def run(*arguments, told):
        check_refusal(harmless(*arguments), told)

    return run


@pytest.fixture(name="check_refusal")
def check_refusal_fixture():
    """Checks that what a verb said is one plain sentence that tells this."""
    return check_refusal


def check_refusal(ended, told):
    code, out, err = ended
    assert (code, out) == (1, "")
    (line,) = err.splitlines()
    # where, what is wrong, and the mend; never the words of a program
    assert re.match(r"Error: \S.*: .+\. [A-Z].+", line)
    assert re.search(told, line)
    assert not re.search(
        r"Traceback|Errno|Exception|/tmp|None|TIFF[A-Z]|not a zip|token|delimiter", line
    )


def contents(folder):
    """Every file below a folder with its bytes, and every folder."""
    return {p: p.read_bytes() if p.is_file() else None for p in folder.rglob("*")}


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
