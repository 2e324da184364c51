"""Single figures worked out in the terminal."""

import json
import re
import shlex

import pytest

from vrxapp.sources import source
from vrxapp.workflows.worked_figures.figure import Subject
from vrxapp.workflows.worked_figures.figure_inputs import figure_inputs
from vrxapp.workflows.worked_figures.registry import FIGURES


def test_without_a_figure_they_are_listed_by_subject(verb):
    code, out, _ = verb("work")
    assert code == 0
    lines = out.splitlines()
    assert [line for line in lines if line and line[0] != " "] == list(Subject)
    assert [line.split()[0] for line in lines if line.startswith("  ")] == [
        figure.name for figure in FIGURES
    ]


def test_words_narrow_the_list(verb):
    _, out, _ = verb("work", "--find", "starter humate")
    assert "starter-in-mix" in out
    assert "ece" not in out
    code, out, said = verb("work", "--find", "yoghurt")
    assert (code, out) == (1, "")
    assert "vrxapp work lists them all" in said


def test_a_figure_without_inputs_tells_what_it_takes_with_units_and_an_example(verb):
    _, out, _ = verb("work", "ece-by-line")
    assert "ec_1_5_ds_m  [dS/m]" in out
    assert "Choose: talsma-1968, loveday-1972" in out
    assert "vrxapp work ece-by-line 'ec_1_5_ds_m=0.5, 0.1' line=shaw-1981" in out


def test_a_result_comes_with_unit_inputs_equation_doubts_and_graded_sources(verb):
    code, out, _ = verb("work", "ece-by-line", "ec=0.5", "line=shaw-1981")
    assert code == 0
    assert "ECe: 2.103 dS/m" in out
    assert "Conductivity of the 1:5 extract at 25 °C: 0.5 dS/m" in out
    assert "EC_e = a EC_(1:5) + b" in out
    assert "too little on sands" in out
    assert f"rayment-lyons-2011 [published]: {source('rayment-lyons-2011').citation}" in out
    assert "6.08 x - 0.937" in out


def test_a_figure_that_takes_nothing_is_told_at_once(verb):
    _, out, _ = verb("work", "metal-limits")
    assert "300 mg/kg P" in out


def test_a_sum_without_a_source_says_that_it_needs_none(verb):
    _, out, _ = verb("work", "yield-target", "potential=4.4", "share=0.75")
    assert "Target yield: 3.3 t/ha" in out
    assert "A plain sum" in out


def test_results_are_given_to_programs_with_missing_ones_as_null(verb):
    _, out, _ = verb("work", "ece-by-line", "ec=0.5;0.1", "line=shaw-1981", "--json")
    record = json.loads(out)
    assert record["results"][0]["unit"] == "dS/m"
    assert record["results"][0]["values"] == [pytest.approx(2.103), None]
    assert record["sources"][0]["grade"] == "published"
    assert record["equation"][0] == "EC_e = a EC_(1:5) + b"


def test_the_list_and_a_description_are_given_to_programs(verb):
    _, out, _ = verb("work", "--json")
    assert [row["figure"] for row in json.loads(out)] == [figure.name for figure in FIGURES]
    _, out, _ = verb("work", "soil-mass", "--json")
    names = [row["name"] for row in json.loads(out)["inputs"]]
    assert names == ["depth_cm", "bulk_density_t_m3", "gravel_fraction"]


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.name)
def test_the_example_of_each_description_can_be_run_as_it_stands(verb, figure):
    if figure_inputs(figure):
        _, out, _ = verb("work", figure.name)
        words = shlex.split(out.rpartition("Example\n")[2])[1:]
    else:
        words = ["work", figure.name]
    code, out, said = verb(*words)
    assert (code, said) == (0, "")
    assert out.startswith(figure.title)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("ece-by-lime",), "no figure 'ece-by-lime'.*ece-by-line"),
        (("soil-mass", "depth"), "cannot read the input 'depth'.*INPUT=VALUE"),
        (("soil-mass", "depth=ten", "bulk=1"), "depth_cm: 'ten' is no number.*in cm"),
        (("soil-mass", "depth=10"), "bulk_density_t_m3: not given yet.*t/m³"),
        (("esp-from-sar", "sar=-3"), "sar must not be negative.*-3"),
    ],
)
def test_what_cannot_be_worked_out_is_told_in_one_sentence_with_a_mend(verb, words, told):
    code, out, said = verb("work", *words)
    assert (code, out) == (1, "")
    (line,) = said.splitlines()
    assert line.startswith("Error: ")
    assert re.search(told, line)


def test_help_has_an_example(verb):
    code, out, _ = verb("work", "--help")
    assert code == 0
    assert "vrxapp work ece-by-line ec=0.5 line=shaw-1981" in out
