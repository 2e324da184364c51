"""Where one more sample would pay, in one line of the Tests sheet."""

from functools import partial

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel

from vrxapp.edits.lab_tests import match_sample


def line(window):
    return window.findChild(QLabel, "nextSampleLabel")


def test_the_tests_sheet_tells_where_one_more_sample_would_pay(window):
    window.show_stage("tests")
    assert line(window).isVisible()
    assert line(window).text() == (
        "Where one more sample would pay most: Creek flat (at least 18 % chance of a wrong class)"
    )
    assert "Creek flat, 13.6 ha: it is taken for short" in line(window).toolTip()


def test_the_line_follows_an_edit_and_its_undo(window):
    document = window.desk.document
    before = line(window).text()
    sample = document.season.tests.sample_ids[0]
    names = document.season.zones.names
    change = partial(match_sample, sample_id=sample, zone_name=names[-1])
    document.edit("Join", change)
    assert line(window).text() != before
    window.findChild(QAction, "undoAction").trigger()
    assert line(window).text() == before
