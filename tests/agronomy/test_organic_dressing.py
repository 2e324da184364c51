"""Batches of compost, manure and litter: what a rate brings, and in which season."""

import math

import pytest

from vrxapp.agronomy.organic_dressing import (
    ELEMENTS,
    Basis,
    OrganicAnalysis,
    OrganicDressing,
    carried_kg_ha,
    season_releases,
    typical_analysis,
    typical_keys,
)
from vrxapp.agronomy.organics import OrganicMaterial
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade


@pytest.mark.parametrize(("element", "expected"), [("N", 171), ("P", 54), ("K", 81), ("S", 24)])
def test_six_tonnes_of_typical_litter_carry_what_the_manual_prints(element, expected):
    # agrifutures-litter, uses and application: 6 t/ha as spread, on sawdust
    found = carried_kg_ha(typical_analysis("litter_sawdust"), element, 6.0)
    assert found == pytest.approx(expected, abs=0.5)


def test_manure_told_as_supplied_is_not_dried_a_second_time():
    dry_yard = typical_analysis("feedlot_fresh", moisture_percent=40.0)
    assert carried_kg_ha(dry_yard, "N", 10.0) == pytest.approx(160.0)


def test_manure_gives_its_phosphorus_over_four_seasons_as_published():
    # sask-feedlot, table 1: 50, 10, 5 and 5 % of what was applied
    found = season_releases(typical_analysis("feedlot_aged"), "P", 10.0)
    assert [s.least_kg_ha for s in found] == pytest.approx([35.0, 7.0, 3.5, 3.5])
    assert all(s.can_be_counted for s in found)


def test_what_a_laboratory_found_of_litter_cannot_be_counted():
    (only,) = season_releases(typical_analysis("litter_straw"), "N", 5.0)
    assert not only.can_be_counted


def test_ammonium_is_left_out_of_the_organic_nitrogen_of_litter():
    own = OrganicAnalysis(
        "shed 1", OrganicMaterial.LITTER, Basis.DRY, 20.0, n_percent=4.0, ammonium_n_percent=1.0
    )
    (only,) = season_releases(own, "N", 10.0)
    # 10 t x 0.8 x 3 % = 240 kg organic nitrogen, 46.5 to 86.8 % of it
    assert (only.least_kg_ha, only.most_kg_ha) == pytest.approx((111.6, 208.32))


def test_nothing_is_released_where_nothing_is_published_or_told():
    litter, manure = typical_analysis("litter_straw"), typical_analysis("feedlot_aged")
    assert season_releases(litter, "P", 5.0) == ()
    assert season_releases(manure, "K", 5.0) == ()  # published, but the content is not told
    no_kind = OrganicAnalysis("biosolid", None, Basis.DRY, 50.0, n_percent=3.0)
    assert season_releases(no_kind, "N", 5.0) == ()


def test_only_published_analyses_are_offered():
    assert "garden_compost" not in typical_keys()
    for key in typical_keys():
        analysis = typical_analysis(key, moisture_percent=30.0)
        assert analysis.grade is Grade.PUBLISHED
        assert any(not math.isnan(carried_kg_ha(analysis, e, 1.0)) for e in ELEMENTS)
    with pytest.raises(UnknownChoiceError, match="garden_compost"):
        typical_analysis("garden_compost")


@pytest.mark.parametrize(
    ("given", "complaint"),
    [
        ({"n_percent": 101.0, "moisture_percent": 20.0}, "more than 100 %"),
        ({"p_percent": -1.0, "moisture_percent": 20.0}, "less than 0"),
        (
            {"n_percent": 2.0, "ammonium_n_percent": 3.0, "moisture_percent": 20.0},
            "more ammonium",
        ),
        ({"n_percent": 2.0, "moisture_percent": 100.0}, "moisture"),
        ({"n_percent": 2.0}, "moisture is not told"),
    ],
)
def test_an_analysis_that_cannot_be_is_refused(given, complaint):
    with pytest.raises(MissingInputError, match=complaint):
        OrganicAnalysis("heap", None, Basis.DRY, **given)


@pytest.mark.parametrize("rate", [0.0, -1.0, 600.0, math.nan])
def test_a_rate_that_nobody_spreads_is_refused(rate):
    with pytest.raises(MissingInputError, match="t/ha"):
        OrganicDressing(typical_analysis("litter_straw"), rate)
