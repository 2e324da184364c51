"""Whole leaf tests."""

import math

import numpy as np
import pytest

from vrxapp.agronomy.tissue import PlantPart, Sampling, TissueClass
from vrxapp.agronomy.tissue_sheet import sheet_classes
from vrxapp.errors import SoilInputError, UnknownChoiceError

YOUNG = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="emergence_to_tillering")


def test_every_nutrient_of_every_sample_has_its_class():
    # us-wheat-typical, Table A: P 0.26 to 0.40 %, Zn 20 to 30 mg/kg
    sheet = sheet_classes([[0.45, 18.0], [0.30, math.nan]], ("P", "Zn"), sampling=YOUNG)
    assert sheet.classes.tolist() == [
        [TissueClass.HIGH, TissueClass.BELOW],
        [TissueClass.ADEQUATE, TissueClass.NONE],
    ]
    assert sheet.reasons == ("", "")


def test_a_nutrient_without_a_range_says_why():
    sheet = sheet_classes([[0.45, 0.3]], ("P", "Cl"), sampling=YOUNG)
    assert sheet.classes[0].tolist() == [TissueClass.HIGH, TissueClass.NONE]
    assert sheet.ranges[1] is None
    assert "no range of Cl" in sheet.reasons[1]


def test_a_sample_that_nothing_was_made_for_is_refused():
    wrong = Sampling("wheat", PlantPart.EAR_LEAF, zadoks=30)
    with pytest.raises(UnknownChoiceError, match="no nutrient has a range"):
        sheet_classes([[3.0]], ("N",), sampling=wrong)
    with pytest.raises(UnknownChoiceError):
        sheet_classes(np.empty((1, 0)), (), sampling=YOUNG)


def test_columns_and_nutrients_must_go_together():
    with pytest.raises(SoilInputError, match="as many columns"):
        sheet_classes([[3.0, 2.0]], ("N",), sampling=YOUNG)
