"""Surroundings of all window tests: no screen needed, one style, one font."""

import os

# Before anything imports Qt's application: windows are drawn into memory.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QFont

from vrxapp.desktop.application import application, fill
from vrxapp.desktop.main_window import MainWindow
from vrxapp.workflows.sample_farm import sample_farm


@pytest.fixture(scope="session", autouse=True)
def plain_look(qapp):
    """Make pixels the same on every desktop."""
    qapp.setStyle("Fusion")
    qapp.setFont(QFont("DejaVu Sans", 10))


@pytest.fixture
def private_settings(qapp, tmp_path, monkeypatch):
    """Keep remembered folders and unsaved farms of a test away from the user's."""
    application()
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path / "settings")
    )


@pytest.fixture(scope="session")
def sample():
    """The invented farm."""
    return sample_farm()


@pytest.fixture
def window(qtbot, private_settings, sample):
    """The whole window with the sample farm in it, painted once."""
    window = MainWindow()
    qtbot.addWidget(window)
    window.show()
    fill(window, sample)
    qtbot.waitUntil(window.map.is_sharp)
    yield window
    window.desk.jobs.cancel()
    window.desk.jobs.wait(5_000)
