"""Gypsum needs of the zones."""

from dataclasses import replace

import numpy as np

from vrxapp.agronomy.claims import both_texts, first_claim
from vrxapp.agronomy.gypsum_need import gypsum_need
from vrxapp.agronomy.gypsum_values import GypsumSoil
from vrxapp.need_plans import GypsumPlan
from vrxapp.prescription.rule_by_zone import zone_need
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.prescription.zone_textures import texture_steps, zone_textures
from vrxapp.soil.by_place import PlaceResults

GYPSUM_ANALYTES = ("exch_na", "cec", "ecec", "ec_e")
_STANDS_IN = "the effective CEC stands in for the CEC, which was not measured"


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
        Pure gypsum. [t gypsum/ha]
    """
    sodium, full, effective, salts = (result.mean for result in results)
    stands_in = np.isnan(full) & ~np.isnan(effective)
    soil = GypsumSoil(
        sodium_cmol_kg=sodium,
        cec_cmol_kg=np.where(stands_in, effective, full),
        dispersion=plan.dispersion,
        bulk_density_t_m3=plan.bulk_density_t_m3,
        ece_ds_m=salts,
        texture=zone_textures(results, plan.texture, count=len(sodium)),
    )
    found = gypsum_need(plan.method, soil, choices=plan.choices)
    known = stands_in & ~np.isnan(found.amount)
    doubt = both_texts(found.doubt, first_claim([(known, _STANDS_IN)]))
    told = texture_steps(results, plan.texture, count=len(sodium))
    return zone_need(replace(found, doubt=doubt), results, told)
