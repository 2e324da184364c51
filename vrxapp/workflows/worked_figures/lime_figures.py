"""Figures of lime and gypsum: what a product does, what it costs, what acid asks for."""

from vrxapp.agronomy import gypsum, gypsum_quality, lime_maintenance, lime_quality
from vrxapp.agronomy.lime_tables import lime_textures
from vrxapp.workflows.worked_figures.composed import lime_for_nitrogen_source
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.table_choices import bulk_densities, listed, words

LIME_DUST = (
    "Burnt and slaked lime burn eyes, skin and lungs: keep to the label and the safety data sheet."
)
"""To be shown where a product may be caustic [label-and-law]."""

LIME = (
    WorkedFigure(
        "lime-value-by-size",
        "Effective value from sieve classes",
        Subject.LIME,
        lime_quality.effective_nv_by_size,
    ),
    WorkedFigure(
        "lime-fineness",
        "Fineness of a lime from four mesh classes",
        Subject.LIME,
        lime_quality.fineness_by_mesh,
    ),
    WorkedFigure(
        "lime-available-value",
        "Available value of a lime as delivered",
        Subject.LIME,
        lime_quality.available_value,
    ),
    WorkedFigure(
        "lime-pure-value",
        "Neutralising value of a pure compound",
        Subject.LIME,
        lime_quality.pure_neutralising_value,
        offers={"formula": words("CaCO3", "CaMgC2O6", "CaO", "CaH2O2", "MgO", "MgCO3")},
        cautions=(LIME_DUST,),
    ),
    WorkedFigure(
        "lime-product-rate",
        "Rate of a lime product",
        Subject.LIME,
        lime_quality.lime_product_rate,
    ),
    WorkedFigure(
        "lime-effective-cost",
        "Cost of a tonne that works",
        Subject.LIME,
        lime_quality.effective_cost,
    ),
    WorkedFigure(
        "lime-too-much-on-top",
        "Too much lime on top?",
        Subject.LIME,
        lime_quality.is_too_much_on_top,
        choices={"texture": listed(lime_textures, key="texture")},
        cautions=(lime_quality.SPLIT_ADVICE,),
    ),
    WorkedFigure(
        "lime-for-harvest",
        "Lime that balances a harvest",
        Subject.LIME,
        lime_maintenance.lime_for_harvest,
        offers={"lime_kg_t": listed(lime_maintenance.lime_removals, gives="lime_kg_t")},
    ),
    WorkedFigure(
        "lime-for-nitrogen",
        "Lime that balances a source of nitrogen",
        Subject.LIME,
        lime_for_nitrogen_source,
        choices={"nitrogen_source": listed(lime_maintenance.nitrogen_acidities)},
    ),
    WorkedFigure(
        "lime-for-sulfur",
        "Lime that balances elemental sulfur",
        Subject.LIME,
        lime_maintenance.lime_for_elemental_sulfur,
    ),
    WorkedFigure(
        "printed-acidity",
        "Equivalent acidity as lists print it",
        Subject.LIME,
        lime_maintenance.printed_acidities,
        cautions=(
            "It holds half of the nitrogen's acid already: add it to nothing, and leave it out "
            "where lime for harvest and nitrogen is worked out.",
        ),
    ),
    WorkedFigure(
        "sodium-to-replace",
        "Sodium to replace for an ESP aimed at",
        Subject.LIME,
        gypsum.sodium_to_replace,
    ),
    WorkedFigure(
        "gypsum-for-sodium",
        "Gypsum that replaces sodium",
        Subject.LIME,
        gypsum.gypsum_for_sodium,
        offers={"bulk_density_t_m3": bulk_densities},
    ),
    WorkedFigure(
        "gypsum-purity",
        "Purity of a gypsum from its sulfur",
        Subject.LIME,
        gypsum_quality.gypsum_purity,
    ),
    WorkedFigure(
        "gypsum-product-rate",
        "Rate of a gypsum product",
        Subject.LIME,
        gypsum_quality.gypsum_product,
    ),
    WorkedFigure(
        "sulfur-in-gypsum",
        "Sulfur that a gypsum brings",
        Subject.LIME,
        gypsum_quality.sulfur_in_gypsum,
    ),
    WorkedFigure(
        "calcium-in-gypsum",
        "Calcium that a gypsum brings",
        Subject.LIME,
        gypsum_quality.calcium_in_gypsum,
    ),
)
