"""Starts the window: an empty one at once, then everything that fills it."""

import gc
import sys
from typing import TYPE_CHECKING

from PySide6.QtCore import QSettings, QTimer
from PySide6.QtGui import QGuiApplication, Qt
from PySide6.QtWidgets import QApplication

from vrxapp import __version__
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.plain_imports import plain_imports
from vrxapp.desktop.refcount_guard import none_refcount_is_safe

if TYPE_CHECKING:
    from vrxapp.farm import Farm

UNSAFE = (
    "This version of the Qt binding loses references and would end the program without warning. "
    "Install PySide6-Essentials below 6.12, then start vrxapp again."
)


def application() -> QApplication:
    """The one application, with its names and its style."""
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setOrganizationName("vrxapp")
    app.setApplicationName("vrxapp")
    app.setApplicationVersion(__version__)
    app.setStyle("Fusion")
    return app


def wants_dark() -> bool:
    """Whether the user chose dark, or the desktop around is dark and nothing was chosen."""
    chosen = QSettings().value("look/dark")
    if chosen is not None:
        return str(chosen).casefold() == "true"
    return QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark


def fill(window: MainWindow, farm: "Farm | None" = None) -> None:
    """Put a farm, or else the sample farm, into a window that is already on screen.

    Nothing that comes to be here is garbage yet; looking for some takes a twentieth of the
    time, so that is left for later.
    """
    gc.disable()
    try:
        with plain_imports():
            from vrxapp.desktop.desk import Desk  # the core, brought in after the first paint
            from vrxapp.workflows.sample_farm import sample_farm

            window.bring_map()
            window.desk = Desk(window, farm or sample_farm())
        window.desk.offer_recovery()
    finally:
        gc.enable()


def _open_and_watch(window: MainWindow) -> None:
    """Fill the window; from then on an error that nobody caught is told in it."""
    sys.excepthook = lambda _kind, error, _trace: window.message.tell_error(error)
    fill(window)


def run() -> int:
    """Open the window and stay until it is closed."""
    app = application()
    if not none_refcount_is_safe():
        sys.stderr.write(UNSAFE + "\n")
        return 1
    window = MainWindow(is_dark=wants_dark())
    window.show()
    QTimer.singleShot(0, lambda: _open_and_watch(window))
    return app.exec()
