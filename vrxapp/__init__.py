"""From a soil test for each part of a paddock to what goes where, and whether it paid."""

__version__ = "0.1.0"
