"""Lime read from a printed table: by buffer pH, by texture, by effective CEC."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

_CARBON_ADDITION_T_HA, _CARBON_ABOVE_PERCENT = 0.4, 1.2  # sfs-lime
_QUEENSLAND_TARGETS = (5.5, 6.5)
_ECEC_TARGETS = (5.2, 5.5)
_ECEC_STARTS = (4.0, 4.3, 4.7, *_ECEC_TARGETS)


@dataclass(frozen=True, slots=True)
class LimeTexture:
    """How far a tonne of pure lime lifts the pH of a texture, and when to incorporate."""

    texture: str
    ph_rise_per_t_ha: float
    incorporate_above_t_ha: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class _BufferPhRow:
    buffer_ph: float
    to_ph_water_5_5_t_ha: float
    to_ph_water_6_5_t_ha: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class _EcecRow:
    ecec_cmol_kg: float
    from_4_0_to_5_2_t_ha: float
    from_4_3_to_5_2_t_ha: float
    from_4_7_to_5_2_t_ha: float
    from_5_2_to_5_5_t_ha: float
    source: str
    where: str
    grade: Grade


def lime_textures() -> tuple[LimeTexture, ...]:
    """The textures of the texture rule, unverified."""
    return read_table("lime_textures.csv", LimeTexture)


def lime_by_buffer_table(buffer_ph: ArrayLike, *, target_ph_water: float) -> NDArray[np.float64]:
    """Lime for 10 cm from the buffer pH, by the Queensland table.

    Straight lines join the printed rows, a choice of this program.

    Parameters
    ----------
    buffer_ph : array_like
        pH of the soil in the buffer, 4.5 to 6.5; outside it the result is NaN. [pH]
    target_ph_water : float
        pH in water to be reached: 5.5 or 6.5. [pH]

    Returns
    -------
    ndarray of float
        Lime for 10 cm; under 0.5 is given as 0.5. [t/ha]

    Raises
    ------
    SoilInputError
        If the target is neither 5.5 nor 6.5.

    References
    ----------
    .. [1] aitken-1995. In Rayment and Lyons 2011, Table 16.2.

    Examples
    --------
    >>> lime_by_buffer_table([5.5], target_ph_water=6.5)
    array([5.7])
    """
    if target_ph_water not in _QUEENSLAND_TARGETS:
        raise SoilInputError(
            "the buffer table is made for pH in water 5.5 and 6.5 alone",
            value=f"{target_ph_water:g}",
            mend="Choose 5.5 or 6.5, in water",
        )
    rows = read_table("lime_buffer_ph.csv", _BufferPhRow)
    to_low = target_ph_water == _QUEENSLAND_TARGETS[0]
    needs = [row.to_ph_water_5_5_t_ha if to_low else row.to_ph_water_6_5_t_ha for row in rows]
    measured = np.asarray(buffer_ph, dtype=float)
    known = [row.buffer_ph for row in rows]
    return np.asarray(np.interp(measured, known, needs, left=np.nan, right=np.nan))


def lime_by_texture(
    ph_gap: ArrayLike, texture: ArrayLike, *, organic_carbon_percent: ArrayLike = np.nan
) -> NDArray[np.float64]:
    r"""Pure lime that lifts 10 cm by a gap, by texture in south-east Australia.

    Unverified: decimal points of the source were restored.

    Parameters
    ----------
    ph_gap : array_like
        Target less present pH. [pH]
    texture : array_like of str
        Sand, sandy loam, clay loam or clay; any other gives NaN.
    organic_carbon_percent : array_like, default NaN
        Above 1.2 % it adds 0.4 t/ha; where missing nothing is added. [%]

    Returns
    -------
    ndarray of float
        Pure CaCO3 for 10 cm; zero where there is no gap. [t/ha]

    Raises
    ------
    SoilInputError
        If the carbon is negative.

    Notes
    -----
    .. math:: L = \Delta pH / rise

    References
    ----------
    .. [1] sfs-lime. Southern Farming Systems, Victoria.

    Examples
    --------
    >>> lime_by_texture([1.0, 0.0], ["clay loam", "sand"]).round(2)
    array([2.7, 0. ])
    """
    require_at_least_zero(organic_carbon_percent=organic_carbon_percent)
    named, rows = np.char.lower(np.asarray(texture, dtype=str)), lime_textures()
    rise = np.select([named == r.texture for r in rows], [r.ph_rise_per_t_ha for r in rows], np.nan)
    gap = np.asarray(ph_gap, dtype=float)
    rich = np.asarray(organic_carbon_percent, dtype=float) > _CARBON_ABOVE_PERCENT
    need = np.maximum(gap, 0.0) / rise
    return np.asarray(need + np.where(rich & (gap > 0), _CARBON_ADDITION_T_HA, 0.0))


def lime_by_ecec(
    ecec_cmol_kg: ArrayLike, ph_cacl2: ArrayLike, *, target_ph_cacl2: float = 5.2
) -> NDArray[np.float64]:
    """Fine limestone that lifts 10 cm to a pH(CaCl2), by effective CEC, New South Wales.

    Unverified: every cell of the table is from memory. Straight lines join the cells;
    to 5.5 the step from 5.2 to 5.5 is added.

    Parameters
    ----------
    ecec_cmol_kg : array_like
        Effective CEC, 1 to 15; outside it the result is NaN. [cmol(+)/kg]
    ph_cacl2 : array_like
        Present pH in calcium chloride; NaN below 4.0, zero at the target. [pH]
    target_ph_cacl2 : float, default 5.2
        pH in calcium chloride to be reached: 5.2 or 5.5. [pH]

    Returns
    -------
    ndarray of float
        Limestone of a neutralising value over 95 %. [t/ha]

    Raises
    ------
    SoilInputError
        If the target is neither 5.2 nor 5.5.

    References
    ----------
    .. [1] upjohn-2005. Agfact AC.19.

    Examples
    --------
    >>> lime_by_ecec([5.0, 4.5], 4.3).round(2)
    array([2.5, 2.3])
    """
    if target_ph_cacl2 not in _ECEC_TARGETS:
        raise SoilInputError(
            "the table by effective CEC is made for pH in calcium chloride 5.2 and 5.5 alone",
            value=f"{target_ph_cacl2:g}",
            mend="Choose 5.2 or 5.5, in calcium chloride",
        )
    rows = read_table("lime_ecec.csv", _EcecRow)
    steps = np.array(
        [
            (r.from_4_0_to_5_2_t_ha, r.from_4_3_to_5_2_t_ha, r.from_4_7_to_5_2_t_ha, 0.0, 0.0)
            for r in rows
        ]
    )
    if target_ph_cacl2 == _ECEC_TARGETS[1]:
        # the last column is the step from 5.2 to 5.5, which every lower start needs too
        steps[:, :4] += np.array([[r.from_5_2_to_5_5_t_ha] for r in rows])
    ecec, ph = np.broadcast_arrays(
        np.asarray(ecec_cmol_kg, dtype=float), np.asarray(ph_cacl2, dtype=float)
    )
    sizes = [row.ecec_cmol_kg for row in rows]
    by_start = [np.interp(ecec, sizes, steps[:, i], left=np.nan, right=np.nan) for i in range(5)]
    return _between_starts(ph, by_start)


def _between_starts(
    ph: NDArray[np.float64], needs: list[NDArray[np.float64]]
) -> NDArray[np.float64]:
    """Needs interpolated between the starting pH of the columns, zero from the last one on."""
    result = np.where(ph >= _ECEC_STARTS[-1], needs[-1], np.nan)
    for i in range(len(needs) - 1):
        low, high = _ECEC_STARTS[i], _ECEC_STARTS[i + 1]
        share = (ph - low) / (high - low)
        between = needs[i] + share * (needs[i + 1] - needs[i])
        result = np.where((ph >= low) & (ph < high), between, result)
    return result


def incorporation_limit(texture: ArrayLike) -> NDArray[np.float64]:
    """Lime above which it is worked in or split, the lowest told one where none is told.

    Parameters
    ----------
    texture : array_like of str
        Texture of each place.

    Returns
    -------
    ndarray of float
        Limit. [t/ha]

    References
    ----------
    .. [1] sfs-lime. Southern Farming Systems, Victoria.

    Examples
    --------
    >>> incorporation_limit(["clay loam", ""])
    array([4., 2.])
    """
    named = np.char.lower(np.asarray(texture, dtype=str))
    told = [row for row in lime_textures() if np.isfinite(row.incorporate_above_t_ha)]
    lowest = min(row.incorporate_above_t_ha for row in told)
    return np.select(
        [named == row.texture for row in told],
        [row.incorporate_above_t_ha for row in told],
        lowest,
    )
