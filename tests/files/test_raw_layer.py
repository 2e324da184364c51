import numpy as np
import pytest

from vrxapp.errors import InputFileError, UnknownChoiceError
from vrxapp.files.raw_layer import TableRows, chosen_layer


def test_the_only_layer_need_not_be_chosen():
    assert chosen_layer(("Zones",), "", file="a.gpkg") == "Zones"


def test_one_of_several_layers_must_be_chosen_by_name():
    assert chosen_layer(("Zones", "Dams"), "Dams", file="a.gpkg") == "Dams"
    with pytest.raises(UnknownChoiceError, match=r"holds 2 layers\. Choose one of: Zones, Dams"):
        chosen_layer(("Zones", "Dams"), "", file="a.gpkg")
    with pytest.raises(UnknownChoiceError, match=r"no layer 'dams'\. Choose one of: Zones, Dams"):
        chosen_layer(("Zones", "Dams"), "dams", file="a.gpkg")


def test_a_file_without_layers_is_refused():
    with pytest.raises(InputFileError, match="no layer of shapes"):
        chosen_layer((), "", file="a.gpkg")


def test_a_row_is_a_mapping_of_plain_values():
    rows = TableRows({"zone": np.array(["N", None], dtype=object), "ph": np.array([5.5, 6.0])}, 2)
    assert tuple(rows) == rows[:] == ({"zone": "N", "ph": 5.5}, {"zone": None, "ph": 6.0})
    assert type(rows[0]["ph"]) is float
    assert repr(rows[1]) == "{'zone': None, 'ph': 6.0}"
    assert len(TableRows({}, 3)) == 3
    with pytest.raises(IndexError):
        rows[2]
