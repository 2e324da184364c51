"""The line at the bottom while work begins and ends."""

from PySide6.QtWidgets import QProgressBar


def test_the_map_stays_where_it_is_when_work_begins_and_ends(qtbot, window):
    view = window.map.view()
    progress = window.findChild(QProgressBar, "workProgress")
    window.status.show_work(1, 3, "Reading a raster")
    qtbot.waitUntil(progress.isVisible)
    qtbot.wait(50)
    assert window.map.view() == view
    window.status.show_idle()
    qtbot.wait(50)
    assert not progress.isVisible()
    assert window.map.view() == view
