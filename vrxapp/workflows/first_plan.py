"""From files and a few settings to a farm with one planned operation."""

import math
from dataclasses import dataclass, field, replace
from pathlib import Path

from vrxapp.edits.lab_tests import match_sample, tell_layer
from vrxapp.errors import Note
from vrxapp.farm import Farm
from vrxapp.files.product_list import read_product_list
from vrxapp.inputs.products import Product, typical_products
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.workflows.open_files import SeasonFiles, open_season
from vrxapp.workflows.operation_settings import (
    LimeSettings,
    OperationSettings,
    lime_plan_from,
    operation_from,
)
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings, phosphorus_plan_from


@dataclass(frozen=True, slots=True)
class HandMatch:
    """A sample joined by hand to a zone, a layer, or both; an empty one stays as it was."""

    sample_id: str
    zone_name: str = ""
    depth_cm: str = ""


@dataclass(frozen=True, slots=True)
class PlanSettings:
    """What the user decides beside the files; everything has a plain start.

    Parameters
    ----------
    season, farm : str
        What to call them.
    crop : str
        Key of the crop.
    target_yield_t_ha : float
        Yield aimed at. [t/ha]
    phosphorus : PhosphorusSettings
        How phosphorus is worked out.
    product_list : Path or None
        The user's own products with prices.
    operation : OperationSettings
        The first pass.
    lime : LimeSettings
        How lime is worked out.
    matches : tuple of HandMatch
        Samples joined by hand.
    """

    season: str = "This season"
    farm: str = "My farm"
    crop: str = "wheat"
    target_yield_t_ha: float = math.nan
    phosphorus: PhosphorusSettings = field(default_factory=PhosphorusSettings)
    product_list: Path | None = None
    operation: OperationSettings = field(default_factory=OperationSettings)
    lime: LimeSettings = field(default_factory=LimeSettings)
    matches: tuple[HandMatch, ...] = ()


def first_plan(
    files: SeasonFiles, settings: PlanSettings, *, progress: Progress | None = None
) -> tuple[Farm, tuple[Note, ...]]:
    """A farm with one season and one operation, made from people's files.

    Mending zones that were drawn badly may take long; `progress` is told and may stop it.

    Raises
    ------
    VrxError
        If a file or a setting cannot be used; the message says what to do.
    """
    products = products_for(settings.product_list)
    season, notes = planned_season(files, settings, products, progress=progress)
    (operation,) = season.operations
    return Farm(settings.farm, (season,), products, (operation.machine,)), notes


def products_for(product_list: Path | None) -> tuple[Product, ...]:
    """What can be spread: the user's own products, then typical ones of other names."""
    own = read_product_list(product_list) if product_list else ()
    return (*own, *(p for p in typical_products() if p.key not in {o.key for o in own}))


def planned_season(
    files: SeasonFiles,
    settings: PlanSettings,
    products: tuple[Product, ...],
    *,
    crs: str = "",
    progress: Progress | None = None,
) -> tuple[Season, tuple[Note, ...]]:
    """A season with one operation, made from people's files.

    Parameters
    ----------
    files : SeasonFiles
        Where they lie.
    settings : PlanSettings
        What the user decides; the farm's name and the list of products are not read.
    products : tuple of Product
        What can be spread.
    crs : str, optional
        Projected coordinate system of the farm; chosen from the place if empty.
    progress : Progress, optional
        Who is told how far it is, and may stop it.

    Raises
    ------
    VrxError
        If a file or a setting cannot be used; the message says what to do.
    """
    season, notes = open_season(
        files,
        name=settings.season,
        crop=settings.crop,
        target_yield_t_ha=settings.target_yield_t_ha,
        crs=crs,
        progress=progress,
    )
    season = _with_settings(season, settings)
    operation = operation_from(settings.operation, products, operation_id="operation-1")
    return replace(season, operations=(operation,)), notes


def _with_settings(season: Season, settings: PlanSettings) -> Season:
    """The season with how needs are worked out, and its hand-made matches."""
    season = replace(
        season,
        phosphorus=phosphorus_plan_from(settings.phosphorus, settings.crop),
        lime=lime_plan_from(settings.lime),
    )
    for match in settings.matches:
        if match.zone_name:
            season = match_sample(season, match.sample_id, match.zone_name)
        if match.depth_cm:
            season = tell_layer(season, match.sample_id, match.depth_cm)
    return season
