"""The line at the bottom: position, area, scale, and running work with a cancel."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QToolButton, QWidget

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.icons import icon


class StatusLine(QWidget):
    """What is under the pointer and what the program is doing."""

    cancel_requested = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("statusLine")
        self._position = self._label("positionLabel")
        self._scale = self._label("scaleLabel")
        self._area = self._label("areaLabel")
        self._stage = self._label("workLabel")
        self._bar = QProgressBar(self)
        self._bar.setObjectName("workProgress")
        self._bar.setAccessibleName("Progress of the running work")
        self._bar.setFixedWidth(140)
        self._bar.setTextVisible(False)
        self._cancel = QToolButton(self)
        self._cancel.setObjectName("cancelWorkButton")
        self._cancel.setAccessibleName("Cancel the running work")
        self._cancel.setToolTip("Cancel the running work (Esc)")
        self._cancel.setAutoRaise(True)
        self._cancel.clicked.connect(self.cancel_requested)
        for widget in (self._bar, self._cancel):
            _keep_place(widget)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(10, 2, 10, 2)
        layout.setSpacing(18)
        for widget in (self._position, self._scale, self._area):
            layout.addWidget(widget)
        layout.addStretch(1)
        for widget in (self._stage, self._bar, self._cancel):
            layout.addWidget(widget)
        self.show_idle()

    def _label(self, name: str) -> QLabel:
        label = QLabel(self)
        label.setObjectName(name)
        label.setTextFormat(Qt.TextFormat.PlainText)
        return label

    @Slot(float, float)
    def show_position(self, easting_m: float, northing_m: float) -> None:
        """Tell where the pointer is."""
        self._position.setText(f"E {easting_m:,.1f} m   N {northing_m:,.1f} m")

    @Slot(float)
    def show_scale(self, metres_per_pixel: float) -> None:
        """Tell how much ground a pixel holds."""
        self._scale.setText(f"{metres_per_pixel:.3g} m per pixel")

    def show_area(self, text: str) -> None:
        """Tell the area of the paddock."""
        self._area.setText(text)

    @Slot(int, int, str)
    def show_work(self, done: int, total: int, stage: str) -> None:
        """Tell how far running work is."""
        for widget in (self._bar, self._cancel):
            widget.setVisible(True)
        self._stage.setText(stage)
        self._bar.setMaximum(total)
        self._bar.setValue(done)

    @Slot()
    def show_idle(self) -> None:
        """No work is running."""
        self._stage.clear()
        for widget in (self._bar, self._cancel):
            widget.setVisible(False)

    def set_scheme(self, scheme: Scheme) -> None:
        """Draw the icon in the colour of the text."""
        self._cancel.setIcon(icon("cancel-work", scheme.text))


def _keep_place(widget: QWidget) -> None:
    """Keep a hidden widget's place, or the map would move whenever work begins and ends."""
    policy = widget.sizePolicy()
    policy.setRetainSizeWhenHidden(True)
    widget.setSizePolicy(policy)
