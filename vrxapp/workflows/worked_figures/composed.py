"""Figures made of two functions of the core, one of which gives what the other takes."""

from numpy import float64
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.confidence import ClassChances, class_chances, mean_uncertainty
from vrxapp.agronomy.crop_removal import Nutrient, nutrient_removal, own_removal
from vrxapp.agronomy.lime_maintenance import lime_for_nitrogen, nitrogen_acidity
from vrxapp.agronomy.salt_tolerance import relative_yield_under_salt, salt_tolerance
from vrxapp.inputs.fertiliser_analysis import analysis_doubts
from vrxapp.inputs.products import Product


def crop_yield_under_salt(ece_ds_m: ArrayLike, crop: str) -> NDArray[float64]:
    r"""Yield of a crop under salt against the same crop without it.

    Parameters
    ----------
    ece_ds_m : array_like
        Conductivity of the saturation extract, mean of the root zone. [dS/m]
    crop : str
        Crop with its threshold and slope.

    Returns
    -------
    ndarray of float
        Relative yield, 0 to 100. [%]

    Raises
    ------
    SoilInputError
        If a conductivity is negative.
    UnknownChoiceError
        If there is no such crop.

    Notes
    -----
    .. math:: Y = 100 - b \, (EC_e - a)

    a, b: the crop's threshold and slope; never above 100 nor below 0.

    References
    ----------
    .. [1] fao-61-salt. Equation 1 of the annex on salt tolerance.

    Examples
    --------
    Potato, threshold 1.7 and slope 12, at 4 dS/m: 100 - 12 x 2.3.

    >>> crop_yield_under_salt([4.0], "potato")
    array([72.4])
    """
    known = salt_tolerance(crop)
    return relative_yield_under_salt(
        ece_ds_m,
        threshold_ds_m=known.threshold_ds_m,
        slope_percent_per_ds_m=known.slope_percent_per_ds_m,
    )


def lime_for_nitrogen_source(
    n_kg_ha: ArrayLike, nitrogen_source: str, *, leached_fraction: ArrayLike
) -> NDArray[float64]:
    r"""Pure lime that balances the acid of a source of nitrogen; below 0 it is a benefit.

    Parameters
    ----------
    n_kg_ha : array_like
        Nitrogen applied. [kg N/ha]
    nitrogen_source : str
        Source of the nitrogen.
    leached_fraction : array_like
        Share of the nitrogen lost as nitrate, 0 to 1; there is no default. [-]

    Returns
    -------
    ndarray of float
        Pure lime, CaCO3. [kg/ha]

    Raises
    ------
    SoilInputError
        If the nitrogen is negative or the share lies outside 0 to 1.
    UnknownChoiceError
        If there is no such source.

    Notes
    -----
    .. math:: L = 3.573 \, N \, (a + f)

    N: nitrogen applied; a: acid that the source leaves; f: share lost as nitrate.

    The equivalent acidity printed for whole products holds half of the nitrogen's acid
    already and is not added to this.

    References
    ----------
    .. [1] nsw-dpi-nitrogen. Confirms it for urea, ammonium nitrate and nitrates.
    .. [2] helyar-1989. The reasoning, from memory.

    Examples
    --------
    60 kg N/ha as urea, a quarter of it leached:

    >>> lime_for_nitrogen_source([60.0], "urea", leached_fraction=0.25).round(1)
    array([53.6])
    """
    acid = nitrogen_acidity(nitrogen_source).acid_mol_per_mol_n
    return lime_for_nitrogen(n_kg_ha, acid, leached_fraction=leached_fraction)


def removal_by_own_analysis(
    harvest: str,
    nutrient: Nutrient,
    *,
    yield_per_ha: ArrayLike,
    kg_per_unit: float,
    analysis: str,
    dry_matter_share: ArrayLike = 1.0,
) -> NDArray[float64]:
    r"""What a harvest carries away of a nutrient, by an analysis of one's own grain or hay.

    Parameters
    ----------
    harvest : str
        Harvest that was analysed.
    nutrient : Nutrient
        Element that was measured, never its oxide.
    yield_per_ha : array_like
        Harvest as it is weighed. [t/ha or 1000 L/ha]
    kg_per_unit : float
        The element in a tonne or 1000 L, from 0 to 1000. [kg]
    analysis : str
        Which analysis it comes from, in a few words.
    dry_matter_share : array_like, default 1
        Dry matter in the harvest, where the analysis counts dry matter but the harvest was
        weighed wet: 0.85 for most hay. [-]

    Returns
    -------
    ndarray of float
        The element carried away; NaN where an input is missing. [kg/ha]

    Raises
    ------
    MissingInputError
        If the figure is not possible or no analysis is named.
    SoilInputError
        If a value is negative or the share of dry matter above 1.

    Notes
    -----
    .. math:: removal = yield \times share \times content

    Examples
    --------
    >>> removal_by_own_analysis(
    ...     "wheat_grain", Nutrient.PHOSPHORUS, yield_per_ha=[4.0], kg_per_unit=2.7, analysis="own"
    ... )
    array([10.8])
    """
    own = own_removal(harvest, nutrient, kg_per_unit, reason=analysis)
    return nutrient_removal(yield_per_ha, own.kg_per_unit, dry_matter_share=dry_matter_share)


def chances_of_class(
    mean: ArrayLike,
    *,
    low: ArrayLike,
    high: ArrayLike,
    standard_error: ArrayLike,
    count: ArrayLike,
    laboratory_cv_percent: ArrayLike = float("nan"),
) -> ClassChances:
    r"""Chances that a place truly lies below, within and above a critical range.

    Parameters
    ----------
    mean : array_like
        Mean of each place. [its unit]
    low : array_like
        Lower end of the critical range. [the same unit]
    high : array_like
        Upper end; the same as the lower one for a single value. [the same unit]
    standard_error : array_like
        Standard error between the samples; ? for fewer than two samples. [the same unit]
    count : array_like
        Number of samples.
    laboratory_cv_percent : array_like, default NaN
        Coefficient of variation between laboratories; leave it out to compare zones of one
        batch. [%]

    Returns
    -------
    ClassChances
        NaN where nothing can be told.

    Raises
    ------
    SoilInputError
        If a value is negative, or the range ends before it begins.

    Notes
    -----
    .. math:: s^2 = s_m^2 + (CV \, m / 100)^2, \quad \nu = (n - 1) \, s^4 / s_m^4

    s_m: standard error between the samples; CV: variation between laboratories; m: mean; n:
    number of samples. The chances are Student's t with ν degrees of freedom.

    References
    ----------
    .. [1] rayment-lyons-2011. Coefficients of variation, Table App. 2.1.

    Examples
    --------
    Five samples with mean 23 and standard error 2, against a range from 19 to 27:

    >>> chances_of_class(
    ...     [23.0], low=19.0, high=27.0, standard_error=[2.0], count=5
    ... ).within.round(3)
    array([0.884])
    """
    known = mean_uncertainty(
        mean, standard_error, count, laboratory_cv_percent=laboratory_cv_percent
    )
    return class_chances(mean, known, low=low, high=high)


def label_doubts(p_percent: float, k_percent: float = 0.0) -> tuple[str, ...]:
    """Why the numbers of a label can hardly be elemental: are they oxides?

    Parameters
    ----------
    p_percent : float
        Phosphorus as the label prints it. [%]
    k_percent : float, default 0
        Potassium as the label prints it. [%]

    Returns
    -------
    tuple of str
        Doubts; none where the numbers can be elemental.

    References
    ----------
    .. [1] prohaska-2022. What the pure compounds hold.

    Examples
    --------
    >>> label_doubts(52.0)
    ('52 % P is more than pure MAP holds (26.9 %): is it the oxide? As P2O5 it is 22.7 % P',)
    """
    return analysis_doubts(Product("label", "the label", 0.0, p_percent, k_percent, 0.0))
