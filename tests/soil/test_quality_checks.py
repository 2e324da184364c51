import pytest

from vrxapp.soil.quality_checks import quality_notes


def test_a_plausible_sheet_has_no_notes(make_table):
    table = make_table(
        {"colwell_p": ["30", "31"], "olsen_p": ["12", "13"], "ph_water": ["6.0", "6.1"]},
        samples=["A", "A"],
    )
    assert quality_notes(table) == ()


def test_every_kind_of_check_is_made(make_table):
    table = make_table(
        {
            "colwell_p": ["30", "90", "31"],  # replicates
            "ph_water": ["6.0", "6.0", "0.6"],  # the pair, and a decimal point
            "ph_cacl2": ["4.3", "", ""],
            "ec_1_5": ["0.1", "", ""],  # less than its chloride gives
            "chloride": ["900", "", ""],
            **{key: ["2", "", ""] for key in ("exch_ca", "exch_mg", "exch_k", "exch_na")},
            "ecec": ["6", "", ""],  # the cations are 8
        },
        samples=["A", "A", "B"],
    )
    columns = [note.column for note in quality_notes(table)]
    assert columns == [
        "pH in water",
        "pH in water",
        "Effective cation exchange capacity",
        "Electrical conductivity",
        "Colwell P",
    ]
    assert all(note.row and note.mend for note in quality_notes(table))


def test_colwell_below_olsen_is_queried_with_both_values(make_table):
    table = make_table({"colwell_p": ["30", "12"], "olsen_p": ["12", "30"]})
    (note,) = quality_notes(table)
    assert (note.file, note.row, note.column, note.value) == ("lab.csv", 3, "Colwell P", "12")
    assert "lower than its Olsen P (30)" in note.message
    assert note.mend


@pytest.mark.parametrize(
    ("colwell", "olsen", "queried"),
    [
        ("<5", "8", True),  # below 5 is below 8, whatever it is
        ("3", "<5", False),  # Olsen may be 2
        (">3", "8", False),  # Colwell may be 20
        ("3", ">8", True),
        ("", "8", False),
        ("8", "", False),
        ("8", "8", False),
    ],
)
def test_a_limit_is_queried_only_where_it_leaves_no_doubt(make_table, colwell, olsen, queried):
    table = make_table({"colwell_p": [colwell], "olsen_p": [olsen]})
    assert bool(quality_notes(table)) is queried


@pytest.mark.parametrize(
    ("water", "chloride", "queried"),
    [
        ("6.0", "4.3", True),  # 1.7 apart
        ("6.0", "5.9", True),  # 0.1 apart
        ("5.0", "5.6", True),  # the wrong way round
        ("7.0", "5.8", False),  # 1.2: on the limit
        ("6.0", "5.8", False),  # 0.2: on the limit
        ("6.0", "5.3", False),
        ("6.0", "", False),
        (">6.0", "4.3", False),
    ],
)
def test_the_gap_between_the_two_ph_tests_is_queried(make_table, water, chloride, queried):
    notes = quality_notes(make_table({"ph_water": [water], "ph_cacl2": [chloride]}))
    assert bool(notes) is queried
    assert all(note.column == "pH in water" and note.row == 2 for note in notes)


@pytest.mark.parametrize(
    ("second", "queried"),
    [("29", False), ("30", True)],  # 20 and 29: 36.7 % of their mean; 20 and 30: 40 %
)
def test_replicates_are_queried_beyond_what_laboratories_differ(make_table, second, queried):
    table = make_table({"colwell_p": ["20", second]}, samples=["A", " a "])
    assert bool(quality_notes(table)) is queried


def test_a_note_on_replicates_names_both_rows_and_the_source(make_table):
    table = make_table({"colwell_p": ["50", "24", "20", "60"]}, samples=["B", "A", "C", "A"])
    (note,) = quality_notes(table)
    assert (note.row, note.column, note.value) == (5, "Colwell P", "60")
    assert "24 in row 3 and 60 in row 5" in note.message
    assert "differ by 86 %" in note.message
    assert "rayment-lyons-2011, Table App. 2.1" in note.message


def test_of_three_replicates_the_widest_pair_counts(make_table):
    table = make_table({"pbi": ["100", "60", "140"]}, samples=["A", "A", "A"])
    (note,) = quality_notes(table)
    assert "60 in row 3 and 140 in row 4" in note.message


def test_rows_of_other_layers_and_results_beyond_a_limit_are_no_replicates(make_table):
    layers = make_table(
        {"colwell_p": ["20", "80"]}, samples=["A", "A"], depths_cm=["0-10", "10-20"]
    )
    limits = make_table({"colwell_p": ["<5", "80"]}, samples=["A", "A"])
    assert quality_notes(layers) == quality_notes(limits) == ()


def test_two_zero_results_are_no_difference(make_table):
    assert quality_notes(make_table({"colwell_p": ["0", "0"]}, samples=["A", "A"])) == ()


def test_replicates_without_a_result_are_passed_over(make_table):
    assert quality_notes(make_table({"colwell_p": ["", ""]}, samples=["A", "A"])) == ()
