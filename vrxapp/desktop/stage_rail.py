"""The rail of stages on the left, in the order of the work; none is gated by another."""

from dataclasses import dataclass

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtWidgets import QButtonGroup, QToolButton, QVBoxLayout, QWidget

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.icons import icon


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: its name, what it is for, and whether there is anything in it yet."""

    key: str
    name: str
    purpose: str
    is_ready: bool


STAGES = (
    Stage("ground", "Ground", "hectares, exclusions, gates and others, where to sample",
          is_ready=True),
    Stage("zones", "Zones", "draw, split, merge and bend zones", is_ready=True),
    Stage("tests", "Tests", "laboratory results, and the zone of each sample", is_ready=True),
    Stage("rates", "Rates", "what each zone needs, which product, how much", is_ready=True),
    Stage("strips", "Strips", "will be for laying check strips and seeing what they can show",
          is_ready=False),
    Stage("handover", "Handover", "files for the spreader, read back and compared", is_ready=True),
    Stage("proof", "Proof", "will be for yield, leaf and soil tests, and whether it paid",
          is_ready=False),
)  # fmt: skip


class StageRail(QWidget):
    """One button a stage; those that have nothing yet say what they will be for."""

    stage_chosen = Signal(str)  # key of the stage

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("stageRail")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._group = QButtonGroup(self)
        self._buttons: dict[str, QToolButton] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 8)
        layout.setSpacing(2)
        for number, stage in enumerate(STAGES, start=1):
            button = self._button(stage, number)
            self._buttons[stage.key] = button
            self._group.addButton(button)
            layout.addWidget(button)
        layout.addStretch(1)

    def _button(self, stage: Stage, number: int) -> QToolButton:
        """The button of one stage."""
        button = QToolButton(self)
        button.setObjectName(f"{stage.key}StageButton")
        button.setText(stage.name)
        button.setAccessibleName(f"Stage {stage.name}")
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
        button.setIconSize(QSize(24, 24))
        button.setFixedWidth(84)
        button.setCheckable(True)
        button.setEnabled(stage.is_ready)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        if stage.is_ready:
            button.setShortcut(f"Ctrl+{number}")
            button.setToolTip(f"{stage.name}: {stage.purpose} (Ctrl+{number})")
        else:
            button.setToolTip(f"{stage.name} {stage.purpose}; there is nothing in it yet")
        button.clicked.connect(lambda: self.stage_chosen.emit(stage.key))
        return button

    @Slot(str)
    def show_stage(self, key: str) -> None:
        """Mark a stage as the one that is open."""
        self._buttons[key].setChecked(True)

    def set_scheme(self, scheme: Scheme) -> None:
        """Draw the icons in the colour of the text."""
        for key, button in self._buttons.items():
            button.setIcon(icon(f"stage-{key}", scheme.text))
