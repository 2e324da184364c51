"""Classes of soil tests: the bands that were read, their limits, and places on the scale."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.analytes import analyte
from vrxapp.soil.interpretation import interpretation
from vrxapp.soil.interpretation_scales import default_scale, scale, scales, scales_for
from vrxapp.sources import Grade, source

ANY_SCALE = st.sampled_from(scales())


def inputs_for(of_scale, steps):
    """A soil for which one of the steps of a scale holds."""
    clay = np.nan if np.isnan(steps.clay_from_percent) else steps.clay_from_percent
    return {"clay_percent": clay, "texture": steps.texture}


@pytest.mark.parametrize(
    ("key", "value", "clay", "expected"),
    [  # Rayment and Lyons 2011: Tables 4.1, 3.1, 6.1, 7.1 and 9.4, chapter 5; PBI as in WA tables
        pytest.param("ph-water", 5.3, np.nan, "strongly acid", id="CLASS-01"),
        pytest.param("ph-water", 8.6, np.nan, "strongly alkaline", id="CLASS-02"),
        pytest.param("salinity-by-clay", 0.50, 30, "high: tolerant crops cope", id="CLASS-03"),
        pytest.param(
            "salinity-by-clay", 0.50, 50, "medium: moderately tolerant crops cope", id="CLASS-04"
        ),
        pytest.param("ece-crops", 5.0, np.nan, "high: tolerant crops cope", id="CLASS-05"),
        pytest.param("chloride", 450, np.nan, "medium", id="CLASS-06"),
        pytest.param("oc-northeast", 1.2, np.nan, "low", id="CLASS-07"),
        pytest.param("total-n-queensland", 0.18, np.nan, "medium", id="CLASS-08"),
        pytest.param("colwell-natural", 25, np.nan, "medium", id="CLASS-09"),
        pytest.param("pbi", 455.77, np.nan, "high", id="CLASS-10"),
        pytest.param("pbi", 60, np.nan, "very low", id="CLASS-11"),
        # Table 18.2 prints 0.1 to 0.2 cmol/kg as low: 0.15 x 391 = 58.6 mg/kg
        pytest.param("bicarbonate-k", 58.6, np.nan, "low", id="KSOIL-01"),
        pytest.param("dtpa-zn", 0.40, np.nan, "low", id="TRACE-01"),
        pytest.param("dtpa-fe", 3.0, np.nan, "marginal", id="TRACE-02"),
        pytest.param("boron-water", 0.70, np.nan, "low", id="TRACE-03"),
        pytest.param("kcl40-canola", 6.0, np.nan, "below the critical range", id="SSOIL-01"),
        pytest.param("kcl40-wheat-sands", 3.0, np.nan, "inside the critical range", id="SSOIL-02"),
        # Making More from Sheep, tool 7.3: 12 to 15 is marginal by both tests
        pytest.param("olsen-pasture", 13, np.nan, "marginal", id="PCRIT-05"),
        pytest.param("bray1-pasture", 11, np.nan, "responsive", id="Bray P"),
        # Mason et al. 2010, abstract: 66 ug/L
        pytest.param("dgt-wheat", 60.0, np.nan, "below the critical value", id="DGT, grain"),
        # Rutgers: 46 to 71 lb/ac is medium, so 23 to 35.5 mg/kg
        pytest.param("mehlich3-p-new-jersey", 30.0, np.nan, "medium", id="Mehlich-3 P"),
        # WA: 2 to 5 ppm harms sensitive plants
        pytest.param("al-cacl2", 3.0, np.nan, "harms roots of sensitive plants", id="Al in CaCl2"),
        # Northcote and Skene 1972 in method 15N1
        pytest.param("sodicity", 6.0, np.nan, "sodic", id="ESP 6"),
        pytest.param("sodicity", 15.0, np.nan, "sodic", id="ESP 15"),
        pytest.param("sodicity", 15.01, np.nan, "strongly sodic", id="ESP over 15"),
    ],
)
def test_a_value_gets_the_published_class(key, value, clay, expected):
    found = interpretation([value], scale(key), clay_percent=clay)
    assert found.words.tolist() == [expected]
    assert found.lacking.tolist() == [""]


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("chloride", 299.99, "low"),
        ("chloride", 300.0, "medium"),  # the lower end belongs to the class
        ("ph-water", 5.04, "very strongly acid"),  # rounded to 5.0 first
        ("ph-water", 5.05, "strongly acid"),  # a half goes up, to 5.1
        ("pbi", 70.4, "very low"),
        ("pbi", 70.5, "low"),
        ("dtpa-zn", 0.55, "low"),  # between two printed bands the lower one holds
        ("pbi", 900.0, "above high"),
        ("dtpa-zn", 1.0, "marginal"),  # printed as 0.6 to 1.0, and above 1.0
        ("dtpa-zn", 1.01, "adequate"),
        ("kcl40-canola", 7.5, "inside the critical range"),
        ("kcl40-canola", 7.51, "above the critical range"),
        ("mehlich3-p-new-jersey", 68.5, "high"),  # 137 lb/ac
        ("mehlich3-p-new-jersey", 68.6, "very high"),
    ],
)
def test_limits_belong_to_the_class_above_them_unless_printed_as_above(key, value, expected):
    assert interpretation([value], scale(key)).words[0] == expected


def test_each_place_is_judged_by_its_own_clay():
    found = interpretation(
        [0.5, 0.5, 0.5, np.nan, 0.5],
        scale("salinity-by-clay"),
        clay_percent=[20, 19.9, 5, 30, np.nan],
    )
    assert found.class_number.tolist() == [3, 3, -1, -1, -1]
    # 0.5 of 0.45 to 0.76, and of 0.34 to 0.63: the fourth of six classes
    assert found.position[:2] == pytest.approx([(3 + 0.05 / 0.31) / 6, (3 + 0.16 / 0.29) / 6])
    assert found.lacking.tolist() == [
        "",
        "",
        "the scale has no classes for its clay content, or it is not told",
        "no result",
        "the scale has no classes for its clay content, or it is not told",
    ]


def test_a_scale_by_texture_asks_for_the_texture():
    found = interpretation(
        [130, 130, 130], scale("colwell-k-pasture"), texture=["Sand", "clay loam", ""]
    )
    assert found.words.tolist() == [
        "at or above the critical value",
        "below the critical value",
        "",
    ]
    assert "texture" in found.lacking[2]


def test_a_value_under_the_lowest_printed_class_has_none():
    found = interpretation([1.0], scale("ph-water"))
    assert found.words[0] == ""
    assert found.lacking[0] == "below the lowest class of the scale"


@given(st.data())
def test_position_and_class_rise_with_the_value(data):
    of_scale = data.draw(ANY_SCALE)
    steps = data.draw(st.sampled_from(of_scale.steps))
    highest = min(analyte(of_scale.analyte_key).highest, steps.from_values[-1] * 3)
    values = sorted(data.draw(st.lists(st.floats(steps.from_values[0], highest), min_size=2)))
    found = interpretation(values, of_scale, **inputs_for(of_scale, steps))
    assert np.all(np.diff(found.position) >= 0)
    assert np.all(np.diff(found.class_number) >= 0)
    assert np.all((found.position >= 0) & (found.position <= 1))


@given(st.data())
def test_the_position_lies_within_its_class(data):
    of_scale = data.draw(ANY_SCALE)
    steps = data.draw(st.sampled_from(of_scale.steps))
    highest = min(analyte(of_scale.analyte_key).highest, steps.from_values[-1] * 3)
    value = data.draw(st.floats(steps.from_values[0], highest))
    found = interpretation([value], of_scale, **inputs_for(of_scale, steps))
    width = 1 / len(steps.words)
    start = found.class_number[0] * width
    assert start - 1e-9 <= found.position[0] <= start + width + 1e-9


@given(st.data())
def test_a_lower_end_gets_its_own_class(data):
    of_scale = data.draw(ANY_SCALE)
    steps = data.draw(st.sampled_from(of_scale.steps))
    found = interpretation(steps.from_values, of_scale, **inputs_for(of_scale, steps))
    assert found.words.tolist() == list(steps.words)


@pytest.mark.parametrize("of_scale", scales(), ids=lambda s: s.key)
def test_each_scale_is_whole(of_scale):
    assert of_scale.analyte_key == analyte(of_scale.analyte_key).key
    assert source(of_scale.source).grade is of_scale.grade
    assert len({steps.words for steps in of_scale.steps}) == 1
    for steps in of_scale.steps:
        assert len(steps.words) == len(set(steps.words)) == len(steps.from_values) >= 2
        assert np.all(np.diff(steps.from_values) > 0)
        assert steps.where


def test_no_scale_from_memory_is_a_default():
    unverified = [known for known in scales() if known.grade is not Grade.PUBLISHED]
    assert {known.key for known in unverified} >= {"exch-k-metson", "ca-mg-eckert", "al-saturation"}
    assert not any(known.is_default for known in unverified)
    assert all("unverified" in known.name for known in unverified)


@pytest.mark.parametrize(
    "analyte_key", ["olsen_p", "mehlich3_p", "bray1_p", "ph_cacl2", "colwell_k"]
)
def test_a_test_never_gets_the_class_of_another_method(analyte_key):
    assert default_scale(analyte_key, crop="wheat", depth_cm="0-10", knows_clay=True) is None
    assert all(known.analyte_key == analyte_key for known in scales_for(analyte_key))


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"analyte_key": "ec_1_5"}, "salinity-without-texture"),
        ({"analyte_key": "ec_1_5", "knows_clay": True}, "salinity-by-clay"),
        ({"analyte_key": "dgt_p", "crop": "wheat"}, "dgt-wheat"),
        ({"analyte_key": "dgt_p", "crop": "canola"}, None),
        ({"analyte_key": "sulfur_kcl40", "crop": "wheat", "depth_cm": "0-30"}, "kcl40-wheat"),
        ({"analyte_key": "sulfur_kcl40", "crop": "wheat", "depth_cm": "0-10"}, None),
        ({"analyte_key": "organic_carbon"}, "oc-northeast"),
        ({"analyte_key": "exch_k"}, None),
    ],
)
def test_the_default_fits_the_test_the_crop_and_the_layer(asked, expected):
    found = default_scale(**asked)
    assert (found.key if found else None) == expected


@pytest.mark.parametrize("analyte_key", sorted({known.analyte_key for known in scales()}))
def test_no_analyte_has_two_defaults_for_one_question(analyte_key):
    asked = [
        (known.crop, known.depth_cm, any(s.clay_from_percent >= 0 for s in known.steps))
        for known in scales()
        if known.analyte_key == analyte_key and known.is_default
    ]
    assert len(asked) == len(set(asked))


@pytest.mark.parametrize("value", [-1.0, 15.0])
def test_what_cannot_be_measured_is_refused(value):
    with pytest.raises(SoilInputError, match="pH in water lies between 0 and 14"):
        interpretation([6.0, value], scale("ph-water"))


def test_an_unknown_scale_is_refused_with_those_there_are():
    with pytest.raises(UnknownChoiceError, match="no scale has the key") as caught:
        scale("nobody")
    assert "ph-water" in caught.value.note.mend


def test_the_columns_are_read_only():
    with pytest.raises(ValueError, match="read-only"):
        interpretation([6.0], scale("ph-water")).position[0] = 0.0
