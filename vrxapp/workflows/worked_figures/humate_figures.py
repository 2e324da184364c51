"""Figures of humates: their proportion to the soil, what they must earn, metals and claims."""

from vrxapp.agronomy import (
    humate_break_even,
    humate_claims,
    humate_credits,
    humate_proportion,
    humates,
    humic_charge,
)
from vrxapp.inputs import blend_flow, humate_inclusion, humate_metals
from vrxapp.inputs.products import product_called, typical_products
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.table_choices import bulk_densities, listed

NO_CREDIT = "The humate brings no credit: neither nutrients nor yield are counted for it."
"""To be shown beside an inclusion [program-choice]."""

_DENSITY = {"bulk_density_t_m3": bulk_densities}
_PRODUCTS = listed(typical_products, find=lambda key: product_called(key, typical_products()))

HUMATES = (
    WorkedFigure(
        "humate-cec-added",
        "Exchange capacity that a humate adds",
        Subject.HUMATES,
        humates.cec_added,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "humic-charge",
        "Charge of a humic acid at a pH",
        Subject.HUMATES,
        humic_charge.charge_at_ph,
    ),
    WorkedFigure(
        "band-soil-mass",
        "Soil of fertiliser bands under a hectare",
        Subject.HUMATES,
        humate_proportion.band_soil_mass,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "carbon-share",
        "Carbon of a dose beside the soil's",
        Subject.HUMATES,
        humate_proportion.carbon_share_percent,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "charge-of-dose", "Charge of a dose", Subject.HUMATES, humate_proportion.charge_of_dose
    ),
    WorkedFigure(
        "charge-per-phosphorus",
        "Charge of a dose beside phosphorus",
        Subject.HUMATES,
        humate_proportion.charge_per_phosphorus,
    ),
    WorkedFigure(
        "field-rate-of-pot-dose",
        "Dose of a pot trial in the paddock",
        Subject.HUMATES,
        humate_proportion.field_rate_of_pot_dose,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "humate-yield-that-pays",
        "Extra yield that pays for a humate",
        Subject.HUMATES,
        humate_break_even.yield_that_pays,
    ),
    WorkedFigure(
        "humate-net-of-cut",
        "Money left when fertiliser is cut",
        Subject.HUMATES,
        humate_break_even.net_of_cut,
        cautions=(humate_break_even.CUT_IS_NO_PROOF,),
    ),
    WorkedFigure(
        "humate-loss-that-eats-it",
        "Loss of yield that eats up the money of a cut",
        Subject.HUMATES,
        humate_break_even.yield_loss_that_eats_it,
        cautions=(humate_break_even.CUT_IS_NO_PROOF,),
    ),
    WorkedFigure(
        "humate-with-starter",
        "Humate taken in with a starter",
        Subject.HUMATES,
        humate_inclusion.included_humate,
        choices={"starter": _PRODUCTS, "humate": _PRODUCTS},
        cautions=(NO_CREDIT, blend_flow.FLOW_CAUTION),
    ),
    WorkedFigure(
        "starter-in-mix",
        "Starter in a mix with humate",
        Subject.HUMATES,
        humate_inclusion.starter_in_mix,
    ),
    WorkedFigure(
        "nutrient-of-mix",
        "Nutrient of a mix with humate",
        Subject.HUMATES,
        humate_inclusion.nutrient_of_mix_percent,
        cautions=(NO_CREDIT,),
    ),
    WorkedFigure(
        "starter-rate-at-cap",
        "Starter above which the cap holds humate back",
        Subject.HUMATES,
        humate_inclusion.starter_rate_at_cap,
    ),
    WorkedFigure(
        "humate-metals",
        "Metals of a humate above the limit",
        Subject.HUMATES,
        humate_metals.metals_above_limit,
        choices={"content_mg_kg": listed(humate_metals.humate_metal_limits, key="metal")},
    ),
    WorkedFigure(
        "metal-load", "Metal that a dose brings", Subject.HUMATES, humate_metals.metal_load
    ),
    WorkedFigure(
        "metal-rise",
        "Rise of a metal in the soil",
        Subject.HUMATES,
        humate_metals.metal_rise,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "humate-claim",
        "What stands behind a claim",
        Subject.HUMATES,
        humate_claims.told_claim,
        choices={
            "claim": listed(
                humate_claims.humate_claims,
                key="id",
                name="claim",
                find=humate_claims.humate_claim,
            )
        },
    ),
    WorkedFigure(
        "humate-credits",
        "What may be credited to a humate",
        Subject.HUMATES,
        humate_credits.humate_credits,
    ),
)
