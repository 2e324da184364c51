"""Tests that a sheet lacks, estimated from those it has: shown with a mark, read by no rate."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.salinity import ece_by_line, ece_by_texture, ece_lines, ece_textures
from vrxapp.agronomy.sodicity import esp_from_sar
from vrxapp.errors import UnknownChoiceError
from vrxapp.prescription.known_test import KnownTest, known_of, numbers_told
from vrxapp.soil.analytes import analyte
from vrxapp.soil.estimated_results import (
    organic_matter,
    ph_cacl2_from_water,
    ph_water_from_cacl2,
    total_carbon_from_walkley_black,
)
from vrxapp.soil.estimates import Estimate
from vrxapp.soil.phosphorus_buffering import pbi_from_olsen, pbi_from_unadjusted
from vrxapp.soil.results_table import Limit
from vrxapp.soil.textures import clay_by_texture, grades_called
from vrxapp.sources import Grade, source

BY_TEXTURE = "texture"
"""Key of the factors by texture, which nobody verified; taken only if chosen."""
_NO_RESULT = "no result"
_SAND_TO_CLAY_PERCENT = 10.0
"""Clay up to which a soil is a sand, loamy or clayey sand [field-texture-grades]. [%]"""
_ON_SANDS = "on sands such lines tell too little, by half or more"
_NO_LINE_ON_SANDS = (
    "the published lines from EC 1:5 tell too little on sands, by half or more, and the factors "
    "by texture are unverified"
)
_WITHOUT_GYPSUM = "holds only without gypsum"
_NUMBERS = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class EstimateChoices:
    """How tests are estimated that a sheet lacks.

    Parameters
    ----------
    ece : str, optional
        From EC 1:5 to ECe: key of one published line, or ``"texture"`` for the unverified
        factors; empty for the range that all published lines span.
    carbon_factor : float or None, optional
        Total over Walkley and Black carbon; None leaves total carbon untold. [-]
    """

    ece: str = ""
    carbon_factor: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Results of the places, and the clay and texture that are known of them."""

    tests: tuple[KnownTest, ...]
    clay_percent: _NUMBERS
    texture: NDArray[np.str_]

    def __call__(self, key: str) -> _NUMBERS:
        """Results of one test that are numbers."""
        return numbers_told(self.tests, key, count=len(self.clay_percent))


def ece_ways() -> tuple[tuple[str, str], ...]:
    """Key and name of each way from EC 1:5 to ECe, the default first."""
    lines = tuple((line.key, f"{line.name}, one published line") for line in ece_lines())
    return (("", "All published lines"), *lines, (BY_TEXTURE, "Factors by texture (unverified)"))


def require_estimates(choices: EstimateChoices) -> None:
    """Refuse a way to ECe that is not known.

    Raises
    ------
    UnknownChoiceError
        If there is none of that key; the mend lists what there is.
    """
    keys = [key for key, _ in ece_ways()]
    if choices.ece not in keys:
        raise UnknownChoiceError(
            f"no way from EC 1:5 to ECe has the key {choices.ece!r}",
            mend=f"Choose one of: {', '.join(filter(None, keys))}",
        )


def estimated_tests(
    tests: tuple[KnownTest, ...],
    choices: EstimateChoices,
    *,
    clay_percent: NDArray[np.float64],
    texture: ArrayLike,
) -> tuple[KnownTest, ...]:
    """Tests that are lacking and follow from others, each where a place has what it asks for.

    Parameters
    ----------
    tests : tuple of KnownTest
        What was measured or worked out, of the same places.
    choices : EstimateChoices
        How they are estimated.
    clay_percent : ndarray of float
        Clay of each place; NaN where not known. [%]
    texture : array_like of str
        Texture in words, of each place or of all; empty where not told.

    Returns
    -------
    tuple of KnownTest
        ECe, ESP from SAR, the other pH, total carbon, organic matter, and the buffering
        index with Colwell P.

    References
    ----------
    .. [1] rayment-lyons-2011. Table 14.2, the lines to ECe.
    .. [2] conyers-davey-1988. The other pH.
    .. [3] richards-1954. ESP from SAR.
    .. [4] burkitt-2002. The buffering index.
    """
    words = np.broadcast_to(np.asarray(texture, dtype=str), clay_percent.shape)
    places = _Places(tests, clay_percent, words)
    found = [*_ph(places), *_carbon(places, choices.carbon_factor), *_esp(places), *_pbi(places)]
    shown = (test for test in found if np.any(np.isfinite(test.values)))
    return (*shown, *_ece(places, choices.ece))


def _ph(places: _Places) -> list[KnownTest]:
    """The pH in the other solution."""
    water, cacl2 = places("ph_water"), places("ph_cacl2")
    return [
        _of_estimate(places, "ph_water", ph_water_from_cacl2(cacl2)),
        _of_estimate(places, "ph_cacl2", ph_cacl2_from_water(water)),
    ]


def _carbon(places: _Places, factor: float | None) -> list[KnownTest]:
    """Total organic carbon where a factor was chosen, and organic matter."""
    found, total = [], places("total_oc")
    if factor is not None:
        carbon = total_carbon_from_walkley_black(places("organic_carbon"), factor=factor)
        told = _of_estimate(places, "total_oc", carbon)
        found.append(replace(told, grade=Grade.YOURS))  # the factor is theirs
        total = np.where(np.isnan(total), carbon.values, total)
    return [*found, _of_estimate(places, "organic_matter", organic_matter(total))]


def _esp(places: _Places) -> list[KnownTest]:
    """The share of sodium from the saturation extract."""
    basis = "from SAR of the saturation extract, which holds below 65"
    values = esp_from_sar(places("sar"))
    return [_estimated(places, "esp", values, basis=basis, by="richards-1954")]


def _pbi(places: _Places) -> list[KnownTest]:
    """The buffering index with Colwell P, from another form of it."""
    colwell = places("colwell_p")
    by_unadjusted = pbi_from_unadjusted(places("pbi_unadjusted"), colwell)
    by_olsen = pbi_from_olsen(places("pbi_olsen"), places("olsen_p"), colwell)
    values = np.where(np.isnan(by_unadjusted), by_olsen, by_unadjusted)
    basis = (
        "from another form of the index with Colwell P; a rate reads only the index that a "
        "sheet tells"
    )
    return [_estimated(places, "pbi", values, basis=basis, by="burkitt-2002")]


def _ece(places: _Places, way: str) -> tuple[KnownTest, ...]:
    """Conductivity of the saturation extract, or why it is not told."""
    extract = known_of(places.tests, "ec_1_5")
    if extract is None:
        return ()
    has_limit = np.isfinite(extract.values) & (extract.limits != Limit.NONE)
    why = np.where(has_limit, "it lacks EC 1:5 as a number", "")
    if way == BY_TEXTURE:
        return (_ece_by_texture(places, why),)
    if way:
        return (_ece_by_one_line(places, way, why),)
    return (_ece_by_all_lines(places, why),)


def _ece_by_texture(places: _Places, why: NDArray[np.str_]) -> KnownTest:
    """By the factor of the texture, which nobody verified."""
    extract = places("ec_1_5")
    no_factor = "there is no factor for its texture, or no texture is told"
    return _estimated(
        places,
        "ec_e",
        ece_by_texture(extract, grades_called(places.texture)),
        basis=f"from EC 1:5 by the factor of the texture in words; {_WITHOUT_GYPSUM}",
        by=ece_textures()[0].source,
        why=np.where(np.isfinite(extract), no_factor, why),
    )


def _ece_by_one_line(places: _Places, way: str, why: NDArray[np.str_]) -> KnownTest:
    """By the published line that was chosen."""
    line = next(line for line in ece_lines() if line.key == way)
    extract = places("ec_1_5")
    return _estimated(
        places,
        "ec_e",
        ece_by_line(extract, way),
        basis=f"from EC 1:5 by the line of {line.name}; {_ON_SANDS}; {_WITHOUT_GYPSUM}",
        by=line.source,
        why=np.where(np.isfinite(extract), "the line would go below zero", why),
    )


def _ece_by_all_lines(places: _Places, why: NDArray[np.str_]) -> KnownTest:
    """As the range that all published lines span, but for sands, which they do not suit."""
    extract, lines = places("ec_1_5"), ece_lines()
    by_word = clay_by_texture(places.texture).values
    clay = np.where(np.isnan(places.clay_percent), by_word, places.clay_percent)
    is_sand = clay <= _SAND_TO_CLAY_PERCENT
    each = np.stack([ece_by_line(extract, line.key) for line in lines])
    # a line that would go below zero leaves no salt at all as the least
    each = np.where(np.isnan(each) & np.isfinite(extract), 0.0, each)
    low, high = (np.where(is_sand, np.nan, end) for end in (each.min(axis=0), each.max(axis=0)))
    return _estimated(
        places,
        "ec_e",
        (low + high) / 2.0,
        basis=f"from EC 1:5, the least and the most of {len(lines)} published lines, which "
        f"know no texture; {_ON_SANDS}; {_WITHOUT_GYPSUM}",
        by=lines[0].source,
        ends=(low, high),
        why=np.where(is_sand & np.isfinite(extract), _NO_LINE_ON_SANDS, why),
    )


def _of_estimate(places: _Places, key: str, estimate: Estimate) -> KnownTest:
    """An estimate as a test that is known."""
    return _estimated(places, key, estimate.values, basis=estimate.basis, by=estimate.source)


def _estimated(
    places: _Places,
    key: str,
    values: _NUMBERS,
    *,
    basis: str,
    by: str,
    ends: tuple[_NUMBERS, _NUMBERS] | None = None,
    why: NDArray[np.str_] | str = "",
) -> KnownTest:
    """An estimate where a place does not have the test itself."""
    known, own = analyte(key), known_of(places.tests, key)
    is_own = np.zeros(values.shape, bool) if own is None else np.isfinite(own.values)
    is_out = is_own | (values < known.lowest) | (values > known.highest)
    left = np.where(is_out, np.nan, values)
    reason = np.where(is_own | (np.asarray(why) == ""), _NO_RESULT, why)
    low, high = (np.where(is_out, np.nan, end) for end in ends) if ends else (None, None)
    return KnownTest(
        known,
        left,
        np.full(values.shape, Limit.NONE, dtype="<U1"),
        basis,
        np.where(np.isnan(left), reason, "").astype(object),
        np.full(values.shape, "", dtype=object),
        is_estimate=True,
        is_worked_out=True,
        low=low,
        high=high,
        source=by,
        grade=source(by).grade,
    )
