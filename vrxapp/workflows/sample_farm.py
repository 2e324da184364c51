"""The invented farm that comes with the program, opened like anybody's own files."""

from vrxapp.farm import Farm
from vrxapp.shipped_files import shipped_folder
from vrxapp.spreading.machine import Machine
from vrxapp.workflows.first_plan import PlanSettings, first_plan
from vrxapp.workflows.open_files import SeasonFiles
from vrxapp.workflows.operation_settings import OperationSettings
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings


def sample_farm() -> Farm:
    """The sample farm with its composite lab sheet and one operation planned.

    Paddock, results, prices and choices are invented; nothing here is advice.
    """
    folder = shipped_folder("sample_fields")
    files = SeasonFiles(
        boundary=folder / "boundary.geojson",
        zones=folder / "zones.geojson",
        exclusions=folder / "exclusions.geojson",
        strips=folder / "check_strips.geojson",
        lab=folder / "lab_composites.csv",
    )
    settings = PlanSettings(
        season="Sample season",
        farm="Sample farm (invented)",
        crop="wheat",
        target_yield_t_ha=4.0,
        phosphorus=PhosphorusSettings(
            critical="wheat-southern-nsw", build_up_factor_kg_ha_per_mg_kg=3.0, build_up_years=3.0
        ),
        product_list=folder / "products.csv",
        operation=OperationSettings(
            name="MAP before sowing",
            timing="April, before sowing, worked in",
            product="map",
            machine=Machine("24 m spreader", 24.0, 1.0, 30.0, 400.0),
            rate_cap_kg_ha=140.0,
        ),
    )
    farm, _ = first_plan(files, settings)
    return farm
