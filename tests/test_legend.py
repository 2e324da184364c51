"""The legend: readable classes, and colours that can be told apart by everyone."""

from itertools import pairwise

import numpy as np
import pytest

from vrxapp.legend import (
    AMOUNT_RAMP,
    CHECK_STRIP,
    DARK,
    EXCLUSION,
    LESS_RAMP,
    LIGHT,
    MORE_RAMP,
    NO_RATE,
    Hatch,
    Step,
    amount_classes,
    capped,
    marked,
    measured_classes,
    ramp_colors,
)

SCHEMES = [pytest.param(LIGHT, id="light"), pytest.param(DARK, id="dark")]
RAMP_FILLS = ramp_colors(AMOUNT_RAMP, 8)
DIFFERENCE_FILLS = [*ramp_colors(LESS_RAMP, 4), *ramp_colors(MORE_RAMP, 4)]
FILLS = [*RAMP_FILLS, *DIFFERENCE_FILLS, NO_RATE.fill, CHECK_STRIP.fill, EXCLUSION.fill]

# Machado, Oliveira and Fernandes 2009, doi:10.1109/TVCG.2009.113, full severity.
BLINDNESS = {
    "none": np.eye(3),
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def linear(color):
    """Linear red, green and blue, as WCAG 2.2 defines relative luminance."""
    channels = np.array([int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def luminance(color):
    return float(linear(color) @ [0.2126, 0.7152, 0.0722])


def contrast(one, other):
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def lab(linear_color):
    """CIE L*a*b* under D65."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    x, y, z = (
        share ** (1 / 3) if share > 0.008856 else 7.787 * share + 16 / 116
        for share in to_xyz @ np.clip(linear_color, 0, 1) / [0.9505, 1.0, 1.089]
    )
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def labels(classed):
    return [step.label for step in classed.legend.steps]


def test_white_on_black_has_the_contrast_that_the_standard_names():
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_and_lines_stand_out_from_what_lies_around_them(scheme):
    for ground in (scheme.background, scheme.halo, scheme.plate):
        assert contrast(scheme.text, ground) >= 4.5
    for color in (scheme.ink, scheme.accent):
        assert contrast(color, scheme.background) >= 3.0
        assert contrast(color, scheme.halo) >= 3.0


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("fill", FILLS)
def test_the_rim_of_every_fill_is_seen(scheme, fill):
    assert contrast(scheme.edge, fill) >= 3.0
    outside = max(contrast(color, scheme.background) for color in (scheme.edge, fill))
    assert outside >= 3.0


@pytest.mark.parametrize("step", [NO_RATE, CHECK_STRIP, EXCLUSION])
def test_what_has_no_amount_is_hatched_and_the_hatch_is_seen(step):
    assert step.hatch is not Hatch.NONE
    assert contrast(step.fill, step.hatch_ink) >= 3.0


def test_each_special_ground_has_a_hatch_of_its_own():
    hatches = {NO_RATE.hatch, CHECK_STRIP.hatch, EXCLUSION.hatch, Hatch.FALLING}
    assert len(hatches) == 4


@pytest.mark.parametrize("fill", RAMP_FILLS)
def test_the_hatch_of_a_cap_is_seen_on_every_amount(fill):
    classed = capped(amount_classes([1.0], title="", unit=""), [True])
    assert contrast(fill, classed.legend.steps[0].hatch_ink) >= 3.0


def test_more_is_always_lighter():
    lightness = [luminance(fill) for fill in RAMP_FILLS]
    assert all(lower < higher for lower, higher in pairwise(lightness))


@pytest.mark.parametrize("blindness", BLINDNESS)
def test_neighbouring_classes_differ_to_every_eye(blindness):
    # A difference of 2.3 is just noticeable side by side; on a map much more is needed.
    for fills in (RAMP_FILLS, ramp_colors(LESS_RAMP, 4), ramp_colors(MORE_RAMP, 4)):
        seen = [lab(BLINDNESS[blindness] @ linear(fill)) for fill in fills]
        assert min(np.linalg.norm(one - other) for one, other in pairwise(seen)) > 12.0


@pytest.mark.parametrize("blindness", BLINDNESS)
def test_less_and_more_are_not_mistaken_for_each_other(blindness):
    less, more = (lab(BLINDNESS[blindness] @ linear(ramp[-1])) for ramp in (LESS_RAMP, MORE_RAMP))
    assert np.linalg.norm(less - more) > 40.0


def test_few_rates_are_a_class_each():
    classed = amount_classes([80, 120, 80, 100.00000001, 100], title="Urea", unit="kg/ha")
    assert labels(classed) == ["80 kg/ha", "100 kg/ha", "120 kg/ha"]
    assert classed.step_of_row.tolist() == [0, 2, 0, 1, 1]
    assert classed.legend.title == "Urea"
    assert classed.legend.unit == "kg/ha"


def test_many_rates_fall_between_round_breaks():
    classed = amount_classes(np.linspace(83, 147, 50), title="Urea", unit="kg/ha")
    assert labels(classed)[0] == "80 to 90 kg/ha"
    assert labels(classed)[-1] == "140 to 150 kg/ha"
    assert classed.step_of_row[0] == 0
    assert classed.step_of_row[-1] == 6


def test_a_break_belongs_to_the_class_above_and_the_top_to_the_last():
    rates = [0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5]
    classed = amount_classes(rates, title="Zinc", unit="kg/ha")
    assert labels(classed) == [
        "0 to 0.1 kg/ha",
        "0.1 to 0.2 kg/ha",
        "0.2 to 0.3 kg/ha",
        "0.3 to 0.4 kg/ha",
        "0.4 to 0.5 kg/ha",
    ]
    assert classed.step_of_row.tolist() == [0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]


@pytest.mark.parametrize("span", [0.003, 1.0, 7.7, 64.0, 1e3, 2.5e6])
def test_classes_stay_few(span):
    classed = amount_classes(np.linspace(0.31 * span, 1.31 * span, 400), title="", unit="t")
    assert 3 <= len(classed.legend.steps) <= 8
    assert np.bincount(classed.step_of_row).min() > 0


def test_a_place_without_a_rate_says_so():
    classed = amount_classes([80.0, np.nan], title="Urea", unit="kg/ha")
    assert classed.legend.steps[classed.step_of_row[1]] is NO_RATE
    assert amount_classes([], title="Urea", unit="kg/ha").legend.steps == ()


def test_a_number_without_a_unit_has_no_trailing_blank():
    assert labels(amount_classes([5.2], title="pH", unit="")) == ["5.2"]


def test_marked_places_get_a_step_of_their_own():
    classed = amount_classes([80.0, 80.0, 120.0], title="Urea", unit="kg/ha")
    striped = marked(classed, [False, True, False], CHECK_STRIP)
    assert labels(striped) == ["80 kg/ha", "120 kg/ha", "check strip"]
    assert striped.step_of_row.tolist() == [0, 2, 1]
    assert marked(classed, [False] * 3, CHECK_STRIP) is classed


def test_a_capped_rate_keeps_its_color_and_is_hatched():
    classed = amount_classes([80.0, 120.0, 120.0, 150.0], title="Urea", unit="kg/ha")
    result = capped(classed, [False, False, True, True])
    assert labels(result) == ["80 kg/ha", "120 kg/ha", "120 kg/ha, capped", "150 kg/ha, capped"]
    assert result.step_of_row.tolist() == [0, 1, 2, 3]
    plain, hatched = result.legend.steps[1:3]
    assert (hatched.fill, hatched.hatch) == (plain.fill, Hatch.FALLING)


def test_a_single_color_comes_from_the_middle_of_a_ramp():
    assert ramp_colors(("#000000", "#202020", "#404040"), 1) == ["#202020"]
    assert ramp_colors(("#000000", "#202020", "#404040"), 0) == []
    assert Step("", ramp_colors(AMOUNT_RAMP, 2)[0]).fill == AMOUNT_RAMP[0]


def test_measured_classes_are_open_at_both_ends_and_odd_values_do_not_stretch_them():
    values = np.concatenate([np.linspace(10.0, 80.0, 1_000), [9_999.0]])
    classes = measured_classes(values, title="Conductivity", unit="mS/m")
    names = [step.label for step in classes.legend.steps]
    assert names[0] == "under 20 mS/m"
    assert names[-1] == "60 or more mS/m"
    assert len(names) == len(classes.breaks) + 1
    shaped = np.array([[9_999.0, 19.9], [20.0, np.nan]])
    assert classes.step_of(shaped).tolist() == [[len(names) - 1, 0], [1, -1]]


@pytest.mark.parametrize(
    ("values", "label"), [([5.0, 5.0], "5 mm"), ([], "no values"), ([np.nan], "no values")]
)
def test_a_surface_of_one_value_or_none_has_one_class(values, label):
    classes = measured_classes(values, title="Rain", unit="mm")
    assert [step.label for step in classes.legend.steps] == [label]
    assert classes.step_of(np.array([5.0, np.nan])).tolist() == [0, -1]
