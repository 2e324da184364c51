"""The dialog for a lab sheet: first its columns, then its rows, then it is used."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from vrxapp.desktop.lab.columns_page import ColumnsPage
from vrxapp.desktop.lab.rows_model import RowsModel
from vrxapp.desktop.lab.rows_page import RowsPage
from vrxapp.desktop.message_bar import MessageBar
from vrxapp.desktop.theme import scheme_of
from vrxapp.edits.sheet_rows import use_rows
from vrxapp.errors import VrxError
from vrxapp.farm import Farm
from vrxapp.files.lab_sheets.layout import LabLayout
from vrxapp.files.lab_sheets.preview import SheetPreview
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.lab_sheets import read_seen_sheet


class LabSheetDialog(QDialog):
    """Two pages over one sheet; results without a sheet (typed ones) have the rows alone."""

    def __init__(
        self,
        farm: Farm,
        *,
        seen: SheetPreview | None = None,
        table: ResultsTable | None = None,
        is_dark: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("labSheetDialog")
        name = seen.sheet.file if seen is not None else table.file if table is not None else ""
        self.setWindowTitle(f"Lab sheet: {name}")
        self.resize(860, 640)
        self._farm, self._seen, self.table = farm, seen, table
        self._message = MessageBar(self)
        self._message.set_scheme(scheme_of(is_dark=is_dark))
        self._pages = QStackedWidget(self)
        self._columns = ColumnsPage(seen, self) if seen is not None else None
        self._rows = RowsPage(self)
        if self._columns is not None:
            self._pages.addWidget(self._columns)
            self._columns.layout_changed.connect(self._message.hide)
        self._pages.addWidget(self._rows)
        self._make_buttons()
        layout = QVBoxLayout(self)
        layout.addWidget(self._message)
        layout.addWidget(self._pages, 1)
        layout.addWidget(self._buttons)
        self._rows.changed.connect(self._show_buttons)
        self._rows.refused.connect(self._message.tell_error)
        self._show_buttons()

    def _make_buttons(self) -> None:
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, self)
        self._back = self._add("labBackButton", "&Back", self._on_back)
        self._next = self._add("labNextButton", "&Next: the rows", self._on_next)
        self._use = self._add("labUseButton", "&Use these results", self.accept)
        self._buttons.rejected.connect(self.reject)

    def _add(self, name: str, text: str, do: Callable[[], None]) -> QPushButton:
        button = self._buttons.addButton(text, QDialogButtonBox.ButtonRole.ActionRole)
        button.setObjectName(name)
        button.clicked.connect(do)
        return button

    def show_rows(self, table: ResultsTable) -> None:
        """Open the page of the rows."""
        self.table = table
        self._rows.show_rows(RowsModel(self._farm, table))
        self._pages.setCurrentWidget(self._rows)
        self._message.hide()
        self._show_buttons()

    def tell(self, error: VrxError) -> None:
        """Say why the sheet cannot be read as it is."""
        self._message.tell_error(error)

    @Slot()
    def _on_next(self) -> None:
        assert self._columns is not None
        try:
            table = read_seen_sheet(self._columns.seen, self.corrected_layout())
        except VrxError as error:
            self._message.tell_error(error)
        else:
            self.show_rows(table)

    @Slot()
    def _on_back(self) -> None:
        self._pages.setCurrentIndex(0)
        self._show_buttons()

    @Slot()
    def _show_buttons(self) -> None:
        """Show the buttons of the page; results can be used once one row has a paddock."""
        on_rows = self._pages.currentWidget() is self._rows
        model = self._rows.model
        self._back.setVisible(on_rows and self._columns is not None)
        self._next.setVisible(not on_rows)
        self._use.setVisible(on_rows)
        used = model is not None and any(place.season_id for place in model.places())
        self._use.setEnabled(used)
        (self._use if on_rows else self._next).setDefault(True)

    def corrected_layout(self) -> LabLayout | None:
        """The layout where it was put right; None where the sheet is read as it was opened."""
        if self._columns is None or self._seen is None:
            return None
        layout = self._columns.seen.layout
        return None if layout == self._seen.layout else layout

    def change(self) -> Callable[[Farm], Farm]:
        """The edit that gives the rows to the farm."""
        assert self.table is not None
        assert self._rows.model is not None
        return partial(use_rows, table=self.table, places=self._rows.model.places())
