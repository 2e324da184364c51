"""Starts the program: the window without a verb, the terminal with one."""

import sys
from importlib.util import find_spec


def main() -> None:
    """Open the window, or do what the verb says."""
    if len(sys.argv) == 1 and find_spec("PySide6") is not None:
        from vrxapp.desktop.application import run  # Qt, only where a window is wanted

        sys.exit(run())
    from vrxapp.cli.main import main as terminal  # not needed for a window

    terminal()


if __name__ == "__main__":
    main()
