"""Colours of everything around the fills of a map, for light and for dark surroundings.

They stand apart from the legend so that a window can be painted before anything that
computes is brought in.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Scheme:
    """Colours of everything around the fills, for one kind of surroundings."""

    background: str
    ink: str
    """Lines and outlines on the bare background."""
    edge: str
    """Outline of a filled shape."""
    text: str
    halo: str
    """Rim around text and around a highlighted outline."""
    plate: str
    """Ground of the legend box."""
    accent: str
    """What is selected, and where the keyboard is."""


LIGHT = Scheme(
    background="#eef1ec",
    ink="#121a1c",
    edge="#121a1c",
    text="#121a1c",
    halo="#ffffff",
    plate="#fbfcfa",
    accent="#c2006b",
)
DARK = Scheme(
    background="#12181b",
    ink="#e9efec",
    edge="#0d1315",
    text="#f3f6f4",
    halo="#0d1315",
    plate="#1b2327",
    accent="#ff6fb8",
)
