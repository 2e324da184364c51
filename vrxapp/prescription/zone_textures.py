"""The texture of each zone for a rule: that of its samples, else that of the paddock."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import TrailStep
from vrxapp.soil.by_place import PlaceResults


def zone_textures(results: Sequence[PlaceResults], paddock: str, *, count: int) -> NDArray[np.str_]:
    """The texture of each zone; empty where neither samples nor paddock tell one.

    Parameters
    ----------
    results : sequence of PlaceResults
        What the rule reads; the first that tells a zone's texture decides.
    paddock : str
        Texture of the whole paddock, as it was planned.
    count : int
        Number of zones.
    """
    told = [result.textures for result in results if result.textures.size]
    if not told:
        return np.full(count, paddock)
    return np.select([texts != "" for texts in told], told, paddock)


def texture_steps(
    results: Sequence[PlaceResults], paddock: str, *, count: int
) -> tuple[TrailStep, ...]:
    """Where the texture of a zone is from; nothing where the sheet tells none at all."""
    if not any(result.textures.size for result in results):
        return ()
    own = zone_textures(results, "", count=count)
    return (
        TrailStep(
            "texture",
            "texture",
            "",
            zone_textures(results, paddock, count=count),
            "The texture is {texture}, as the lab sheet tells of its samples.",
            told=own != "",
        ),
    )
