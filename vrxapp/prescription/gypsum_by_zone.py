"""Gypsum needs of the zones."""

from vrxapp.agronomy.gypsum_need import gypsum_need
from vrxapp.agronomy.gypsum_values import GypsumSoil
from vrxapp.need_plans import GypsumPlan
from vrxapp.prescription.rule_by_zone import zone_need
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_place import PlaceResults

GYPSUM_ANALYTES = ("exch_na", "cec", "ec_e")


def gypsum_by_zone(results: tuple[PlaceResults, ...], plan: GypsumPlan) -> ZoneNeed:
    """Pure gypsum that each zone needs this year, with the trail.

    Parameters
    ----------
    results : tuple of PlaceResults
        Results of `GYPSUM_ANALYTES` for the top 10 cm.
    plan : GypsumPlan
        Method, target and what the test of dispersion showed.

    Returns
    -------
    ZoneNeed
        Pure gypsum. [t CaSO4.2H2O/ha]
    """
    sodium, capacity, salts = (result.mean for result in results)
    soil = GypsumSoil(
        sodium_cmol_kg=sodium,
        cec_cmol_kg=capacity,
        dispersion=plan.dispersion,
        bulk_density_t_m3=plan.bulk_density_t_m3,
        ece_ds_m=salts,
        texture=plan.texture,
    )
    return zone_need(gypsum_need(plan.method, soil, choices=plan.choices), results)
