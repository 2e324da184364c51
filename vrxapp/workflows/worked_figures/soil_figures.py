"""Figures of the soil: forms of results, its mass, salt and sodium."""

from vrxapp.agronomy import (
    exchange_sums,
    nitrogen_supply,
    salinity,
    salt_tolerance,
    sodicity,
    soil_mass,
)
from vrxapp.soil import conversions, estimated_results, phosphorus_buffering
from vrxapp.workflows.worked_figures.composed import crop_yield_under_salt
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.table_choices import bulk_densities, listed, words

GYPSUM_IN_SOIL = (
    "With more than about 1 % of gypsum the 1:5 extract stays near 2.2 dS/m whatever the other "
    "salts, and no conversion holds."
)
"""To be shown beside each figure that starts from EC 1:5 [rayment-lyons-2011]."""

NO_TEXTURE = "The lines suit clays and tell too little on sands, by half or more."
"""To be shown beside `ece_by_line` [rayment-lyons-2011]."""

_IONS = words("Ca", "Mg", "K", "Na", "Al", "H")
_ELEMENTS = words("N", "P", "K", "S", "Ca", "Mg", "Na", "Zn", "Cu", "Mn", "B", "Mo", "Fe")
_FORMS = words("P2O5", "K2O", "CaO", "MgO", "SO3", "SO4", "NO3", "NH4", "CaCO3", "CaSO4.2H2O")
_DENSITY = {"bulk_density_t_m3": bulk_densities}

CONVERSIONS = (
    WorkedFigure(
        "mass-from-charge",
        "mg/kg of a cation from cmol(+)/kg",
        Subject.CONVERSIONS,
        conversions.mass_from_charge,
        choices={"ion": _IONS},
    ),
    WorkedFigure(
        "charge-from-mass",
        "cmol(+)/kg of a cation from mg/kg",
        Subject.CONVERSIONS,
        conversions.charge_from_mass,
        choices={"ion": _IONS},
    ),
    WorkedFigure(
        "element-from-compound",
        "Element from its oxide (P from P2O5)",
        Subject.CONVERSIONS,
        conversions.element_from_compound,
        offers={"element": _ELEMENTS, "compound": _FORMS},
    ),
    WorkedFigure(
        "compound-from-element",
        "Oxide from its element (P2O5 from P)",
        Subject.CONVERSIONS,
        conversions.compound_from_element,
        offers={"element": _ELEMENTS, "compound": _FORMS},
    ),
    WorkedFigure(
        "nitrate-nitrogen",
        "Nitrate-N from nitrate given as NO3",
        Subject.CONVERSIONS,
        nitrogen_supply.nitrate_nitrogen,
    ),
)
SOIL = (
    WorkedFigure(
        "soil-mass",
        "Fine earth under a hectare",
        Subject.SOIL,
        soil_mass.soil_mass,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "nutrient-amount",
        "kg/ha of a nutrient from mg/kg",
        Subject.SOIL,
        soil_mass.nutrient_amount,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "gravel-by-volume",
        "Gravel by volume from gravel by mass",
        Subject.SOIL,
        soil_mass.gravel_volume_fraction,
        offers=_DENSITY,
    ),
    WorkedFigure(
        "organic-matter",
        "Organic matter from organic carbon",
        Subject.SOIL,
        estimated_results.organic_matter,
    ),
    WorkedFigure(
        "total-carbon",
        "Total carbon from Walkley and Black carbon",
        Subject.SOIL,
        estimated_results.total_carbon_from_walkley_black,
    ),
    WorkedFigure(
        "ph-in-calcium-chloride",
        "pH in calcium chloride from pH in water",
        Subject.SOIL,
        estimated_results.ph_cacl2_from_water,
    ),
    WorkedFigure(
        "ph-in-water",
        "pH in water from pH in calcium chloride",
        Subject.SOIL,
        estimated_results.ph_water_from_cacl2,
    ),
    WorkedFigure(
        "exchangeable-bases",
        "Sum of the bases",
        Subject.SOIL,
        exchange_sums.exchangeable_bases,
    ),
    WorkedFigure("effective-cec", "Effective CEC", Subject.SOIL, exchange_sums.effective_cec),
    WorkedFigure(
        "saturation",
        "Saturation of the exchange by a cation",
        Subject.SOIL,
        exchange_sums.saturation_percent,
    ),
    WorkedFigure(
        "base-saturation-class",
        "Class of a base saturation",
        Subject.SOIL,
        exchange_sums.base_saturation_class,
    ),
    WorkedFigure(
        "calcium-to-magnesium",
        "Calcium to magnesium",
        Subject.SOIL,
        exchange_sums.calcium_magnesium_ratio,
    ),
    WorkedFigure(
        "pbi-with-colwell",
        "PBI with Colwell P",
        Subject.SOIL,
        phosphorus_buffering.pbi_with_colwell,
    ),
    WorkedFigure(
        "pbi-with-olsen", "PBI with Olsen P", Subject.SOIL, phosphorus_buffering.pbi_with_olsen
    ),
    WorkedFigure(
        "pbi-unadjusted",
        "PBI without a soil test",
        Subject.SOIL,
        phosphorus_buffering.pbi_unadjusted,
    ),
)
SALT = (
    WorkedFigure(
        "ece-by-line",
        "ECe from EC 1:5 by a published line",
        Subject.SALT,
        salinity.ece_by_line,
        choices={"line": listed(salinity.ece_lines)},
        cautions=(NO_TEXTURE, GYPSUM_IN_SOIL),
    ),
    WorkedFigure(
        "ece-by-saturation",
        "ECe from EC 1:5 by saturation percentage",
        Subject.SALT,
        salinity.ece_by_saturation,
        cautions=(GYPSUM_IN_SOIL,),
    ),
    WorkedFigure(
        "ece-by-texture",
        "ECe from EC 1:5 by texture",
        Subject.SALT,
        salinity.ece_by_texture,
        choices={"texture": listed(salinity.ece_textures, key="texture")},
        cautions=(GYPSUM_IN_SOIL,),
    ),
    WorkedFigure(
        "salinity-class",
        "Class of EC 1:5 by clay",
        Subject.SALT,
        salinity.salinity_class,
        cautions=(GYPSUM_IN_SOIL,),
    ),
    WorkedFigure("ece-class", "Class of ECe", Subject.SALT, salinity.ece_class),
    WorkedFigure(
        "soluble-salts",
        "Total soluble salts from EC 1:5",
        Subject.SALT,
        estimated_results.total_soluble_salts,
    ),
    WorkedFigure(
        "yield-under-salt",
        "Yield of a crop under salt",
        Subject.SALT,
        crop_yield_under_salt,
        choices={"crop": listed(salt_tolerance.salt_tolerances, key="crop")},
        cautions=(salt_tolerance.GYPSUM_NOTE, salt_tolerance.SEEDLING_NOTE),
    ),
    WorkedFigure(
        "yield-under-salt-own",
        "Yield under salt, by own threshold",
        Subject.SALT,
        salt_tolerance.relative_yield_under_salt,
        cautions=(salt_tolerance.GYPSUM_NOTE, salt_tolerance.SEEDLING_NOTE),
    ),
    WorkedFigure("esp", "ESP", Subject.SALT, sodicity.exchangeable_sodium_percent),
    WorkedFigure("esp-from-sar", "ESP from SAR", Subject.SALT, sodicity.esp_from_sar),
    WorkedFigure("sodicity-class", "Class of an ESP", Subject.SALT, sodicity.sodicity_class),
)
