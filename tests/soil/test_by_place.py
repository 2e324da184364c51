import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.by_place import RowMatch, depth_notes, place_of_rows, results_by_place

NAMES, IDS = ("North", "South rise"), ("z1", "z2")


def by_place(table, place_of_row, *, key="colwell_p", depth_cm="0-10", place_count=2):
    return results_by_place(
        table,
        key,
        place_of_row=np.array(place_of_row),
        place_count=place_count,
        depth_cm=depth_cm,
    )


def places(table, *, matches=(), located=None):
    found = np.full(len(table.sample_ids), -1) if located is None else np.array(located)
    return place_of_rows(
        table, place_names=NAMES, place_ids=IDS, matches=tuple(matches), located=found
    )


def test_the_mean_and_its_error_are_those_of_the_samples(make_table):
    results = by_place(make_table({"colwell_p": ["10", "20", "30", "40"]}), [0, 0, 0, 1])
    # 10, 20, 30: mean 20, standard deviation 10, error 10 / sqrt(3)
    np.testing.assert_allclose(results.mean, [20.0, 40.0])
    np.testing.assert_array_equal(results.count, [3, 1])
    np.testing.assert_allclose(results.standard_error, [5.773503, np.nan], atol=1e-6)
    assert results.analyte.key == "colwell_p"


def test_replicates_of_a_sample_are_averaged_before_the_samples(make_table):
    table = make_table({"colwell_p": ["10", "20", "45"]}, samples=["A", "a", "B"])
    results = by_place(table, [0, 0, 0])
    # sample A is 15 and sample B 45: the mean is 30, not 25
    assert results.mean[0] == pytest.approx(30.0)
    assert results.count[0] == 2
    assert results.standard_error[0] == pytest.approx(15.0)


def test_a_place_without_a_result_has_no_mean_and_no_samples(make_table):
    results = by_place(make_table({"colwell_p": ["10", ""]}), [0, 1])
    np.testing.assert_array_equal(np.isnan(results.mean), [False, True])
    np.testing.assert_array_equal(results.count, [1, 0])
    assert np.all(np.isnan(results.standard_error))


def test_an_analyte_that_the_sheet_lacks_has_no_result_anywhere(make_table):
    results = by_place(make_table({"colwell_p": ["10"]}), [0], key="pbi")
    assert results.analyte.key == "pbi"
    assert np.all(np.isnan(results.mean))
    np.testing.assert_array_equal(results.count, [0, 0])


def test_half_the_limit_stands_in_and_is_counted(make_table):
    results = by_place(make_table({"colwell_p": ["<5", "7.5", ">200"]}), [0, 0, 1])
    np.testing.assert_allclose(results.mean, [5.0, 200.0])
    np.testing.assert_array_equal(results.beyond_limit, [1, 1])


def test_rows_of_another_layer_are_left_out_and_a_blank_one_counts(make_table):
    table = make_table({"colwell_p": ["10", "20", "90"]}, depths_cm=["0-10", "", "10-20"])
    assert by_place(table, [0, 0, 0]).mean[0] == pytest.approx(15.0)
    assert by_place(table, [0, 0, 0], depth_cm="10-20").mean[0] == pytest.approx(55.0)


def test_rows_that_go_nowhere_are_left_out(make_table):
    results = by_place(make_table({"colwell_p": ["10", "<90"]}), [1, -1])
    np.testing.assert_array_equal(results.count, [0, 1])
    np.testing.assert_array_equal(results.beyond_limit, [0, 0])


def test_the_columns_are_read_only(make_table):
    results = by_place(make_table({"colwell_p": ["10"]}), [0])
    for column in (results.mean, results.count, results.standard_error, results.beyond_limit):
        with pytest.raises(ValueError, match="read-only"):
            column[0] = 1


@pytest.mark.parametrize("place_of_row", [[0], [0, 2], [0, -2]])
def test_places_that_do_not_fit_the_rows_are_refused(make_table, place_of_row):
    with pytest.raises(SoilInputError, match="do not fit"):
        by_place(make_table({"colwell_p": ["10", "20"]}), place_of_row)


def test_a_table_without_rows_gives_empty_places(make_table):
    results = by_place(make_table({"colwell_p": []}), np.array([], dtype=int))
    np.testing.assert_array_equal(results.count, [0, 0])


def test_the_sum_of_replicates_does_not_depend_on_their_order(make_table):
    # (0.1 + 0.2) + 0.3 is not (0.3 + 0.2) + 0.1 to the last digit
    one = by_place(make_table({"pbi": ["0.1", "0.2", "0.3"]}, samples="AAA"), [0] * 3, key="pbi")
    other = by_place(make_table({"pbi": ["0.3", "0.2", "0.1"]}, samples="AAA"), [0] * 3, key="pbi")
    assert one.mean[0] == other.mean[0]


ROWS = st.lists(
    st.tuples(
        st.sampled_from(["A", "B", "C", "D", "E"]),
        st.integers(-1, 3),
        st.floats(0.1, 500).map(lambda value: f"{value:.3f}"),
        st.sampled_from(["", "", "<", ">"]),
        st.sampled_from(["0-10", "", "10-20"]),
    ),
    min_size=1,
    max_size=25,
)
SAME_TABLE_MAKER = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def of_rows(make_table, rows, place=lambda p: p):
    samples, where, values, signs, depths = zip(*rows, strict=True)
    table = make_table(
        {"colwell_p": [s + v for s, v in zip(signs, values, strict=True)]},
        samples=samples,
        depths_cm=depths,
    )
    return by_place(table, [place(p) if p >= 0 else -1 for p in where], place_count=4)


@SAME_TABLE_MAKER
@given(rows=ROWS, data=st.data())
def test_the_order_of_rows_changes_nothing_at_all(make_table, rows, data):
    shuffled = data.draw(st.permutations(rows))
    one, other = of_rows(make_table, rows), of_rows(make_table, shuffled)
    np.testing.assert_array_equal(one.mean, other.mean)
    np.testing.assert_array_equal(one.count, other.count)
    np.testing.assert_array_equal(one.standard_error, other.standard_error)
    np.testing.assert_array_equal(one.beyond_limit, other.beyond_limit)


@SAME_TABLE_MAKER
@given(rows=ROWS, order=st.permutations(range(4)))
def test_the_order_of_places_changes_nothing_at_all(make_table, rows, order):
    one = of_rows(make_table, rows)
    other = of_rows(make_table, rows, place=lambda p: order[p])
    np.testing.assert_array_equal(one.mean, other.mean[order])
    np.testing.assert_array_equal(one.count, other.count[order])
    np.testing.assert_array_equal(one.standard_error, other.standard_error[order])


@SAME_TABLE_MAKER
@given(rows=ROWS)
def test_a_mean_lies_between_the_lowest_and_the_highest_result(make_table, rows):
    results = of_rows(make_table, rows)
    for place in range(4):
        used = [
            float(value) / (2 if sign == "<" else 1)
            for _, where, value, sign, depth in rows
            if where == place and depth != "10-20"
        ]
        assert np.isnan(results.mean[place]) == (not used)
        if used:
            assert min(used) - 1e-9 <= results.mean[place] <= max(used) + 1e-9


def test_results_of_another_layer_or_none_are_told(make_table):
    table = make_table(
        {"colwell_p": ["10", "20", "30", "40", ""]},
        depths_cm=["0-10", "10-20", "20-30", "", "20-30"],
    )
    other, blank = depth_notes(table, "colwell_p", depth_cm="0-10")
    assert "at 0-10 cm leaves out 2 of its results" in other.message
    assert "10-20, 20-30 cm" in other.message
    assert (other.row, other.value) == (3, "10-20")
    assert "counts 1 of its results whose depth is not told" in blank.message
    assert blank.row == 5


def test_nothing_is_told_where_all_results_are_of_the_layer(make_table):
    table = make_table({"colwell_p": ["10"]})
    assert depth_notes(table, "colwell_p", depth_cm="0-10") == ()
    assert depth_notes(table, "pbi", depth_cm="0-10") == ()


def test_zone_names_are_compared_without_case_and_spaces(make_table):
    table = make_table({"pbi": ["1", "2"]}, zones=["NORTH", " south   Rise"])
    rows, notes = places(table)
    np.testing.assert_array_equal(rows, [0, 1])
    assert notes == ()


def test_a_hand_made_match_comes_before_the_name_and_the_name_before_the_position(make_table):
    table = make_table({"pbi": ["1", "2", "3"]}, zones=["North", "North", ""])
    rows, _ = places(table, matches=[RowMatch("s1", "z2")], located=[0, 0, 1])
    np.testing.assert_array_equal(rows, [1, 0, 1])


def test_a_match_to_an_unknown_sample_is_refused(make_table):
    with pytest.raises(UnknownChoiceError, match="names the sample 'S9'") as caught:
        places(make_table({"pbi": ["1"]}), matches=[RowMatch("S9", "z1")])
    assert "S1" in caught.value.note.mend


def test_a_match_to_an_unknown_place_is_refused(make_table):
    with pytest.raises(UnknownChoiceError, match="names the place 'z9'") as caught:
        places(make_table({"pbi": ["1"]}), matches=[RowMatch("S1", "z9")])
    assert "z1, z2" in caught.value.note.mend


def test_two_matches_of_one_sample_are_refused(make_table):
    table = make_table({"pbi": ["1"]})
    with pytest.raises(UnknownChoiceError, match="matched to two places"):
        places(table, matches=[RowMatch("S1", "z1"), RowMatch("S1", "z2")])
    rows, _ = places(table, matches=[RowMatch("S1", "z1"), RowMatch("S1", "z1")])
    np.testing.assert_array_equal(rows, [0])
