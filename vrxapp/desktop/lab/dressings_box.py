"""The dressings of the open paddock: noted from the fields beside, listed, and taken out."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QGroupBox,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.organic_dressing import OrganicDressing, YearSpread
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import combo_field, faint
from vrxapp.edits.dressings import add_dressing, remove_dressing
from vrxapp.errors import VrxError
from vrxapp.workflows.organics import OrganicSum, dressing_of, dressing_words


class DressingsBox(QGroupBox):
    """What is noted counts towards the needs of the paddock, and can be undone."""

    def __init__(
        self, document: FarmDocument, asked: Callable[[], OrganicSum], parent: QWidget
    ) -> None:
        super().__init__(f"Noted on {document.season.paddock.name}", parent)
        self._document, self._asked = document, asked
        self._list = QListWidget(self)
        self._list.setObjectName("dressingsList")
        self._list.setAccessibleName("Dressings of the paddock")
        self._list.setMaximumHeight(84)
        self._name = QLineEdit(self)
        self._name.setObjectName("dressingName")
        self._name.setAccessibleName("Name of the dressing")
        self._name.setPlaceholderText("Name, such as Feedlot 2025")
        self._year = combo_field("dressingYear", self)
        self._year.setAccessibleName("When it was spread")
        for year in YearSpread:
            self._year.addItem(str(year), year)
        self._tested = QCheckBox("Soil was &tested after it", self)
        self._tested.setObjectName("dressingTested")
        self._tested.setToolTip("The test then holds part of it, and nothing more is counted")
        self._said = faint("", self, name="dressingsSaid")
        self._lay_out()
        self._show()

    def _lay_out(self) -> None:
        """The list above, what is told of a new one below it."""
        note = self._button("noteDressingButton", "&Note it", "Count it towards the needs")
        note.clicked.connect(self._note)
        remove = self._button("removeDressingButton", "&Remove", "Take the chosen one out again")
        remove.clicked.connect(self._remove)
        row = QHBoxLayout()
        for widget in (self._name, self._year, self._tested, note, remove):
            row.addWidget(widget)
        layout = QVBoxLayout(self)
        layout.addWidget(self._list)
        layout.addLayout(row)
        layout.addWidget(self._said)

    def _button(self, name: str, text: str, tip: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(name)
        button.setToolTip(tip)
        button.setAutoDefault(False)
        return button

    @Slot()
    def _note(self) -> None:
        """Note what the fields beside tell."""
        try:
            made = dressing_of(
                self._asked(),
                self._name.text(),
                YearSpread(self._year.currentData()),
                is_in_test=self._tested.isChecked(),
            )
            self._document.edit(f"Note {made.analysis.name}", partial(add_dressing, dressing=made))
        except VrxError as error:
            self._said.setText(str(error))
            return
        self._show()

    @Slot()
    def _remove(self) -> None:
        """Take the chosen dressing out."""
        row = self._list.currentRow()
        if row >= 0:
            name = self._dressings()[row].analysis.name
            self._document.edit(f"Remove {name}", partial(remove_dressing, name=name))
            self._show()

    def _dressings(self) -> tuple[OrganicDressing, ...]:
        return self._document.season.dressings

    def _show(self) -> None:
        self._list.clear()
        self._list.addItems([f"{d.analysis.name}: {dressing_words(d)}" for d in self._dressings()])
        self._said.setText("" if self._dressings() else "None is noted yet.")
