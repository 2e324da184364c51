"""Pairs of results: the two pH, carbon and nitrogen, aluminium and pH."""

import pytest

from vrxapp.soil.pair_checks import pair_notes


@pytest.mark.parametrize(
    ("water", "chloride", "gap"),
    [pytest.param("6.0", "4.3", "1.7", id="QA-04")],  # 0.2 to 1.2 is plausible
)
def test_two_ph_too_far_apart_are_queried_with_their_gap(make_table, water, chloride, gap):
    (note,) = pair_notes(make_table({"ph_water": [water], "ph_cacl2": [chloride]}))
    assert f"is {gap} above that in calcium chloride (4.3)" in note.message
    assert (note.row, note.value) == (2, "6")


@pytest.mark.parametrize("carbon_key", ["organic_carbon", "total_oc"])
@pytest.mark.parametrize(
    ("carbon", "nitrogen", "queried"),
    [
        ("1.2", "0.10", False),
        ("0.8", "0.10", False),  # 8: on the limit
        ("0.79", "0.10", True),
        ("2.0", "0.10", False),  # 20: on the limit
        ("2.1", "0.10", True),
        ("1.2", "0", False),
        ("1.2", "", False),
        ("<0.1", "0.10", False),
    ],
)
def test_carbon_to_nitrogen_outside_8_to_20_is_queried(
    make_table, carbon_key, carbon, nitrogen, queried
):
    notes = list(pair_notes(make_table({carbon_key: [carbon], "total_n": [nitrogen]})))
    assert bool(notes) is queried
    assert all("units of both" in note.mend for note in notes)


@pytest.mark.parametrize(
    ("aluminium", "ph", "queried"),
    [
        ("0.2", "5.1", True),
        ("0.1", "5.1", False),
        ("0.2", "5.0", False),
        ("<0.2", "5.5", False),
        ("0.2", "", False),
    ],
)
def test_aluminium_in_soil_that_is_not_acid_is_queried(make_table, aluminium, ph, queried):
    notes = list(pair_notes(make_table({"exch_al": [aluminium], "ph_cacl2": [ph]})))
    assert bool(notes) is queried
    assert all(note.column == "Exchangeable aluminium" for note in notes)
