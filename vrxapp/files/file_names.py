"""Names that a conservative spreader controller takes: short, ASCII, without spaces."""

import re
import unicodedata

_LONGEST = 20
_SHORTEST = 8


def plain_text(text: str) -> str:
    """Text in ASCII letters, digits and single underscores.

    Examples
    --------
    >>> plain_text("Häuser's paddock")
    'Hauser_s_paddock'
    """
    ascii_text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "_", ascii_text).strip("_")


def spreader_file_name(paddock: str, operation: str, revision: int) -> str:
    """Base name of a prescription for the card: 8 to 20 characters, a letter first.

    Examples
    --------
    >>> spreader_file_name("Long Lagoon", "MAP before sowing", 1)
    'LONG_LAGOON_MAP_B_R1'
    """
    end = f"_R{revision}"
    start = plain_text(f"{paddock} {operation}").upper()
    if not start[:1].isalpha() or len(start + end) < _SHORTEST:
        start = f"RATES_{start}".rstrip("_")
    return start[: _LONGEST - len(end)].rstrip("_") + end
