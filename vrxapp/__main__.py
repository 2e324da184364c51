"""Starts the program."""

from vrxapp.cli.main import main

if __name__ == "__main__":
    main()
