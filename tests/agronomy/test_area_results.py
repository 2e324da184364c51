"""Results by area and by volume: they need their layer, or a convention that the sheet states."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.area_results import (
    concentration_by_acre_convention,
    concentration_from_area,
    concentration_from_volume,
    layer_wanted,
)
from vrxapp.agronomy.soil_mass import nutrient_amount
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.units import conversion_factor


@given(
    st.floats(0.0, 1e4),
    st.floats(1.0, 100.0),
    st.floats(0.3, 2.0),
    st.floats(0.0, 0.9),
)
def test_a_concentration_comes_back_from_its_amount(concentration, depth, density, gravel):
    amount = nutrient_amount([concentration], depth, density, gravel_fraction=gravel)
    back = concentration_from_area(amount, depth, density, gravel_fraction=gravel)
    assert back[0] == pytest.approx(concentration)


def test_the_acre_convention_halves_pounds():
    # Ohio State University: 60 lb/ac are 30 ppm
    found = concentration_by_acre_convention([60.0, np.nan])
    assert found.values[0] == pytest.approx(30.0)
    assert np.isnan(found.values[1])
    assert found.grade is Grade.PUBLISHED
    assert "2 million pounds" in found.basis


def test_the_acre_convention_stands_for_a_density_of_about_1_47():
    # 2 000 000 lb on an acre of 6 inches: 907 185 kg / (4046.86 m² x 0.1524 m) = 1.471 t/m³
    pounds = 60.0 * conversion_factor("lb/ac", "kg/ha")
    assert concentration_from_area(pounds, 15.24, 1.471) == pytest.approx(30.0, rel=1e-3)


def test_kilograms_on_a_hectare_go_by_the_same_convention():
    found = concentration_by_acre_convention([112.085], unit="kg/ha")
    assert found.values[0] == pytest.approx(50.0, abs=1e-3)


def test_a_concentration_is_no_amount_on_an_acre():
    with pytest.raises(UnknownChoiceError, match="cannot be turned"):
        concentration_by_acre_convention([60.0], unit="mg/kg")


def test_the_question_for_the_layer_names_what_is_missing():
    error = layer_wanted("Mehlich-3 P", "lb/ac")
    assert isinstance(error, MissingInputError)
    assert "layer and bulk density are missing" in str(error)
    assert "6 inches" in error.note.mend


def test_a_result_by_volume_needs_the_density_of_the_sample():
    # 20 mg in a litre that weighs 0.8 kg
    assert concentration_from_volume([20.0], [0.8]) == pytest.approx([25.0])
    with pytest.raises(SoilInputError, match="sample_density_kg_l"):
        concentration_from_volume([20.0], [0.0])


@pytest.mark.parametrize(("depth", "density"), [(0.0, 1.3), (10.0, 0.0)])
def test_a_layer_without_thickness_or_mass_is_refused(depth, density):
    with pytest.raises(SoilInputError):
        concentration_from_area([10.0], depth, density)
