"""Salt index, against the handbook's check values."""

import pytest

from vrxapp.errors import UnknownChoiceError
from vrxapp.inputs.salt_index import SALT_INDEX_CAUTION, salt_index, salt_indices


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        pytest.param("potassium_chloride", 116.2, id="ENV-03"),
        pytest.param("urea", 74.4, id="ENV-04"),
    ],
)
def test_the_index_is_the_published_one(key, expected):
    # mortvedt-2001
    assert salt_index(key).value == expected


def test_sodium_nitrate_is_the_measure():
    assert salt_index("sodium_nitrate").value == 100


def test_phosphates_draw_least_but_ammonia_is_left_out():
    order = [row.key for row in sorted(salt_indices(), key=lambda row: row.value)]
    assert order.index("map") < order.index("urea") < order.index("potassium_chloride")
    assert "ammonia" in SALT_INDEX_CAUTION


def test_an_unknown_product_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="urea"):
        salt_index("sand")
