"""Figures of products and their mixes: content, rate, density, size, salt and metals."""

from vrxapp.agronomy.fulvic import require_label_rate
from vrxapp.inputs import blend_flow, fertiliser_analysis, heavy_metals, salt_index, seed_safe_rates
from vrxapp.workflows.worked_figures.composed import label_doubts
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.table_choices import listed, words

_LOOSE = listed(fertiliser_analysis.loose_weights)

PRODUCTS = (
    WorkedFigure(
        "product-rate",
        "Rate of a product for a nutrient",
        Subject.PRODUCTS,
        fertiliser_analysis.product_rate,
    ),
    WorkedFigure(
        "content-by-volume",
        "Nutrient in 100 L of a liquid",
        Subject.PRODUCTS,
        fertiliser_analysis.content_by_volume,
    ),
    WorkedFigure(
        "content-of-pure-compound",
        "Element in a pure compound",
        Subject.PRODUCTS,
        fertiliser_analysis.element_percent,
        offers={
            "element": words("N", "P", "K", "S", "Ca", "Mg", "Zn", "Cu", "Mn", "B"),
            "formula": listed(fertiliser_analysis.pure_compounds, gives="formula"),
        },
    ),
    WorkedFigure(
        "analysis-doubts",
        "Is an analysis in oxides?",
        Subject.PRODUCTS,
        label_doubts,
    ),
    WorkedFigure(
        "loose-weight",
        "What a cubic metre of a product weighs",
        Subject.PRODUCTS,
        fertiliser_analysis.loose_weights,
        choices={"product_key": _LOOSE},
        cautions=("The lists disagree by a tenth: weigh a bucket of your own.",),
    ),
    WorkedFigure(
        "mixed-bulk-density",
        "Bulk density of a mix",
        Subject.PRODUCTS,
        blend_flow.mixed_bulk_density,
        cautions=(blend_flow.FLOW_CAUTION,),
    ),
    WorkedFigure(
        "size-match",
        "Do two parts stay mixed? By granule size",
        Subject.PRODUCTS,
        blend_flow.size_match,
        cautions=(blend_flow.POWDER_CAUTION,),
    ),
    WorkedFigure(
        "spread-of-sizes",
        "Spread of the granule sizes of a product",
        Subject.PRODUCTS,
        blend_flow.spread_of_sizes_percent,
    ),
    WorkedFigure(
        "fit-for-a-mix",
        "Is a product even enough for a mix?",
        Subject.PRODUCTS,
        blend_flow.is_fit_for_a_mix,
        cautions=(blend_flow.FLOW_CAUTION,),
    ),
    WorkedFigure(
        "salt-index",
        "Salt index of a fertiliser",
        Subject.PRODUCTS,
        salt_index.salt_index,
        choices={"product_key": listed(salt_index.salt_indices)},
        cautions=(salt_index.SALT_INDEX_CAUTION,),
    ),
    WorkedFigure(
        "seed-bed-utilisation",
        "Seed bed utilisation",
        Subject.PRODUCTS,
        seed_safe_rates.seed_bed_utilisation,
    ),
    WorkedFigure(
        "metal-limits",
        "Metals that fertilisers may hold",
        Subject.PRODUCTS,
        heavy_metals.metal_limits,
        cautions=(heavy_metals.METAL_CAUTION,),
    ),
    WorkedFigure(
        "cadmium-load",
        "Cadmium that phosphorus brings at most",
        Subject.PRODUCTS,
        heavy_metals.highest_cadmium_load,
        cautions=(heavy_metals.METAL_CAUTION,),
    ),
    WorkedFigure(
        "label-rate-check",
        "Is a spray rate at least the label's?",
        Subject.PRODUCTS,
        require_label_rate,
        cautions=("The label, local codes and licensed advice come first.",),
    ),
)
