"""Texture in words, and the clay that it stands for."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.soil.interpretation import interpretation
from vrxapp.soil.interpretation_scales import scale
from vrxapp.soil.textures import clay_by_texture, texture_called, textures
from vrxapp.sources import Grade, source


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Sandy loam", "sandy loam"),
        ("  SANDY   LOAM ", "sandy loam"),
        ("ZCL", "silty clay loam"),
        ("medium-heavy clay", "medium heavy clay"),
    ],
)
def test_a_texture_is_known_by_word_and_by_letters(text, expected):
    assert texture_called(text).texture == expected


@pytest.mark.parametrize("text", ["", "clay", "peat", "brown"])
def test_what_names_no_grade_is_none(text):
    assert texture_called(text) is None


def test_no_spelling_stands_for_two_grades():
    spellings = [text for known in textures() for text in (known.texture, *known.spellings)]
    assert len(spellings) == len(set(spellings))


@pytest.mark.parametrize("known", textures(), ids=lambda t: t.texture)
def test_each_grade_has_a_range_and_a_source(known):
    assert known.clay_from_percent >= 0
    assert not known.clay_to_percent < known.clay_from_percent
    assert source(known.source).grade is known.grade is Grade.PUBLISHED


@given(st.lists(st.sampled_from([t.texture for t in textures()]), min_size=1, max_size=20))
def test_each_place_gets_the_clay_of_its_own_word(words):
    found = clay_by_texture(words)
    for word, clay in zip(words, found.values, strict=True):
        known = texture_called(word)
        assert known.clay_from_percent <= clay
        assert not clay > known.clay_to_percent


def test_clay_from_texture_is_an_estimate_and_keeps_its_shape():
    found = clay_by_texture([["clay loam", "mud"]])
    np.testing.assert_array_equal(found.values, [[32.5, np.nan]])
    assert "hand" in found.basis


def test_clay_from_texture_can_choose_a_class_of_salinity():
    clay = clay_by_texture(["sandy loam", "medium clay"])
    found = interpretation([0.5, 0.5], scale("salinity-by-clay"), clay_percent=clay.values)
    assert found.words.tolist() == [
        "high: tolerant crops cope",
        "medium: moderately tolerant crops cope",
    ]
