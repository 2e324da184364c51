"""Figures of the crop: nutrients, water and yield, response and money."""

from vrxapp.agronomy import (
    nitrogen_demand,
    phosphorus,
    phosphorus_loss,
    phosphorus_outlook,
    potassium,
    relative_yield,
    response_curve,
    tissue,
    tissue_overload,
    volatilisation,
    yield_potential,
)
from vrxapp.agronomy.crop_removal import harvests
from vrxapp.agronomy.nitrogen import EFFICIENCY_CAUTION
from vrxapp.workflows.worked_figures.composed import removal_by_own_analysis
from vrxapp.workflows.worked_figures.figure import Subject, WorkedFigure
from vrxapp.workflows.worked_figures.table_choices import listed, words

OWN_CURVE = (
    "A rate from a curve is no better than the trials behind it: on the same trials five forms "
    "put the optimum from 128 to 379 kg N/ha."
)
"""To be shown beside each optimum [cerrato-blackmer-1990]."""

_CLASSES = words(*(str(known) for known in tissue.TissueClass if known))

NUTRIENTS = (
    WorkedFigure(
        "critical-colwell",
        "Critical Colwell P of a crop by PBI",
        Subject.NUTRIENTS,
        phosphorus.critical_colwell_for_cropping,
    ),
    WorkedFigure(
        "critical-colwell-pasture",
        "Critical Colwell P of pasture by PBI",
        Subject.NUTRIENTS,
        phosphorus.critical_colwell_for_pasture,
    ),
    WorkedFigure(
        "build-up-factor",
        "Phosphorus for a mg/kg of Colwell P",
        Subject.NUTRIENTS,
        phosphorus_outlook.build_up_factor_from_pbi,
    ),
    WorkedFigure(
        "phosphorus-loss",
        "Risk of losing phosphorus",
        Subject.NUTRIENTS,
        phosphorus_loss.phosphorus_loss_flag,
    ),
    WorkedFigure(
        "potassium-rating",
        "How extractable potassium rates",
        Subject.NUTRIENTS,
        potassium.potassium_rating,
    ),
    WorkedFigure(
        "nitrogen-lost",
        "Nitrogen that urea loses to the air",
        Subject.NUTRIENTS,
        volatilisation.nitrogen_volatilised,
        offers={"loss_percent": listed(volatilisation.volatilisation_losses, gives="value")},
        cautions=(volatilisation.VOLATILISATION_CAUTION,),
    ),
    WorkedFigure(
        "nitrogen-in-grain",
        "Nitrogen in grain from yield and protein",
        Subject.NUTRIENTS,
        nitrogen_demand.grain_nitrogen,
        offers={
            "protein_per_n": listed(
                nitrogen_demand.protein_factors, key="harvest", gives="protein_per_n"
            )
        },
    ),
    WorkedFigure(
        "nitrogen-in-crop",
        "Nitrogen that the whole crop takes up",
        Subject.NUTRIENTS,
        nitrogen_demand.crop_nitrogen_uptake,
    ),
    WorkedFigure(
        "nitrogen-within-reach",
        "Nitrogen that must be within reach",
        Subject.NUTRIENTS,
        nitrogen_demand.nitrogen_supply_needed,
        cautions=(EFFICIENCY_CAUTION,),
    ),
    WorkedFigure(
        "nitrogen-ran-short",
        "Did nitrogen run short?",
        Subject.NUTRIENTS,
        nitrogen_demand.suggests_nitrogen_ran_short,
    ),
    WorkedFigure(
        "removal-by-own-analysis",
        "Removal by one's own analysis",
        Subject.NUTRIENTS,
        removal_by_own_analysis,
        choices={"harvest": listed(harvests)},
    ),
    WorkedFigure(
        "leaf-uptake", "Nutrient that a crop holds", Subject.NUTRIENTS, tissue.uptake_kg_ha
    ),
    WorkedFigure(
        "zinc-short-by-phosphorus",
        "Zinc held down by phosphorus?",
        Subject.NUTRIENTS,
        tissue_overload.hints_at_phosphorus_induced_zinc,
        choices={"phosphorus": _CLASSES, "zinc": _CLASSES},
        cautions=("Hold phosphorus back before zinc is added; no rate follows from this.",),
    ),
)
YIELD = (
    WorkedFigure(
        "stored-water",
        "Water stored from summer rain",
        Subject.YIELD,
        yield_potential.stored_water,
    ),
    WorkedFigure(
        "water-limited-yield",
        "Yield that the water allows",
        Subject.YIELD,
        yield_potential.water_limited_yield,
        choices={
            "benchmark": listed(
                yield_potential.yield_benchmarks, find=yield_potential.yield_benchmark
            )
        },
        cautions=(yield_potential.OVERESTIMATE_CAUTION,),
    ),
    WorkedFigure(
        "yield-target",
        "Target under what the water allows",
        Subject.YIELD,
        yield_potential.yield_target,
    ),
    WorkedFigure(
        "relative-yield",
        "Relative yield at a soil test",
        Subject.YIELD,
        relative_yield.relative_yield,
        cautions=(f"{relative_yield.RELATIVE_YIELD_IS_A_CONVENIENCE}.",),
    ),
    WorkedFigure(
        "soil-test-for-yield",
        "Soil test at a relative yield",
        Subject.YIELD,
        relative_yield.soil_test_at,
        cautions=(f"{relative_yield.RELATIVE_YIELD_IS_A_CONVENIENCE}.",),
    ),
)
RESPONSE = (
    WorkedFigure(
        "mitscherlich-yield",
        "Yield on a Mitscherlich curve",
        Subject.RESPONSE,
        response_curve.mitscherlich,
        cautions=(OWN_CURVE,),
    ),
    WorkedFigure(
        "mitscherlich-optimum",
        "Best rate on a Mitscherlich curve",
        Subject.RESPONSE,
        response_curve.mitscherlich_optimum,
        cautions=(OWN_CURVE,),
    ),
    WorkedFigure(
        "linear-plateau-yield",
        "Yield on a line with a plateau",
        Subject.RESPONSE,
        response_curve.linear_plateau,
        cautions=(OWN_CURVE,),
    ),
    WorkedFigure(
        "linear-plateau-optimum",
        "Best rate on a line with a plateau",
        Subject.RESPONSE,
        response_curve.linear_plateau_optimum,
        cautions=(OWN_CURVE,),
    ),
    WorkedFigure(
        "quadratic-yield",
        "Yield on a parabola",
        Subject.RESPONSE,
        response_curve.quadratic,
        cautions=(OWN_CURVE,),
    ),
    WorkedFigure(
        "quadratic-optimum",
        "Best rate on a parabola",
        Subject.RESPONSE,
        response_curve.quadratic_optimum,
        cautions=(OWN_CURVE,),
    ),
    WorkedFigure(
        "margin-over-nutrient",
        "Margin over the cost of a nutrient",
        Subject.RESPONSE,
        response_curve.margin_over_nutrient,
    ),
)
