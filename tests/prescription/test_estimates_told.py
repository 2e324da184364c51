"""An estimate that a need reads is told in its trail and marked beside its class."""

from dataclasses import replace

from vrxapp.need_plans import Purpose
from vrxapp.prescription.classes_by_zone import classes_of_rows, classes_of_zones
from vrxapp.prescription.pipeline import prescription, why
from vrxapp.prescription.scale_choice import ClassChoices
from vrxapp.prescription.sheet_needs import SheetPlans, sheet_need
from vrxapp.workflows.class_lines import class_lines
from vrxapp.workflows.class_words import result_text, told_line

BASIS = "from lb/ac by a convention"


def estimated(table):
    return replace(table, columns=tuple(replace(c, basis=BASIS) for c in table.columns))


def test_the_trail_of_a_zone_begins_with_the_estimate(season):
    marked = replace(season, tests=estimated(season.tests))
    told = why(prescription(marked, marked.operations[0]), "West")
    assert told[0].text == f"Mind: Colwell P of 20.5 mg/kg is an estimate, {BASIS}."
    plain = why(prescription(season, season.operations[0]), "West")
    assert tuple(s.text for s in told[1:]) == tuple(s.text for s in plain)


def test_a_sheet_alone_tells_it_too(season):
    need = sheet_need(
        estimated(season.tests), SheetPlans(season.crop, season.phosphorus), Purpose.PHOSPHORUS
    )
    assert need.trail.steps[0].name == "colwell_p_estimate"


def test_an_estimate_is_marked_in_every_class(season, sheet):
    tests = estimated(sheet([("1", "West", 450.0)], key="chloride"))
    zones = classes_of_zones(replace(season, tests=tests), ClassChoices())
    for table in (classes_of_rows(tests, ClassChoices()), zones):
        (line,) = class_lines(table, 0)
        assert line.is_estimate
        assert result_text(line) == "~450"
        assert line.words == "medium"
        assert f"Estimate: {BASIS}" in told_line(line)
