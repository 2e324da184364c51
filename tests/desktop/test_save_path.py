"""The file that a dialog for saving means."""

import pytest

from vrxapp.desktop.save_path import save_path
from vrxapp.errors import TargetExistsError

KINDS = "Page (*.html);;Map (*.tif *.tiff)"


@pytest.mark.parametrize(
    ("typed", "chosen", "meant"),
    [
        ("plan.html", "", "plan.html"),
        ("plan.TIFF", "Page (*.html)", "plan.TIFF"),
        ("plan", "", "plan.html"),
        ("plan", "Map (*.tif *.tiff)", "plan.tif"),
        ("plan of 3.4 ha", "", "plan of 3.4 ha.html"),
    ],
)
def test_a_name_gets_the_suffix_of_its_kind_where_it_has_none_of_them(
    tmp_path, typed, chosen, meant
):
    assert save_path(str(tmp_path / typed), KINDS, chosen=chosen) == tmp_path / meant


def test_a_file_that_the_dialog_asked_about_may_be_replaced(tmp_path):
    (tmp_path / "plan.html").touch()
    assert save_path(str(tmp_path / "plan.html"), KINDS) == tmp_path / "plan.html"


def test_a_file_that_it_did_not_ask_about_may_not(tmp_path):
    (tmp_path / "plan.html").touch()
    with pytest.raises(TargetExistsError, match=r"plan\.html exists already"):
        save_path(str(tmp_path / "plan"), KINDS)
