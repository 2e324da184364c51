"""Claims for humates: each has its grade, and none lowers a rate."""

import math

import pytest

from vrxapp.agronomy.humate_claims import (
    Evidence,
    HumicMaterial,
    claims_for,
    humate_claim,
    humate_claims,
    told_claim,
)
from vrxapp.agronomy.humate_credits import HumicEffect, Standing, humate_credits
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import source

# handbook 2.2; "strong" there is "published effect" here, and CLM-05 rose from "none found"
# when a factorial trial and one without its control were found
HANDBOOK = {
    "CLM-01": Evidence.PUBLISHED_EFFECT,
    "CLM-02": Evidence.MIXED,
    "CLM-03": Evidence.WEAK,
    "CLM-04": Evidence.WEAK,
    "CLM-05": Evidence.WEAK,
    "CLM-06": Evidence.COMMON_PRACTICE,
    "CLM-07": Evidence.CONTRADICTED,
    "CLM-08": Evidence.MIXED,
    "CLM-09": Evidence.MIXED,
    "CLM-10": Evidence.WEAK,
    "CLM-11": Evidence.CONTRADICTED,
    "CLM-12": Evidence.NONE_FOUND,
    "CLM-13": Evidence.NONE_FOUND,
    "CLM-14": Evidence.CONTRADICTED,
    "CLM-15": Evidence.MIXED,
    "CLM-16": Evidence.MIXED,
    "CLM-17": Evidence.NONE_FOUND,
    "CLM-18": Evidence.WEAK,
    "CLM-19": Evidence.MIXED,
    "CLM-20": Evidence.MIXED,
    "CLM-21": Evidence.NONE_FOUND,
    "CLM-22": Evidence.CONTRADICTED,
}


@pytest.mark.parametrize(
    ("claim_id", "evidence"), [pytest.param(key, HANDBOOK[key], id=key) for key in HANDBOOK]
)
def test_a_claim_has_the_handbook_grade(claim_id, evidence):
    assert humate_claim(claim_id).evidence is evidence


@pytest.mark.parametrize(
    ("claim_id", "said"),
    [
        ("CLM-23", "Nitrate and sulfate"),
        ("CLM-24", "third better"),
        ("CLM-25", "Seed burn from DAP"),
        ("CLM-26", "Fungi"),
        ("CLM-27", "Bacteria"),
        ("CLM-28", "work better together"),
    ],
)
def test_what_people_bring_is_there_and_is_no_published_effect(claim_id, said):
    claim = humate_claim(claim_id)
    assert said in claim.claim
    assert claim.evidence in (Evidence.WEAK, Evidence.NONE_FOUND, Evidence.CONTRADICTED)


@pytest.mark.parametrize("claim", humate_claims(), ids=lambda claim: claim.id)
def test_a_claim_is_whole(claim):
    assert claim.reading
    assert source(claim.source).grade is claim.grade
    assert set(claim.materials) <= {material.value for material in HumicMaterial}
    has_size = not (math.isnan(claim.effect_percent) and math.isnan(claim.low_percent))
    assert has_size == bool(claim.interval)
    assert not claim.effect_percent < claim.low_percent
    assert not claim.effect_percent > claim.high_percent
    assert not claim.low_percent > claim.high_percent
    if claim.evidence in (Evidence.NONE_FOUND, Evidence.CONTRADICTED):
        assert not has_size


def test_a_size_is_told_with_what_its_range_is():
    told = told_claim(humate_claim("CLM-01"))
    assert "(shoot dry weight +22 %, +18 to +26 %; as printed, error or interval not told)" in told
    assert "(maize grain +1 to +4 %; range of" in told_claim(humate_claim("CLM-02"))
    assert "interval not in the abstract" in told_claim(humate_claim("CLM-03"))


@pytest.mark.parametrize("material", list(HumicMaterial))
def test_the_best_proven_comes_first(material):
    order = list(Evidence)
    ranks = [order.index(claim.evidence) for claim in claims_for(material)]
    assert ranks
    assert ranks == sorted(ranks)


def test_an_unknown_claim_is_refused():
    with pytest.raises(UnknownChoiceError):
        humate_claim("CLM-99")


@pytest.mark.parametrize("is_accepted", [True, False])
@pytest.mark.parametrize("material", list(HumicMaterial))
def test_no_yield_is_ever_credited(material, is_accepted):
    standing = {c.effect: c.standing for c in humate_credits(material, is_accepted=is_accepted)}
    assert set(standing) == set(HumicEffect)
    assert standing[HumicEffect.YIELD] is Standing.NOT_CREDITED
    assert standing[HumicEffect.EXCHANGE] is Standing.NOT_CREDITED


def test_brown_coal_gets_no_credit_however_good_its_papers_are():
    coal = humate_credits(HumicMaterial.BROWN_COAL, is_accepted=True)
    assert {credit.standing for credit in coal} == {Standing.NOT_CREDITED}


def test_a_soluble_humate_gets_no_credit_before_it_is_accepted():
    before = humate_credits(HumicMaterial.SOLUBLE_HUMATE, is_accepted=False)
    after = humate_credits(HumicMaterial.SOLUBLE_HUMATE, is_accepted=True)
    assert {credit.standing for credit in before} == {Standing.NOT_CREDITED}
    assert Standing.MAY_BE_SAID in {credit.standing for credit in after}
    assert "water test" in next(c.reason for c in before if c.effect is HumicEffect.COMPLEXING)
