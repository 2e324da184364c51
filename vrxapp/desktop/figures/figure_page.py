"""The page of figures: a list by subject, a form, and the result as one types."""

from itertools import pairwise

from PySide6.QtCore import QUrl, Signal, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vrxapp.desktop.figures.figure_form import FigureForm
from vrxapp.desktop.figures.search_list import ListEntry, SearchList
from vrxapp.desktop.figures.text_page import side_by_side, told_text
from vrxapp.desktop.figures.told_html import LINK, refused_html, waiting_html, working_html
from vrxapp.desktop.stages.sheet_parts import faint, title
from vrxapp.errors import VrxError
from vrxapp.workflows.worked_figures.example import example_inputs
from vrxapp.workflows.worked_figures.figure import WorkedFigure
from vrxapp.workflows.worked_figures.figure_inputs import figure_inputs
from vrxapp.workflows.worked_figures.registry import FIGURES, figure_called
from vrxapp.workflows.worked_figures.working import still_to_give, worked

SEVERAL = "Several places: 4.1, 5.2. Not known: ?"


class FigurePage(QWidget):
    """One figure at a time; what was typed stays for the next visit to the same figure."""

    source_requested = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._figure: WorkedFigure | None = None
        self._typed: dict[str, dict[str, str]] = {}
        self.list = SearchList("figures", "figures", self)
        self._title = title("", self)
        self._title.setObjectName("figureTitle")
        self._title.setWordWrap(True)
        self._form = FigureForm((), {}, self)
        self._several = faint(SEVERAL, self, name="figureHint")
        self._example = self._button("figureExampleButton", "Fill in the &example")
        self._example.setToolTip(
            "Put the worked example of the source or the program into the form"
        )
        self._copy = self._button("figureCopyButton", "&Copy")
        self._copy.setToolTip("Copy the result with equation and sources as text")
        self._answer = told_text("figureAnswer", "Result, equation and sources", self)
        self._answer.anchorClicked.connect(self._on_link)
        self._lay_out()
        self._example.clicked.connect(self._on_example)
        self._copy.clicked.connect(self._on_copy)
        self.list.chosen.connect(self.show_figure)
        self.list.entered.connect(lambda: self._form.begin())
        self.list.fill(_by_subject())

    def _button(self, name: str, text: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(name)
        button.setAutoDefault(False)  # Enter in a field is no click
        return button

    def _lay_out(self) -> None:
        right = QWidget(self)
        self._column = QVBoxLayout(right)
        self._column.setContentsMargins(6, 6, 0, 0)
        buttons = QHBoxLayout()
        buttons.addWidget(self._several, 1)
        buttons.addWidget(self._example)
        buttons.addWidget(self._copy)
        self._column.addWidget(self._title)
        self._column.addWidget(self._form)
        self._column.addLayout(buttons)
        self._column.addWidget(self._answer, 1)
        side_by_side(self, self.list, right)

    def begin(self) -> None:
        """Put the cursor into the search."""
        self.list.search.setFocus()

    @Slot(str)
    def show_figure(self, name: str) -> None:
        """Show the form of a figure; without one the form is empty."""
        if self._figure is not None:
            self._typed[self._figure.name] = self._form.given()
        self._figure = figure_called(name) if name else None
        figure = self._figure
        self._title.setText(figure.title if figure else "")
        entries = figure_inputs(figure) if figure else ()
        example = example_inputs(figure) if figure else {}
        form = FigureForm(entries, example, self)
        self._column.replaceWidget(self._form, form)
        form.show()  # the layout would show it later than the next key comes
        self._form.setParent(None)  # at once, so that no field is found twice
        self._form.deleteLater()
        self._form = form
        self._example.setEnabled(bool(example))
        self._several.setVisible(bool(entries))
        form.changed.connect(self._show)
        form.fill(self._typed.get(name, {}))
        order = (self.list.tree, *form.fields(), self._example, self._copy, self._answer)
        for before, after in pairwise(order):
            QWidget.setTabOrder(before, after)

    @Slot()
    def _show(self) -> None:
        """Work the figure out by what stands in the form, or say what is in the way."""
        figure = self._figure
        self._copy.setEnabled(False)
        if figure is None:
            self._answer.clear()
            return
        given = self._form.given()
        missing = still_to_give(figure, given)
        if missing:
            self._answer.setHtml(waiting_html(figure, missing))
            return
        try:
            self._answer.setHtml(working_html(worked(figure, given)))
            self._copy.setEnabled(True)
        except VrxError as error:
            self._answer.setHtml(refused_html(figure, error))

    @Slot()
    def _on_example(self) -> None:
        if self._figure is not None:
            self._form.fill(example_inputs(self._figure))

    @Slot()
    def _on_copy(self) -> None:
        """Copy the result as text, under the figure's title."""
        text = f"{self._title.text()}\n{self._answer.toPlainText()}"
        QGuiApplication.clipboard().setText(text)

    @Slot(QUrl)
    def _on_link(self, url: QUrl) -> None:
        self.source_requested.emit(url.toString().removeprefix(LINK))


def _by_subject() -> dict[str, list[ListEntry]]:
    """Every figure under its subject."""
    groups: dict[str, list[ListEntry]] = {}
    for figure in FIGURES:
        told = (figure.function.__doc__ or "").partition("\n")[0]
        words = f"{figure.name} {figure.title} {figure.subject} {told}"
        entry = ListEntry(figure.name, figure.title, f"{figure.title}\n{told}", words)
        groups.setdefault(str(figure.subject), []).append(entry)
    return groups
