"""The invented farm that comes with the program, opened like anybody's own files."""

from dataclasses import replace
from pathlib import Path

from vrxapp.agronomy.lime_values import LimeMethod
from vrxapp.edits.operations import add_operation
from vrxapp.farm import Farm
from vrxapp.files.checksum import file_checksum
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.inputs.products import Product
from vrxapp.need_plans import Purpose
from vrxapp.season import Season
from vrxapp.shipped_files import shipped_folder
from vrxapp.spreading.machine import Machine
from vrxapp.workflows.first_plan import PlanSettings, planned_season, products_for
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.match_rows import use_as_proposed
from vrxapp.workflows.open_files import SeasonFiles
from vrxapp.workflows.operation_settings import LimeSettings, OperationSettings, operation_from
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings

_SPREADER = Machine("24 m spreader", 24.0, 1.0, 30.0, 400.0)
_LIME_SPREADER = Machine("12 m lime spreader", 12.0, 100.0, 500.0, 5_000.0)
_MAP = OperationSettings(
    name="MAP before sowing",
    timing="April, before sowing, worked in",
    product="map",
    machine=_SPREADER,
    rate_cap_kg_ha=140.0,
)


def sample_farm() -> Farm:
    """The sample farm: three paddocks with the samples of one lab sheet, and what is planned.

    Paddocks, results, prices and choices are invented; nothing here is advice. All lie in
    the coordinate system of the first, as those of any farm do: in Pan Block, 420 km to the
    west, distances come out 0.16 % too long. Areas do not suffer, being geodesic.
    """
    folder = shipped_folder("sample_fields")
    products = products_for(folder / "products.csv")
    long_bend = _long_bend(folder, products)
    crs = long_bend.paddock.crs
    seasons = (
        long_bend,
        _two_mile_sands(folder, products, crs),
        _pan_block(folder, products, crs),
    )
    farm = Farm("Sample farm (invented)", seasons, products, (_SPREADER, _LIME_SPREADER))
    # its notes are settled: each row has its paddock, and no rule reads the columns left out
    sheet = replace(lab_results(folder / "lab_whole_farm.csv"), notes=())
    return use_as_proposed(farm, sheet)


def _long_bend(folder: Path, products: tuple[Product, ...]) -> Season:
    """Red loams around a flat of sodic clay: starter by soil test, and a check strip."""
    files = SeasonFiles(
        boundary=folder / "boundary.geojson",
        zones=folder / "zones.geojson",
        exclusions=folder / "exclusions.geojson",
        strips=folder / "check_strips.geojson",
    )
    settings = PlanSettings(
        season="Long Bend sample season",
        target_yield_t_ha=4.0,
        phosphorus=PhosphorusSettings(
            critical="wheat-southern-nsw", build_up_factor_kg_ha_per_mg_kg=3.0, build_up_years=3.0
        ),
        operation=_MAP,
    )
    season, _ = planned_season(files, settings, products)
    return replace(season, layers=_layers(folder / "layers"))


def _layers(folder: Path) -> tuple[LinkedRaster, ...]:
    """The two rasters, named without opening them: their library is heavy."""
    return tuple(
        LinkedRaster(name, folder / file, file_checksum(folder / file), unit)
        for name, file, unit in (
            ("Apparent conductivity", "conductivity.tif", "mS/m"),
            ("Vegetation index", "vegetation_index.tif", ""),
        )
    )


def _two_mile_sands(folder: Path, products: tuple[Product, ...], crs: str) -> Season:
    """Acid sand of little buffering: lime against aluminium first, then a starter."""
    settings = PlanSettings(
        season="Two Mile Sands sample season",
        target_yield_t_ha=2.5,
        phosphorus=PhosphorusSettings(
            critical="wheat-southern-nsw", build_up_factor_kg_ha_per_mg_kg=2.0, build_up_years=3.0
        ),
        lime=LimeSettings(method=LimeMethod.TOLERATED_ALUMINIUM, tolerated_aluminium_percent=5.0),
        operation=OperationSettings(
            name="Lime in summer",
            timing="February, worked in, ten weeks before sowing",
            product="pit_lime",
            purpose=Purpose.LIME,
            machine=_LIME_SPREADER,
            rate_cap_kg_ha=2_500.0,
        ),
    )
    season, _ = planned_season(_files_in(folder / "two_mile_sands"), settings, products, crs=crs)
    starter = replace(_MAP, rate_cap_kg_ha=100.0)
    return add_operation(season, operation_from(starter, products, operation_id="operation-2"))


def _pan_block(folder: Path, products: tuple[Product, ...], crs: str) -> Season:
    """Calcareous loam that binds phosphorus: its own critical value, and no lime."""
    settings = PlanSettings(
        season="Pan Block sample season",
        target_yield_t_ha=2.5,
        phosphorus=PhosphorusSettings(
            critical="wheat-supracalcic-calcarosol",
            build_up_factor_kg_ha_per_mg_kg=3.0,
            build_up_years=5.0,
        ),
        operation=replace(_MAP, rate_cap_kg_ha=120.0),
    )
    season, _ = planned_season(_files_in(folder / "pan_block"), settings, products, crs=crs)
    return season


def _files_in(folder: Path) -> SeasonFiles:
    """The ground of one of the paddocks beside Long Bend."""
    return SeasonFiles(
        boundary=folder / "boundary.geojson",
        zones=folder / "zones.geojson",
        exclusions=folder / "exclusions.geojson",
    )
