"""The document: one kind of edit, undone by showing the older value."""

from functools import partial

import pytest

from vrxapp.desktop.document import FarmDocument
from vrxapp.edits.rates import set_rate_cap, set_target_yield


@pytest.fixture
def document(qapp, sample):
    return FarmDocument(sample)


def test_an_edit_tells_which_parts_are_new(qtbot, document):
    with qtbot.waitSignal(document.changed) as told:
        document.edit("Aim at 5 t/ha", partial(set_target_yield, target_yield_t_ha=5.0))
    assert told.args[0] == {"seasons", "crop"}
    assert document.undo_stack.undoText() == "Aim at 5 t/ha"


def test_undo_brings_back_the_very_same_farm(document, sample):
    document.edit("Aim at 5 t/ha", partial(set_target_yield, target_yield_t_ha=5.0))
    richer = document.farm
    document.undo_stack.undo()
    assert document.farm is sample
    document.undo_stack.redo()
    assert document.farm is richer


def test_an_edit_that_changes_nothing_is_no_step(document):
    same = document.season.crop.target_yield_t_ha
    document.edit("Nothing", partial(set_target_yield, target_yield_t_ha=same))
    assert document.undo_stack.count() == 0


def test_the_plan_follows_the_edit(document):
    change = partial(set_rate_cap, operation_id=document.operation_id, rate_cap_kg_ha=100.0)
    document.edit("Cap at 100 kg/ha", change)
    assert document.plan().rates_kg_ha.max() == 100.0


def test_undo_goes_back_to_the_season_of_the_edit(qtbot, document):
    home, other = (season.id for season in document.farm.seasons[:2])
    document.edit("Aim at 5 t/ha", partial(set_target_yield, target_yield_t_ha=5.0))
    with qtbot.waitSignal(document.season_chosen):
        document.choose_season(other)
    assert document.undo_stack.count() == 1  # looking elsewhere is no edit
    document.undo_stack.undo()
    assert document.season_id == home
    assert document.season.crop.target_yield_t_ha == 4.0
    document.choose_season(other)
    document.undo_stack.redo()
    assert document.season_id == home
    assert document.season.crop.target_yield_t_ha == 5.0


def test_each_season_remembers_the_operation_that_was_shown(document):
    home, other = document.farm.seasons[:2]
    document.choose_season(other.id)
    assert document.operation is other.operations[0]
    document.choose_operation(other.operations[1].id)
    document.choose_season(home.id)
    assert document.operation is home.operations[0]
    document.choose_season(other.id)
    assert document.operation is other.operations[1]
