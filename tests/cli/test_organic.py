"""`vrxapp organic` as a person types it."""

import json

import pytest


def test_litter_is_told_with_its_nutrients_and_cautions(verb):
    code, out, _ = verb("organic", "--typical", "litter_sawdust", "--wet-rate", "6")
    assert code == 0
    assert "6 t/ha as spread, 4.5 t/ha dry" in out
    assert "no published figure" in out
    assert "botulism" in out


def test_the_same_as_json(verb):
    _, out, _ = verb("organic", "--typical", "feedlot_aged", "--wet-rate", "10", "--json")
    found = json.loads(out)
    assert found["dry_t_ha"] is None
    by_element = {n["element"]: n for n in found["nutrients"]}
    assert by_element["P"]["available"][0]["least_kg_ha"] == pytest.approx(35.0)
    assert by_element["P"]["available"][0]["source"] == "sask-feedlot"
    assert by_element["K"]["carried_kg_ha"] is None


def test_compost_without_its_moisture_is_refused_in_one_sentence(verb):
    code, _, err = verb("organic", "--typical", "compost", "--wet-rate", "10")
    assert code == 1
    assert "moisture is not told" in err
