"""The texture of each place, by what its samples are told to have."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.soil.place_textures import place_textures
from vrxapp.soil.results_table import ResultsTable


def table(textures, samples=None):
    count = len(textures)
    none = np.full(count, np.nan)
    samples = samples or tuple(f"S{row}" for row in range(count))
    return ResultsTable(
        "lab.csv", np.arange(count), tuple(samples), ("",) * count, none, none, ("0-10",) * count,
        (), textures=tuple(textures),
    )  # fmt: skip


def found(textures, places, *, samples=None, count=2):
    sheet = table(textures, samples)
    told = place_textures(
        sheet,
        rows=np.arange(len(textures)),
        place_of_row=np.array(places, dtype=np.intp),
        place_count=count,
    )
    return told.tolist()


def test_most_samples_decide_in_our_spelling():
    assert found(["SL", "Sandy loam", "clay loam", "MC"], [0, 0, 0, 1]) == [
        "sandy loam",
        "medium clay",
    ]


def test_a_tie_and_a_place_without_samples_tell_nothing():
    assert found(["SL", "CL", "", "SL"], [0, 0, 1, -1]) == ["", ""]


def test_replicates_of_a_sample_have_one_voice():
    assert found(["SL", "SL", "CL", "CL"], [0, 0, 0, 0], samples=["A", "A", "B", "C"]) == [
        "clay loam",
        "",
    ]


def test_a_sheet_without_textures_tells_none_at_all():
    sheet = table(["x"])
    bare = ResultsTable(
        sheet.file, sheet.file_rows, sheet.sample_ids, sheet.zone_names, sheet.longitude_degree,
        sheet.latitude_degree, sheet.depths_cm, (),
    )  # fmt: skip
    told = place_textures(bare, rows=np.array([0]), place_of_row=np.array([0]), place_count=3)
    assert told.size == 0


@given(
    st.lists(st.tuples(st.sampled_from(["SL", "CL", "loam", ""]), st.integers(-1, 3))), st.randoms()
)
def test_the_order_of_rows_changes_nothing(rows, random):
    samples = [f"S{row}" for row in range(len(rows))]
    shuffled = list(zip(rows, samples, strict=True))
    random.shuffle(shuffled)
    first = found(*map(list, zip(*rows, strict=True)), samples=samples, count=4) if rows else []
    again = (
        found(
            [texture for (texture, _), _ in shuffled],
            [place for (_, place), _ in shuffled],
            samples=[sample for _, sample in shuffled],
            count=4,
        )
        if rows
        else []
    )
    assert first == again
