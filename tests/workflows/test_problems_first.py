"""What may need something done is told first."""

import itertools

import pytest

from vrxapp.prescription.classes_by_zone import classes_of_rows
from vrxapp.prescription.scale_choice import choices_of
from vrxapp.soil.interpretation_scales import scales
from vrxapp.table_reader import read_table
from vrxapp.workflows.class_lines import class_lines
from vrxapp.workflows.problems_first import Trouble, problems_first
from vrxapp.workflows.sample_farm import sample_farm


def lines_of_sample_farm():
    """The lines of each sample of the invented farm."""
    for season in sample_farm().seasons:
        table = classes_of_rows(season.tests, choices_of(season))
        for place in range(len(table.names)):
            yield class_lines(table, place)


def test_the_order_loses_nothing_and_tests_without_a_class_stand_last():
    for lines in lines_of_sample_farm():
        told = problems_first(lines)
        assert sorted(map(id, told)) == sorted(map(id, lines))
        has_class = [bool(line.words) for line in told]
        assert has_class == sorted(has_class, reverse=True)


@pytest.mark.parametrize(
    ("key", "is_high_trouble"), [("organic_carbon", False), ("esp", True), ("ec_1_5", True)]
)
def test_the_troubled_end_of_a_scale_stands_first(key, is_high_trouble):
    whole = [line for lines in lines_of_sample_farm() for line in lines]
    ours = [line for line in whole if line.analyte.key == key and line.words]
    assert len({line.class_number for line in ours}) > 2
    numbers = [line.class_number for line in problems_first(ours)]
    assert numbers == sorted(numbers, reverse=is_high_trouble)


def test_of_ph_both_ends_stand_before_the_middle():
    whole = [line for lines in lines_of_sample_farm() for line in lines]
    told = problems_first(line for line in whole if line.analyte.key == "ph_water")
    middle = (told[0].class_count + 1) / 2
    away = [abs(line.class_number - middle) for line in told if line.words]
    assert away == sorted(away, reverse=True)
    assert max(away) > min(away)


def test_lines_as_near_to_trouble_keep_their_order():
    for lines in lines_of_sample_farm():
        without = [line for line in lines if not line.words]
        told = [line for line in problems_first(lines) if not line.words]
        assert all(a is b for a, b in itertools.zip_longest(without, told))


def test_every_scale_has_its_end_of_trouble():
    known = [row.key for row in read_table("trouble_ends.csv", Trouble)]
    assert sorted(known) == sorted({scale.analyte_key for scale in scales()})
