"""What earlier years left: lime, a legume, phosphorus; told, and never taken off unasked."""

import math
from dataclasses import dataclass
from enum import StrEnum

from vrxapp.agronomy.figures import Figure, FigureTable, figure
from vrxapp.agronomy.nitrogen_supply import legume_nitrogen
from vrxapp.errors import MissingInputError
from vrxapp.units import PERCENT

_MOST_LIME_T_HA = 50.0
_MOST_NV_PERCENT = 180.0  # pure burnt lime is 178


class CropBefore(StrEnum):
    """What grew the year before."""

    NOT_TOLD = "not told"
    PULSE = "pulse"
    LEGUME_PASTURE = "legume pasture"
    NO_LEGUME = "no legume"


@dataclass(frozen=True, slots=True)
class LimeSpread:
    """Lime of an earlier year.

    Parameters
    ----------
    year : int
        When it was spread.
    rate_t_ha : float
        Lime as spread. [t/ha]
    effective_nv_percent : float
        Its effective neutralising value; NaN where not told. [%]
    lies_on_top : bool
        Whether it was never worked in.
    """

    year: int
    rate_t_ha: float
    effective_nv_percent: float = math.nan
    lies_on_top: bool = False

    def __post_init__(self) -> None:
        """Refuse a rate or a value that no lime has."""
        if not 0.0 < self.rate_t_ha <= _MOST_LIME_T_HA:
            raise MissingInputError(
                f"{self.rate_t_ha:g} t/ha of lime is not possible",
                mend=f"Give tonnes per hectare, above 0 and up to {_MOST_LIME_T_HA:g}",
            )
        if self.effective_nv_percent <= 0 or self.effective_nv_percent > _MOST_NV_PERCENT:
            raise MissingInputError(
                f"an effective neutralising value of {self.effective_nv_percent:g} % is not "
                "possible",
                mend=f"Give per cent, above 0 and up to {_MOST_NV_PERCENT:g}, or leave it out",
            )


@dataclass(frozen=True, slots=True)
class PaddockHistory:
    """What earlier years left on a paddock.

    Parameters
    ----------
    season_year : int
        Year of the planned season, from which ages are counted.
    limes : tuple of LimeSpread
        Lime of earlier years.
    crop_before : CropBefore
        What grew the year before.
    legume_t_ha : float
        Grain of the pulse, or dry shoots that the legume pasture left; NaN where not
        told. [t/ha]
    phosphorus_before_kg_ha : float
        Fertiliser phosphorus of the year before; NaN where not told. [kg P/ha]
    """

    season_year: int
    limes: tuple[LimeSpread, ...] = ()
    crop_before: CropBefore = CropBefore.NOT_TOLD
    legume_t_ha: float = math.nan
    phosphorus_before_kg_ha: float = math.nan

    def __post_init__(self) -> None:
        """Refuse years and amounts that cannot be."""
        if not 1950 <= self.season_year <= 2100:
            raise MissingInputError(
                f"{self.season_year} is no year of a season", mend="Give it as 2026"
            )
        late = [lime.year for lime in self.limes if not 1900 <= lime.year <= self.season_year]
        if late:
            raise MissingInputError(
                f"lime of {late[0]} was not spread before the season of {self.season_year}",
                mend="Give the year in which it was spread",
            )
        for name, amount, most in (
            ("legume", self.legume_t_ha, 50.0),
            ("phosphorus", self.phosphorus_before_kg_ha, 500.0),
        ):
            if amount < 0 or amount > most:
                raise MissingInputError(
                    f"{amount:g} of {name} is not possible", mend=f"Give from 0 to {most:g}"
                )


@dataclass(frozen=True, slots=True)
class LegumeOffer:
    """Nitrogen that the legume before may have left, to be taken up by hand.

    Parameters
    ----------
    n_kg_ha, low_kg_ha, high_kg_ha : float
        Beyond what a cereal would have left, and its published range. [kg N/ha]
    by : Figure
        The figure behind it, with its source.
    """

    n_kg_ha: float
    low_kg_ha: float
    high_kg_ha: float
    by: Figure


def legume_offer(history: PaddockHistory) -> LegumeOffer | None:
    """Nitrogen of the legume before, offered where no soil test was taken after it.

    Parameters
    ----------
    history : PaddockHistory
        What earlier years left.

    Returns
    -------
    LegumeOffer or None
        None where no legume grew, or its amount was not told.

    References
    ----------
    .. [1] peoples-2017. 16 dryland experiments in eastern Australia.

    Examples
    --------
    >>> offer = legume_offer(PaddockHistory(2026, crop_before=CropBefore.PULSE, legume_t_ha=1.5))
    >>> offer.n_kg_ha, offer.low_kg_ha, offer.high_kg_ha
    (27.0, 13.5, 40.5)
    """
    keys = {CropBefore.PULSE: "legume_grain", CropBefore.LEGUME_PASTURE: "legume_shoots"}
    if history.crop_before not in keys or math.isnan(history.legume_t_ha):
        return None
    by = figure(FigureTable.NITROGEN, keys[history.crop_before])
    return LegumeOffer(
        float(legume_nitrogen(history.legume_t_ha, by)),
        history.legume_t_ha * by.low,
        history.legume_t_ha * by.high,
        by,
    )


def reacting_limes(history: PaddockHistory) -> tuple[LimeSpread, ...]:
    """Lime that was spread so lately that coarse particles of it may still react.

    Parameters
    ----------
    history : PaddockHistory
        What earlier years left.

    Returns
    -------
    tuple of LimeSpread
        How much of each is left nobody can tell, so nothing is taken off a need.

    References
    ----------
    .. [1] missouri-lime-2013. Three to four years after application.

    Examples
    --------
    >>> old, late = LimeSpread(2015, 2.0), LimeSpread(2023, 2.0)
    >>> [lime.year for lime in reacting_limes(PaddockHistory(2026, (old, late)))]
    [2023]
    """
    years = figure(FigureTable.HISTORY, "lime_reaction").value
    return tuple(lime for lime in history.limes if history.season_year - lime.year <= years)


def pure_lime_t_ha(lime: LimeSpread) -> float:
    """Lime of an earlier year as pure calcium carbonate.

    Parameters
    ----------
    lime : LimeSpread
        Rate and effective neutralising value.

    Returns
    -------
    float
        NaN where its value was not told. [t CaCO3/ha]

    Examples
    --------
    >>> pure_lime_t_ha(LimeSpread(2023, 2.0, 85.0))
    1.7
    """
    return lime.rate_t_ha * lime.effective_nv_percent / PERCENT
