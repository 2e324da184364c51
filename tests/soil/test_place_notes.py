import numpy as np

from vrxapp.soil.by_place import RowMatch, place_of_rows
from vrxapp.soil.place_notes import listed

NAMES, IDS = ("North", "South"), ("z1", "z2")


def joined(table, *, located, matches=()):
    return place_of_rows(
        table,
        place_names=NAMES,
        place_ids=IDS,
        matches=tuple(matches),
        located=np.array(located),
    )


def test_an_unknown_zone_name_is_told_once_with_its_samples_and_the_names_there_are(make_table):
    table = make_table({"pbi": ["1", "2", "3"]}, zones=["Nroth", "South", "nroth"])
    rows, (note,) = joined(table, located=[-1, -1, -1])
    np.testing.assert_array_equal(rows, [-1, 1, -1])
    assert "'Nroth' (samples S1, S3): not used" in note.message
    assert "North, South" in note.mend
    assert (note.file, note.row, note.column, note.value) == ("lab.csv", 2, "zone", "Nroth")


def test_an_unknown_zone_name_gives_way_to_the_position(make_table):
    table = make_table({"pbi": ["1"]}, zones=["Nroth"], positions=[(147.2, -35.1)])
    rows, (note,) = joined(table, located=[1])
    np.testing.assert_array_equal(rows, [1])
    assert "placed by its position instead" in note.message


def test_a_row_with_neither_zone_nor_position_is_told(make_table):
    table = make_table({"pbi": ["1", "2", "3"]}, zones=["", "", "South"])
    rows, (note,) = joined(table, located=[-1, -1, -1])
    np.testing.assert_array_equal(rows, [-1, -1, 1])
    assert note.message.startswith("neither a zone nor a position is told for samples S1, S2")
    assert (note.row, note.column) == (2, "zone")


def test_a_position_that_no_zone_holds_is_told_with_the_position(make_table):
    table = make_table({"pbi": ["1"]}, positions=[(147.2, -35.1)])
    rows, (note,) = joined(table, located=[-1])
    np.testing.assert_array_equal(rows, [-1])
    assert note.column == "longitude, latitude"
    assert note.value == "147.200000, -35.100000"
    assert "North, South" in note.mend


def test_a_name_that_disagrees_with_the_position_is_kept_and_told(make_table):
    table = make_table({"pbi": ["1"]}, zones=["North"], positions=[(147.2, -35.1)])
    rows, (note,) = joined(table, located=[1])
    np.testing.assert_array_equal(rows, [0])
    assert "names the zone 'North' but lies in 'South'; the name is used" in note.message
    assert note.value == "North"


def test_a_match_by_hand_silences_all_doubt(make_table):
    table = make_table({"pbi": ["1"]}, zones=["Nroth"], positions=[(147.2, -35.1)])
    rows, notes = joined(table, located=[1], matches=[RowMatch("S1", "z1")])
    np.testing.assert_array_equal(rows, [0])
    assert notes == ()


def test_a_long_list_of_names_is_cut_and_says_so():
    assert listed(f"S{i}" for i in range(14)).endswith("S11 and 2 more")
    assert listed(["A", "A", "B"]) == "A, B"
