"""The legend has ground of its own: a fitted map covers nothing of the paddock with it."""

import pytest

from vrxapp.legend import Legend

from .conftest import EAST, GREEN, NORTH, PLUM, STRAW


def test_a_fitted_map_keeps_clear_of_its_legend(qtbot, show_map, unlabelled_zones, color_at):
    view = show_map(unlabelled_zones, width=900, height=400)
    view.set_legend(Legend("Rate", "kg/ha", (PLUM, GREEN, STRAW)))
    view.fit()
    qtbot.waitUntil(view.is_sharp)
    assert color_at(view, 395.0, 5.0) == GREEN.fill


def test_an_edit_that_widens_the_legend_moves_nothing(qtbot, show_map, unlabelled_zones):
    view = show_map(unlabelled_zones, width=900, height=400)
    view.set_legend(Legend("Rate", "kg/ha", (PLUM,)))
    view.fit()
    before = view.view()
    view.set_legend(Legend("A much longer title than before", "kg/ha", (PLUM, GREEN, STRAW)))
    view.set_layers(view.layers())
    assert view.view() == before


@pytest.mark.parametrize("width", [300, 240])
def test_on_a_small_map_the_legend_lies_over_the_ground(show_map, unlabelled_zones, width):
    view = show_map(unlabelled_zones, width=width, height=300)
    view.set_legend(Legend("Rate", "kg/ha", (PLUM, GREEN, STRAW)))
    view.fit()
    x, _ = view.view().to_pixels(EAST + 200.0, NORTH + 150.0)
    assert x == pytest.approx(width / 2, abs=2.0)
