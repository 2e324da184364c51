"""`vrxapp history` on a farm file."""

import json
import math
from dataclasses import replace

import pytest

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.paddock_history import LimeSpread
from vrxapp.errors import MissingInputError
from vrxapp.farm import Farm
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.need_plans import NitrogenPlan
from vrxapp.workflows.paddock_history import lime_from_text, lime_text


@pytest.fixture
def farm(season, tmp_path):
    path = tmp_path / "farm.gpkg"
    plan = NitrogenPlan(figure(FigureTable.NITROGEN, "efficiency_rule"))
    write_farm(Farm("Farm", (replace(season, nitrogen=plan),), (), ()), path)
    return path


def test_history_is_set_kept_shown_and_taken_up(verb, farm):
    code, out, err = verb(
        "history", "set", "--farm", farm, "--season-year", "2026", "--lime", "2024=2@85@top",
        "--crop-before", "pulse", "--legume", "1.5",
    )  # fmt: skip
    assert code == 0, err
    assert "2024: 2 t/ha of lime, effective NV 85 %, never worked in" in out
    assert "missouri-lime-2013" in out
    assert "azam-gazey-2021" in out
    verb("history", "set", "--farm", farm, "--phosphorus", "12")
    _, out, _ = verb("history", "show", "--farm", farm, "--json")
    shown = json.loads(out)
    assert shown["limes"][0]["lies_on_top"] is True
    assert shown["phosphorus_before_kg_ha"] == 12.0
    assert shown["legume_offer"]["n_kg_ha"] == 27.0
    verb("history", "use-legume", "--farm", farm)
    assert read_farm(farm).seasons[0].nitrogen.legume_n_kg_ha == 27.0
    verb("history", "clear", "--farm", farm)
    _, out, _ = verb("history", "show", "--farm", farm)
    assert out.strip() == "Nothing of earlier years is noted."


def test_without_the_year_of_the_season_nothing_is_noted(verb, farm):
    code, _, err = verb("history", "set", "--farm", farm, "--phosphorus", "12")
    assert code == 1
    assert "--season-year" in err


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2023=2.5", LimeSpread(2023, 2.5)),
        ("2023 = 2.5@85", LimeSpread(2023, 2.5, 85.0)),
        ("2023=2.5@TOP", LimeSpread(2023, 2.5, math.nan, lies_on_top=True)),
    ],
)
def test_lime_is_read_from_its_short_form(text, expected):
    assert repr(lime_from_text(text)) == repr(expected)
    assert repr(lime_from_text(lime_text(expected))) == repr(expected)


@pytest.mark.parametrize("text", ["2.5", "2023=", "2023=x", "2023=2@85@90", "=2"])
def test_lime_that_cannot_be_read_says_how_to_write_it(text):
    with pytest.raises(MissingInputError, match="cannot read the lime"):
        lime_from_text(text)
