"""What must never meet is refused whatever the order; what mixes badly is told."""

import math
import re
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import VrxError
from vrxapp.inputs.compatibility import (
    SECURITY_SENSITIVE_PERCENT,
    Verdict,
    ammonium_nitrate_percent,
    holds_organic_carbon,
    mixing_cautions,
    mixing_class,
    mixing_rules,
    nitrate_counted_percent,
    refusal,
    require_no_refusal,
)
from vrxapp.inputs.products import Material, Product, typical_products
from vrxapp.sources import Grade, source

TYPICAL = {product.key: product for product in typical_products()}
HUMATE = TYPICAL["soluble_humate"]
COAL = Product("coal", "Granules", 0, 0, 0, 0, material=Material.COAL)
FULVIC = Product("fulvic", "Powder", 0, 0, 0, 0, material=Material.FULVATE)
NPK = Product("npk", "Compound", 15, 6, 12, 2, nitrate_n_percent=6, ammonium_n_percent=9)
SULFUR = Product("sulfur", "Sulfur pastilles", 0, 0, 0, 90)
BURNT = Product(
    "q", "Hot lime", 0, 0, 0, 0, material=Material.LIMING_MATERIAL, neutralising_value_percent=170
)
CLASSES = {
    **{product.mixing_class: product for product in typical_products()},
    "brown coal": COAL,
    "fulvic powder": FULVIC,
    "nitrate-based compound": NPK,
    "elemental sulfur": SULFUR,
    "burnt or hydrated lime": BURNT,
}
OXIDISER_IDS = [  # DRY ids of organic matter with a nitrate
    *("DRY-034", "DRY-035", "DRY-036", "DRY-050", "DRY-051", "DRY-052", "DRY-137", "DRY-138"),
    *("DRY-139", "DRY-144", "DRY-145", "DRY-146", "DRY-158", "DRY-159"),
]
RULES = {rule.id: rule for rule in mixing_rules()}

percents = st.one_of(st.just(math.nan), st.just(0.0), st.floats(0.01, 10))


@st.composite
def products(draw):
    """Products of every material, with told and untold composition."""
    number = draw(st.integers(0, 10_000))
    return Product(
        f"p{number}",
        f"Product {number}",
        draw(st.sampled_from([0.0, 20.0])),
        draw(st.floats(0, 20)),
        0.0,
        0.0,
        material=draw(st.sampled_from(list(Material))),
        organic_c_percent=draw(percents),
    )


@pytest.mark.parametrize("rule_id", OXIDISER_IDS)
def test_organic_matter_with_a_nitrate_is_refused(rule_id):
    rule = RULES[rule_id]
    pair = (CLASSES[rule.first], CLASSES[rule.second])
    found = refusal(pair)
    assert rule.verdict is Verdict.NO
    assert found is not None
    assert found == refusal(pair[::-1])
    assert source(found.source).grade is found.grade is Grade.PUBLISHED


@pytest.mark.parametrize(
    "nitrate",
    [
        pytest.param("ammonium_nitrate", id="MIX-01"),
        pytest.param("calcium_ammonium_nitrate", id="MIX-04"),
    ],
)
def test_the_handbooks_mixes_with_humate_are_refused_without_a_quantity(nitrate):
    found = refusal((TYPICAL[nitrate], HUMATE))
    told = f"{found.reason} {found.caution} {found.instead}"
    assert not re.search(r"\d", told)
    assert "explosive" in found.caution
    assert "separate passes on separate days" in found.instead
    assert found.organic == (HUMATE.name,)
    assert found.nitrate == (TYPICAL[nitrate].name,)


@pytest.mark.parametrize(
    ("n_percent", "expected"),
    [
        pytest.param(27.0, 77.1, id="MIX-04"),
        pytest.param(15.75, SECURITY_SENSITIVE_PERCENT, id="MIX-05"),
    ],
)
def test_ammonium_nitrate_follows_from_the_nitrogen(n_percent, expected):
    half = n_percent / 2
    can = Product("c", "C", n_percent, 0, 0, 0, nitrate_n_percent=half, ammonium_n_percent=half)
    assert ammonium_nitrate_percent(can) == pytest.approx(expected, abs=0.1)


def test_ammonium_nitrate_is_no_more_than_its_scarcer_half():
    assert ammonium_nitrate_percent(TYPICAL["potassium_nitrate"]) == 0
    assert ammonium_nitrate_percent(TYPICAL["urea"]) == 0
    # 1.3 % of N as ammonium: 2.6 / 0.35
    assert ammonium_nitrate_percent(TYPICAL["calcium_nitrate"]) == pytest.approx(7.43, abs=0.01)


def test_nitrogen_of_no_told_form_counts_as_nitrate():
    blank = Product("blend", "Blend", 20.0, 5.0, 0.0, 0.0)
    assert nitrate_counted_percent(blank) == 20
    found = refusal((blank, HUMATE))
    assert found is not None
    assert "is not told" in found.reason
    assert "tell so" in found.instead
    told = replace(blank, nitrate_n_percent=0.0)
    assert refusal((told, HUMATE)) is None


def test_what_the_told_forms_leave_over_counts_as_nitrate():
    part = Product("b", "B", 20.0, 0.0, 0.0, 0.0, ammonium_n_percent=12.0)
    assert nitrate_counted_percent(part) == pytest.approx(8.0)
    whole = replace(part, urea_n_percent=8.0)
    assert nitrate_counted_percent(whole) == 0
    assert refusal((whole, HUMATE)) is None


@pytest.mark.parametrize("key", ["map", "dap", "urea", "ammonium_sulphate", "potassium_chloride"])
def test_humate_with_what_holds_no_nitrate_is_not_refused(key):
    assert refusal((TYPICAL[key], HUMATE)) is None
    require_no_refusal((TYPICAL[key], HUMATE))


@pytest.mark.parametrize(
    "name",
    [
        *("Potassium humate", "K-Humate 80", "K_HUMATE", "Humic granules", "Leonardite"),
        *("Brown coal", "Composted mulch", "Chicken litter", "Blood meal", "Organic pellets"),
    ],
)
def test_a_name_gives_organic_matter_away(name):
    product = Product("x", name, 1.0, 0.0, 8.0, 0.0, nitrate_n_percent=0.0)
    assert refusal((product, TYPICAL["calcium_ammonium_nitrate"])) is not None


@pytest.mark.parametrize("name", ["MAP", "Charged lime", "Inorganic salt", "Oatmealy blend"])
def test_other_names_do_not(name):
    assert not holds_organic_carbon(Product("x", name, 1.0, 0.0, 8.0, 0.0))


def test_a_product_that_tells_nothing_counts_as_organic():
    blank = Product("x", "Granules", 0.0, 0.0, 0.0, 0.0)
    assert refusal((blank, TYPICAL["ammonium_nitrate"])) is not None
    told = replace(blank, organic_c_percent=0.0)
    assert refusal((told, TYPICAL["ammonium_nitrate"])) is None


def test_a_premix_that_is_told_to_hold_both_is_refused_alone():
    premix = Product("x", "X", 26, 0, 0, 0, nitrate_n_percent=13, organic_c_percent=2)
    assert refusal((premix,)) is not None
    compost = replace(premix, n_percent=2, nitrate_n_percent=0.1, material=Material.COMPOST)
    assert refusal((compost,)) is None
    assert refusal((compost, HUMATE)) is not None  # its nitrate still counts in a mix


def test_the_refusal_as_an_error_says_what_to_do_instead():
    with pytest.raises(VrxError, match="oxidiser") as caught:
        require_no_refusal((HUMATE, TYPICAL["potassium_nitrate"]))
    assert caught.value.note.mend.startswith("Keep them apart")


@given(st.lists(products(), min_size=1, max_size=4))
def test_the_order_of_the_products_changes_nothing(mixed):
    first = refusal(mixed)
    assert all(refusal(order) == first for order in permutations(mixed))


@given(st.lists(products(), min_size=1, max_size=4))
def test_nothing_is_refused_without_organic_matter_and_a_nitrate(mixed):
    organic = [p for p in mixed if holds_organic_carbon(p)]
    nitrate = [p for p in mixed if nitrate_counted_percent(p) > 0]
    if not organic or not nitrate:
        assert refusal(mixed) is None
    if organic and nitrate and {id(p) for p in organic}.isdisjoint(map(id, nitrate)):
        assert refusal(mixed) is not None


@given(st.lists(products(), min_size=2, max_size=4))
def test_what_is_refused_stays_refused_with_more_in_the_mix(mixed):
    if refusal(mixed[:-1]) is not None:
        assert refusal(mixed) is not None


def told(*keys):
    """The one caution about these typical products."""
    (caution,) = mixing_cautions([CLASSES.get(key) or TYPICAL[key] for key in keys])
    return caution


@pytest.mark.parametrize("rule", mixing_rules(), ids=lambda rule: rule.id)
def test_each_pair_of_the_table_is_told_as_strictly_as_it_stands(rule):
    cautions = mixing_cautions((CLASSES[rule.second], CLASSES[rule.first]))
    if rule.verdict is Verdict.OK and rule.grade is Grade.PUBLISHED:
        assert cautions == ()
        return
    (caution,) = cautions
    assert caution.grade is rule.grade
    expected = Verdict.NO if rule.verdict is Verdict.NO else Verdict.LIMITED
    assert caution.verdict is expected
    assert rule.condition in caution.sentence


@pytest.mark.parametrize("phosphate", ["triple_superphosphate", "single_superphosphate"])
def test_urea_with_superphosphate_is_not_to_be_mixed(phosphate):
    caution = told("urea", phosphate)
    assert caution.verdict is Verdict.NO
    assert "wets" in caution.sentence


def test_a_fine_pair_from_memory_is_told_as_unverified():
    caution = told("urea", "ammonium_sulphate")
    assert caution.verdict is Verdict.LIMITED
    assert "unverified" in caution.sentence


def test_a_product_that_the_table_does_not_know_is_not_covered():
    blend = Product("own", "Own blend", 20.0, 5.0, 0.0, 0.0, nitrate_n_percent=0.0)
    (caution,) = mixing_cautions((blend, TYPICAL["urea"]))
    assert "not covered" in caution.sentence
    assert mixing_class(blend) == ""


def test_the_users_own_product_of_a_known_name_is_known():
    own = Product("urea", "Urea", 46.0, 0.0, 0.0, 0.0, 700.0, "AUD")
    assert mixing_class(own) == "urea"


def test_the_worst_comes_first_and_order_does_not_matter():
    mixed = [TYPICAL[key] for key in ("map", "urea", "single_superphosphate")]
    found = mixing_cautions(mixed)
    assert found[0].verdict is Verdict.NO
    assert found == mixing_cautions(mixed[::-1])
