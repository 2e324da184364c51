"""The flag of phosphorus loss beside the need, from the laboratory's sheet through the pipeline."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.critical_values import critical_value, default_critical_value
from vrxapp.agronomy.crop_removal import Nutrient, default_removal
from vrxapp.need_plans import PhosphorusPlan, Purpose
from vrxapp.prescription.pipeline import needs, prescription, why
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn

REMOVED = 4.0 * default_removal("wheat_grain", Nutrient.PHOSPHORUS).kg_per_unit

OLSEN = PhosphorusPlan(replace(critical_value("wheat-australia"), analyte="olsen_p"), 1.0)
"""A critical range for another test, 19 to 27 mg/kg, as an agronomist may give it."""


@pytest.fixture
def tested(season, sheet):
    """A function that gives west and east results of the top 10 cm."""

    def made(**results):
        table = sheet([("1", "West", 1.0), ("2", "East", 1.0)])
        columns = tuple(
            AnalyteColumn(analyte(key), np.array(values, dtype=float), np.full(2, "", "<U1"))
            for key, values in results.items()
        )
        return replace(season, tests=replace(table, columns=columns))

    return made


def told(season, zone):
    plan = prescription(season, season.operations[0])
    return " ".join(sentence.text for sentence in why(plan, zone))


def test_the_ratio_is_told_where_it_is_low_and_stops_build_up_where_it_is_high(tested):
    # moody-2006: 20 ÷ 40 = 0.5; 50 ÷ 20 = 2.5, above 2
    season = tested(colwell_p=(20.0, 50.0), pbi=(40.0, 20.0))
    assert "Colwell P / PBI is 0.5;" in told(season, "West")
    west, east = needs(season, Purpose.PHOSPHORUS).amount
    assert west > REMOVED
    assert east == pytest.approx(REMOVED)
    sentence = "Colwell P ÷ PBI = 50 ÷ 20 is above 2, a raised risk of losing phosphorus to water"
    assert sentence in told(season, "East")
    assert "keep buffers to water" in told(season, "East")


def test_another_test_builds_nothing_up_where_colwell_and_pbi_flag_a_loss(tested):
    # Olsen P of 15 lies below its critical value in both; only the east holds 50 ÷ 20 = 2.5
    season = tested(olsen_p=(15.0, 15.0), colwell_p=(20.0, 50.0), pbi=(40.0, 20.0))
    season = replace(season, phosphorus=OLSEN)
    west, east = needs(season, Purpose.PHOSPHORUS).amount
    assert west > REMOVED
    assert east == pytest.approx(REMOVED)
    assert "Colwell P ÷ PBI of 2.5 is above 2" in told(season, "East")


def test_without_pbi_nothing_is_said_of_losses(tested):
    season = tested(colwell_p=(20.0, 50.0))
    assert "PBI" not in told(season, "East")


def test_a_flag_never_makes_a_need_of_a_missing_test(tested):
    season = tested(olsen_p=(15.0, np.nan), colwell_p=(20.0, 50.0), pbi=(40.0, 20.0))
    season = replace(season, phosphorus=OLSEN)
    found = needs(season, Purpose.PHOSPHORUS)
    assert np.isnan(found.amount[1])
    assert found.reasons[1]


@pytest.mark.parametrize("grown", ["barley", "chickpea", "faba_bean"])
def test_a_flag_never_makes_a_need_of_a_critical_value_that_nobody_published(tested, grown):
    # 48 ÷ 18 is above 2; the crop awaits the agronomist's own critical value
    season = tested(colwell_p=(20.0, 48.0), pbi=(40.0, 18.0))
    season = replace(
        season,
        crop=replace(season.crop, crop=grown),
        phosphorus=PhosphorusPlan(default_critical_value(grown)),
    )
    found = needs(season, Purpose.PHOSPHORUS)
    assert np.isnan(found.amount).all()
    assert all(found.reasons)
