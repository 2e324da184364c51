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


def test_the_order_loses_nothing_and_tests_that_nothing_judges_stand_last():
    for lines in lines_of_sample_farm():
        told = problems_first(lines)
        assert sorted(map(id, told)) == sorted(map(id, lines))
        is_judged = [bool(line.words) or line.standing is not None for line in told]
        assert is_judged == sorted(is_judged, reverse=True)


def test_a_test_below_the_value_its_rate_aims_at_stands_with_the_problems():
    below = [
        line
        for lines in lines_of_sample_farm()
        for line in lines
        if line.analyte.key == "colwell_p" and line.standing and line.standing.side == "below"
    ]
    assert len(below) > 1
    for lines in lines_of_sample_farm():
        told = problems_first(lines)
        for at, line in enumerate(told):
            if lacks(line):
                # what stands before it is no nearer to the good end than the middle
                before = [other for other in told[:at] if other.standing is None]
                assert all(is_in_trouble_half(other) for other in before)


def test_much_aluminium_stands_with_the_problems_where_lime_is_planned_by_it():
    sands = sample_farm().seasons[1]
    assert sands.lime.choices.tolerated_aluminium_percent == 5.0
    table = classes_of_rows(sands.tests, choices_of(sands))
    found = 0
    for place in range(len(table.names)):
        told = problems_first(class_lines(table, place))
        for at, line in enumerate(told):
            is_topsoil = line.depth_cm == "0-10"
            if line.analyte.key == "al_saturation" and is_topsoil and line.value > 20.0:
                found += 1
                assert line.standing.side == "above"
                assert at < 2  # more than four times what is borne
    assert found > 0


def lacks(line):
    """Whether a result lies below what its rate lifts it to."""
    standing = line.standing
    return standing is not None and standing.side == "below" and not standing.aim.is_most


def is_in_trouble_half(line):
    """Whether a class lies in the half of its scale that trouble lies in."""
    share = (line.class_number - 1) / (line.class_count - 1)
    ends = {row.key: row.end for row in read_table("trouble_ends.csv", Trouble)}
    away = {"low": share, "high": 1 - share, "both": 1 - abs(2 * share - 1), "none": 1}
    return away[ends[line.analyte.key].value] <= 0.5


def test_the_further_below_the_earlier_it_stands():
    whole = [line for lines in lines_of_sample_farm() for line in lines]
    ours = [line for line in whole if line.analyte.key == "colwell_p" and line.standing]
    shares = [line.value / line.standing.low for line in problems_first(ours)]
    lacking = [share for share in shares if share < 1]
    assert len(lacking) > 2
    assert shares[: len(lacking)] == sorted(lacking)


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
        without = [line for line in lines if not line.words and line.standing is None]
        told = [line for line in problems_first(lines) if line in without]
        assert len(without) > 0
        assert all(a is b for a, b in itertools.zip_longest(without, told))


def test_every_scale_has_its_end_of_trouble():
    known = [row.key for row in read_table("trouble_ends.csv", Trouble)]
    assert sorted(known) == sorted({scale.analyte_key for scale in scales()})
