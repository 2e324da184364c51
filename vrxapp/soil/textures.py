"""Texture in words: how laboratories and people write it, and the clay that it stands for."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.ground.zones import comparable
from vrxapp.soil.estimates import Estimate
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class Texture:
    """A grade of field texture, its spellings, and its clay; NaN where there is no upper end."""

    texture: str
    clay_from_percent: float
    clay_to_percent: float
    spellings: tuple[str, ...]
    source: str
    where: str
    grade: Grade


def textures() -> tuple[Texture, ...]:
    """Every grade of field texture the program knows, from light to heavy."""
    return read_table("textures.csv", Texture)


def texture_called(text: str) -> Texture | None:
    """The grade that a word or a laboratory's letters stand for, or None.

    "Clay" alone is no grade: from light to heavy its clay runs from 35 to over 50 %.

    Examples
    --------
    >>> texture_called("Light-medium clay").texture
    'light medium clay'
    >>> texture_called("clay") is None
    True
    """
    wanted = comparable(text)
    for known in textures():
        if wanted == known.texture or wanted in known.spellings:
            return known
    return None


def grades_called(words: ArrayLike) -> NDArray[np.str_]:
    """Each word as the grade it stands for; one that stands for none in small letters.

    Examples
    --------
    >>> grades_called(["SL", "Peat", ""]).tolist()
    ['sandy loam', 'peat', '']
    """
    known, place = np.unique(np.asarray(words, dtype=str), return_inverse=True)
    grades = [(texture_called(str(word)), comparable(str(word))) for word in known]
    names = np.array([grade.texture if grade else text for grade, text in grades], dtype=str)
    return names[place].reshape(np.shape(words))


def clay_by_texture(texture: ArrayLike) -> Estimate:
    """Clay content from texture in words, to choose a class by where no clay was measured.

    Parameters
    ----------
    texture : array_like of str
        Texture of each place, as a laboratory or a person writes it.

    Returns
    -------
    Estimate
        Middle of the grade's range, or its lower end where it has no upper one; NaN where
        the word stands for no grade. [%]

    References
    ----------
    .. [1] field-texture-grades. The ranges.

    Examples
    --------
    >>> clay_by_texture(["sandy loam", "Heavy clay", "mud"]).values
    array([15., 50., nan])
    """
    words, place = np.unique(np.asarray(texture, dtype=str), return_inverse=True)
    by_word = np.array([_middle(texture_called(str(word))) for word in words], dtype=float)
    values: NDArray[np.float64] = by_word[place].reshape(np.shape(texture))
    return Estimate(
        "clay",
        "%",
        values,
        "from the texture in words; the hand finds the grade, not the clay itself",
        "field-texture-grades",
        Grade.PUBLISHED,
    )


def _middle(known: Texture | None) -> float:
    """The clay that stands for a grade; NaN for none."""
    if known is None:
        return float("nan")
    ends = [known.clay_from_percent, known.clay_to_percent]
    return float(np.nanmean(ends))
