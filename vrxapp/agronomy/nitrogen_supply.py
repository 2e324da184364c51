"""Nitrogen that a soil brings: mineral nitrogen by layer, mineralisation, the legume before."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import all_claims, first_claim
from vrxapp.agronomy.figures import Figure, FigureTable, figure
from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.errors import SoilInputError
from vrxapp.units import mass_fraction

_MG_PER_KG_IN_KG_PER_T = 1e-3  # 1 mg/kg is 1 g/t


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MineralNitrogen:
    """Mineral nitrogen of each place, and of each of its layers.

    Parameters
    ----------
    total_kg_ha : ndarray of float
        Sum of the layers; NaN where a layer's nitrate was not measured. [kg N/ha]
    layer_kg_ha : ndarray of float
        Shape (layers, places). [kg N/ha]
    layer_mass_t_ha : ndarray of float
        Fine earth of each layer, shape (layers, places). [t/ha]
    depth_cm : float
        How deep the layers reach. [cm]
    reason : ndarray of object
        Text why there is no total; empty elsewhere.
    doubt : ndarray of object
        Text why a total is less sure; empty elsewhere.
    """

    total_kg_ha: NDArray[np.float64]
    layer_kg_ha: NDArray[np.float64]
    layer_mass_t_ha: NDArray[np.float64]
    depth_cm: float
    reason: NDArray[np.object_]
    doubt: NDArray[np.object_]


def nitrate_nitrogen(nitrate_mg_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Nitrogen in a nitrate that the laboratory gives as NO3, not as nitrogen.

    Parameters
    ----------
    nitrate_mg_kg : array_like
        Nitrate as the ion. [mg NO3/kg]

    Returns
    -------
    ndarray of float
        Nitrogen in it. [mg N/kg]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: N = NO_3 \, M_N / M_{NO_3} = NO_3 / 4.427

    M: masses by formula.

    References
    ----------
    .. [1] rayment-lyons-2011. Table App. 5.4: one part of nitrogen is in 4.427 of nitrate.

    Examples
    --------
    >>> nitrate_nitrogen([62.0]).round(1)
    array([14.])
    """
    require_at_least_zero(nitrate_mg_kg=nitrate_mg_kg)
    return np.asarray(nitrate_mg_kg, dtype=float) * mass_fraction("N", "NO3")


def mineral_nitrogen(
    nitrate_n_mg_kg: ArrayLike,
    *,
    top_cm: ArrayLike,
    bottom_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    ammonium_n_mg_kg: ArrayLike = np.nan,
    gravel_fraction: ArrayLike = 0.0,
) -> MineralNitrogen:
    r"""Mineral nitrogen down to the lowest layer, by each layer's own mass of fine earth.

    Parameters
    ----------
    nitrate_n_mg_kg : array_like
        Nitrate as nitrogen, shape (layers, places). [mg N/kg]
    top_cm, bottom_cm : array_like
        Ends of the layers from the top down, shape (layers,). [cm]
    bulk_density_t_m3 : array_like
        Of each layer, shape (layers,) or (layers, places), above 0. [t/m³]
    ammonium_n_mg_kg : array_like, default NaN
        Ammonium as nitrogen, shape (layers, places); where it was not measured nitrate
        alone counts, with a doubt. [mg N/kg]
    gravel_fraction : array_like, default 0
        Stones over 2 mm by volume, shape as the density. [-]

    Returns
    -------
    MineralNitrogen
        Total of each place and nitrogen of each layer. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or layers overlap or leave a gap.

    Notes
    -----
    .. math:: N = \sum 10^{-3} \, c \, 100 \, d \, \rho \, (1 - g)

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1: 10 cm at 1.0 g/cm³ is 1000 t/ha.

    Examples
    --------
    Two layers, 0-10 cm at 1.3 t/m³ and 10-60 cm at 1.5 t/m³:

    >>> found = mineral_nitrogen([[12.0], [5.0]], top_cm=[0, 10], bottom_cm=[10, 60],
    ...     bulk_density_t_m3=[1.3, 1.5], ammonium_n_mg_kg=[[2.0], [1.0]])
    >>> found.layer_kg_ha.round(1).tolist(), found.total_kg_ha.round(1).tolist()
    ([[18.2], [45.0]], [63.2])
    """
    require_at_least_zero(nitrate_n_mg_kg=nitrate_n_mg_kg, ammonium_n_mg_kg=ammonium_n_mg_kg)
    top, bottom = (np.atleast_1d(np.asarray(end, dtype=float)) for end in (top_cm, bottom_cm))
    _refuse_layers(top, bottom)
    nitrate = _by_layer(nitrate_n_mg_kg, len(top))
    if len(nitrate) != len(top):
        raise SoilInputError(
            f"there is nitrate of one layer, but {len(top)} layers",
            mend="Give one row of nitrate for each layer",
        )
    ammonium = np.broadcast_to(_by_layer(ammonium_n_mg_kg, len(top)), nitrate.shape)
    mass = soil_mass(
        (bottom - top)[:, np.newaxis],
        _by_layer(bulk_density_t_m3, len(top)),
        gravel_fraction=_by_layer(gravel_fraction, len(top)),
    )
    mass = np.broadcast_to(mass, nitrate.shape)
    layers = mass * (nitrate + np.nan_to_num(ammonium)) * _MG_PER_KG_IN_KG_PER_T
    total = np.asarray(layers.sum(axis=0))
    is_shallow = bottom[-1] < figure(FigureTable.NITROGEN, "shallow_above").value
    return MineralNitrogen(
        total_kg_ha=total,
        layer_kg_ha=layers,
        layer_mass_t_ha=mass,
        depth_cm=float(bottom[-1]),
        reason=first_claim(
            [
                (
                    np.asarray(np.any(np.isnan(layers), axis=0)),
                    "nitrate or the density of a layer is not known",
                )
            ]
        ),
        doubt=all_claims(
            [
                (
                    np.asarray(np.any(np.isnan(ammonium), axis=0)),
                    "ammonium was not measured in all layers",
                ),
                (
                    np.full(total.shape, is_shallow),
                    f"sampled to {bottom[-1]:g} cm only, and roots find nitrogen below",
                ),
            ]
        ),
    )


def in_crop_mineralisation(
    organic_carbon_percent: ArrayLike, growing_season_rain_mm: ArrayLike
) -> NDArray[np.float64]:
    r"""Nitrogen that organic matter sets free while the crop grows, by the rule of thumb.

    It is best after the fact, when the rain is known. A Victorian study found net
    values from -230 to +192 kg N/ha [1]_ and another up to 116 with a median of 33 [2]_;
    `mineralisation_range` tells half more and half less.

    Parameters
    ----------
    organic_carbon_percent : array_like
        Organic carbon of the top 10 cm, Walkley-Black, uncorrected. [%]
    growing_season_rain_mm : array_like
        Rain while the crop grows. [mm]

    Returns
    -------
    ndarray of float
        Nitrogen set free, at most 150. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: ICM = 0.15 \, OC \, GSR

    References
    ----------
    .. [1] grdc-mineralisation. How good are in-crop mineralisation predictions?
    .. [2] grdc-2020-mineralisation. Victorian cropping systems.

    Examples
    --------
    >>> in_crop_mineralisation([1.2, 0.8], [300.0, 250.0])
    array([54., 30.])
    """
    require_at_least_zero(
        organic_carbon_percent=organic_carbon_percent,
        growing_season_rain_mm=growing_season_rain_mm,
    )
    factor = figure(FigureTable.NITROGEN, "mineralisation").value
    free = factor * np.multiply(organic_carbon_percent, growing_season_rain_mm, dtype=float)
    return np.asarray(np.minimum(free, _ceiling_kg_ha()))


def mineralisation_range(
    mineralised_kg_ha: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Least and most that the mineralisation may well have been.

    Parameters
    ----------
    mineralised_kg_ha : array_like
        What `in_crop_mineralisation` tells. [kg N/ha]

    Returns
    -------
    tuple of two ndarrays of float
        Half less and half more, the most at 150: a choice of this program, and mild
        beside what was measured. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Examples
    --------
    >>> [end.tolist() for end in mineralisation_range([54.0])]
    [[27.0], [81.0]]
    """
    require_at_least_zero(mineralised_kg_ha=mineralised_kg_ha)
    free = np.asarray(mineralised_kg_ha, dtype=float)
    spread = figure(FigureTable.NITROGEN, "mineralisation_spread").value
    return free * (1.0 - spread), np.minimum(free * (1.0 + spread), _ceiling_kg_ha())


def legume_nitrogen(amount: ArrayLike, by: Figure) -> NDArray[np.float64]:
    """Mineral nitrogen that the legume before brings beyond what a cereal would have left.

    It is what a soil test in the autumn after finds, so it is never added to such a test.

    Parameters
    ----------
    amount : array_like
        Grain, shoots left or summer rain, as the figure counts it.
    by : Figure
        Nitrogen for one of them: ``legume_grain``, ``legume_shoots`` or
        ``legume_fallow_rain`` of the nitrogen figures, or one of the agronomist's own.

    Returns
    -------
    ndarray of float
        Nitrogen of the legume. [kg N/ha]

    Raises
    ------
    SoilInputError
        If an amount is negative.

    References
    ----------
    .. [1] peoples-2017. 16 dryland experiments in eastern Australia.

    Examples
    --------
    >>> legume_nitrogen([1.5], figure(FigureTable.NITROGEN, "legume_grain"))
    array([27.])
    """
    require_at_least_zero(amount=amount)
    return np.asarray(np.asarray(amount, dtype=float) * by.value)


def _ceiling_kg_ha() -> float:
    """Most nitrogen that mineralisation is trusted for. [kg N/ha]"""
    return figure(FigureTable.NITROGEN, "mineralisation_ceiling").value


def _refuse_layers(top: NDArray[np.float64], bottom: NDArray[np.float64]) -> None:
    """Refuse layers that are empty, overlap, or leave a gap."""
    if top.shape != bottom.shape or not np.all(bottom > top):
        raise SoilInputError(
            "each layer must end below where it starts",
            mend="Give top_cm and bottom_cm of each layer, from the top down",
        )
    apart = np.flatnonzero(top[1:] != bottom[:-1])
    if len(apart):
        above, below = int(apart[0]), int(apart[0]) + 1
        what = "overlap" if top[below] < bottom[above] else "leave a gap"
        raise SoilInputError(
            f"the layers {top[above]:g}-{bottom[above]:g} cm and "
            f"{top[below]:g}-{bottom[below]:g} cm {what}",
            mend="Give layers that follow one another, so that no soil counts twice or not at all",
        )


def _by_layer(values: ArrayLike, layer_count: int) -> NDArray[np.float64]:
    """Values of shape (layers, places): one value a layer holds for all its places."""
    column = np.asarray(values, dtype=float)
    shaped = column[:, np.newaxis] if column.ndim == 1 else np.atleast_2d(column)
    if shaped.shape[0] not in (1, layer_count):
        raise SoilInputError(
            f"there are values for {shaped.shape[0]} layers, but {layer_count} layers",
            mend="Give one row of values for each layer",
        )
    return shaped
