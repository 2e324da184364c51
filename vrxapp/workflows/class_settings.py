"""What the classes of a sheet or a season go by: what was told, chosen, and aimed at."""

from dataclasses import dataclass, field, replace

from vrxapp.errors import MissingInputError
from vrxapp.need_plans import CropPlan
from vrxapp.prescription.estimated_tests import EstimateChoices
from vrxapp.prescription.rate_aims import RateAim, aims_of, default_aims
from vrxapp.prescription.scale_choice import ClassChoices, choices_of
from vrxapp.prescription.sheet_needs import SheetPlans
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings, phosphorus_plan_from


@dataclass(frozen=True, slots=True)
class ClassSettings:
    """What the user tells beside the results.

    A season has a crop, a texture and critical values of its own.

    Parameters
    ----------
    crop : str, optional
        Key of the crop; empty for none, and then no rate aims at anything.
    texture : str, optional
        Texture in words.
    scale_keys : tuple of str, optional
        Scales chosen instead of the default.
    phosphorus : PhosphorusSettings, optional
        The critical value of phosphorus; the crop's published one if left out.
    estimates : EstimateChoices, optional
        How tests that are lacking are estimated.
    tells_salt_loss : bool, optional
        Whether to tell what the crop loses to salt by figures that nobody verified.
    """

    crop: str = ""
    texture: str = ""
    scale_keys: tuple[str, ...] = ()
    phosphorus: PhosphorusSettings = field(default_factory=PhosphorusSettings)
    estimates: EstimateChoices = field(default_factory=EstimateChoices)
    tells_salt_loss: bool = False


def season_choices(season: Season, settings: ClassSettings) -> ClassChoices:
    """What the classes of a season go by: its own crop and plans, and what the user looks with."""
    return replace(
        choices_of(season, settings.scale_keys),
        estimates=settings.estimates,
        tells_salt_loss=settings.tells_salt_loss,
    )


def sheet_choices(tests: ResultsTable, settings: ClassSettings) -> ClassChoices:
    """What the classes of a sheet alone go by.

    Parameters
    ----------
    tests : ResultsTable
        The sheet.
    settings : ClassSettings
        What the user told beside it.

    Raises
    ------
    UnknownChoiceError
        If the critical value was made for another crop.
    MissingInputError
        If a critical value of one's own has no crop or no reason.
    """
    return ClassChoices(
        settings.crop,
        settings.texture,
        settings.scale_keys,
        _sheet_aims(tests, settings),
        settings.estimates,
        settings.tells_salt_loss,
    )


def _sheet_aims(tests: ResultsTable, settings: ClassSettings) -> tuple[RateAim, ...]:
    """What the rates of a crop aim at by the tests of a sheet."""
    if not settings.crop:
        if settings.phosphorus != PhosphorusSettings():
            raise MissingInputError(
                "a critical value is for a crop, and none is named",
                mend="Name the crop (on the command line: --crop)",
            )
        return ()
    plans = SheetPlans(
        CropPlan(settings.crop, 0.0), phosphorus_plan_from(settings.phosphorus, settings.crop)
    )
    keys = tuple(column.analyte.key for column in tests.columns)
    return (*aims_of(plans), *default_aims(settings.crop, keys))
