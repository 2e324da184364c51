"""What is said of a result: where it stands, how sure that is, and what was estimated."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.critical_values import critical_value, own_critical_value
from vrxapp.need_plans import CropPlan, PhosphorusPlan
from vrxapp.prescription.classes_by_zone import classes_of_rows
from vrxapp.prescription.rate_aims import aims_of
from vrxapp.prescription.scale_choice import ClassChoices
from vrxapp.prescription.sheet_needs import SheetPlans
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn
from vrxapp.workflows.class_lines import class_lines
from vrxapp.workflows.class_words import (
    bar_of,
    chance_of_class,
    chances_text,
    class_text,
    result_with_unit,
    source_text,
    told_line,
)
from vrxapp.workflows.standing import distance_from_trouble, standing_sentence

OWN_34 = own_critical_value("wheat", "colwell_p", 34.0, reason="our strips")


@pytest.fixture
def line_of(sheet):
    """Makes the line of the first row for a test, out of columns by key."""

    def made(key, *, critical=OWN_34, scale_keys=(), ids=None, **columns):
        count = len(next(iter(columns.values())))
        table = sheet([(f"S{row}", "West", 1.0) for row in range(count)])
        found = tuple(
            AnalyteColumn(analyte(name), np.array(cells, float), np.full(count, "", "<U1"))
            for name, cells in columns.items()
        )
        table = replace(table, columns=found, sample_ids=ids or table.sample_ids)
        plans = SheetPlans(CropPlan("wheat", 3.0), PhosphorusPlan(critical))
        choices = ClassChoices("wheat", scale_keys=scale_keys, aims=aims_of(plans))
        lines = class_lines(classes_of_rows(table, choices), 0)
        return next(line for line in lines if line.analyte.key == key)

    return made


@pytest.mark.parametrize(
    ("value", "text", "distance"),
    [
        (17.0, "below 34", 0.25),  # half of what is aimed at
        (33.0, "below 34", 0.485),
        (34.0, "at 34", 0.5),
        (68.0, "above 34", 0.75),
    ],
)
def test_a_result_stands_in_a_word_and_by_how_far(line_of, value, text, distance):
    line = line_of("colwell_p", colwell_p=[value])
    assert class_text(line) == text
    assert distance_from_trouble(line.value, line.standing) == pytest.approx(distance, abs=0.001)
    assert source_text(line) == "our strips (the agronomist's own)"


def test_the_bar_has_the_value_in_its_middle_and_the_mark_where_the_result_lies(line_of):
    bar = bar_of(line_of("colwell_p", colwell_p=[17.0]))
    assert (bar.count, bar.position, bar.aims) == (2, pytest.approx(0.25), (0.5,))
    above = bar_of(line_of("colwell_p", colwell_p=[68.0]))
    assert above.position == pytest.approx((1 + 1 - 34 / 68) / 2)


def test_a_scale_of_its_own_keeps_its_classes_and_shows_the_value_on_them(line_of):
    line = line_of("colwell_p", colwell_p=[17.0], scale_keys=("colwell-natural",))
    assert class_text(line).startswith(line.words.partition(":")[0])
    bar = bar_of(line)
    assert (bar.count, len(bar.aims)) == (line.class_count, 1)
    assert bar.position < bar.aims[0]
    assert "Rate: Below the critical value of 34 mg/kg (wheat, your own); our strips" in "\n".join(
        told_line(line)
    )


def test_an_unverified_value_is_marked(line_of):
    curve = critical_value("wheat-pbi-curve")
    line = line_of("colwell_p", critical=curve, colwell_p=[17.0], pbi=[100.0])
    # PCRIT-01: 28.1033 at an index of 100
    assert class_text(line) == "below 28.1 (unverified)"
    assert standing_sentence(line.standing) == (
        "below the critical value of 28.1 mg/kg (wheat, from PBI, unverified)"
    )
    without = line_of("colwell_p", critical=curve, colwell_p=[17.0])
    assert without.standing is None
    assert class_text(without) == "no class"


def test_no_chance_is_told_surer_than_ninety_nine_in_a_hundred(line_of):
    line = line_of("colwell_p", colwell_p=[5.0, 5.0, 5.0], ids=("A", "A", "A"))
    assert chance_of_class(line) == "99 %"
    assert chances_text(line).startswith("below 99 % (3 results, mean 5 mg/kg")
    alone = line_of("colwell_p", colwell_p=[5.0])
    assert (chance_of_class(alone), chances_text(alone)) == ("", "")


def test_the_chances_of_a_curve_go_by_the_ends_of_each_place(line_of):
    curve = critical_value("wheat-pbi-curve")
    line = line_of(
        "colwell_p", critical=curve, ids=("A", "A"), colwell_p=[27.0, 29.2], pbi=[100.0, 100.0]
    )
    # mean 28.1, just what is aimed at: as likely below as above
    assert chances_text(line).startswith("below 50 %, above 50 %")


def test_a_range_is_shown_with_its_mark_and_both_classes(line_of):
    line = line_of("ec_e", ec_1_5=[0.35])
    assert result_with_unit(line) == "~1.19 to 2.27 dS/m"
    assert class_text(line) == "low to medium"
    assert told_line(line)[0].endswith("the estimate spans several classes (low to medium)")
    assert (bar_of(line).count, bar_of(line).aims) == (0, ())
