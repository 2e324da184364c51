import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import UnknownChoiceError
from vrxapp.soil.sheet_matching import depth_in, layer_cm, proposed_matches

PADDOCKS = ("Long Bend", "Two Mile")
ZONES = ("Creek flat", "Red rise", "Ridge run")


@pytest.fixture
def propose(make_table):
    """A function that proposes for one sample id."""

    def one(sample, *, zones=ZONES, paddocks=PADDOCKS, samples_zone="", depths=("",)):
        table = make_table(
            {"pbi": ["80"]}, samples=[sample], depths_cm=depths, zones=[samples_zone]
        )
        (found,) = proposed_matches(table, paddock_names=paddocks, zone_names=zones)
        return found

    return one


@pytest.mark.parametrize(
    ("sample", "paddock", "zone", "depth"),
    [
        ("Long Bend - Creek flat 0-10", "Long Bend", "Creek flat", "0-10"),
        ("LONG BEND/creek-flat (10 to 20 cm)", "Long Bend", "Creek flat", "10-20"),
        ("LB/CF 10-20cm", "Long Bend", "Creek flat", "10-20"),
        ("red rise", None, "Red rise", ""),
        ("Two Mile_0-7,5", "Two Mile", None, "0-7.5"),
        ("S17", None, None, ""),
        ("Rise", None, "Red rise", ""),
    ],
)
def test_what_a_sample_id_tells_is_proposed(propose, sample, paddock, zone, depth):
    found = propose(sample)
    assert (found.row, found.paddock, found.zone, found.depth_cm) == (0, paddock, zone, depth)


def test_two_zones_that_fit_are_candidates_and_none_is_proposed(propose):
    found = propose("LB/RR 10-20cm")
    assert found.zone is None
    assert found.candidates == ("Red rise", "Ridge run")
    assert "zone may be Red rise, Ridge run" in found.why


def test_a_name_found_by_a_part_alone_is_to_be_confirmed(propose):
    assert propose("Rise").is_by_part
    assert propose("Creek 0-10", paddocks=("Other",)).zone == "Creek flat"
    assert not propose("Red rise").is_by_part
    assert propose("Red 0-10").zone is None  # three letters name nothing by themselves


def test_the_longer_name_wins(propose):
    assert (
        propose("Creek flat east 0-10", zones=("Creek flat", "Creek flat east")).zone
        == "Creek flat east"
    )


def test_the_words_of_the_paddock_do_not_name_the_zone(propose):
    assert propose("Creek 0-10", paddocks=("Creek",), zones=("Creek",)).zone is None
    assert propose("Creek Creek 0-10", paddocks=("Creek",), zones=("Creek",)).zone == "Creek"


def test_what_a_column_tells_goes_before_the_sample_id(propose):
    found = propose("Creek flat 0-10", zones=ZONES, depths=["10-20"])
    assert found.depth_cm == "10-20"
    named = propose("Creek flat", samples_zone="Red rise")
    assert named.zone == "Red rise"


@pytest.mark.parametrize(
    "text", ["2024-25 A", "A 12-10-2025", "A 10-0", "0-10 and 10-20", "P12-3x", "A-1"]
)
def test_what_may_be_no_layer_is_not_taken_for_one(text):
    assert depth_in(text)[0] == ""


@given(sample=st.text(max_size=30))
def test_a_proposal_is_always_one_of_the_names(make_table_static, sample):
    (found,) = proposed_matches(make_table_static(sample), paddock_names=PADDOCKS, zone_names=ZONES)
    assert found.paddock in (None, *PADDOCKS)
    assert found.zone in (None, *ZONES)
    assert found.why


@pytest.fixture(scope="module")
def make_table_static():
    """Makes a table of one sample without a layer."""
    import numpy as np

    from vrxapp.soil.results_table import ResultsTable

    def one(sample):
        none = np.array([np.nan])
        return ResultsTable("f", np.array([2]), (sample,), ("",), none, none, ("",), ())

    return one


@pytest.mark.parametrize(("text", "layer"), [("0-10", "0-10"), (" 10 to 20cm ", "10-20"), ("", "")])
def test_a_typed_layer_is_kept_in_one_way_of_writing(text, layer):
    assert layer_cm(text) == layer


@pytest.mark.parametrize("text", ["10", "10-0", "shallow", "0-10 and 10-20", "x 0-10"])
def test_what_is_no_layer_is_refused(text):
    with pytest.raises(UnknownChoiceError, match="not a layer") as caught:
        layer_cm(text)
    assert "0-10" in caught.value.note.mend
