"""What is done with lab sheets on screen: opened, pasted, typed in, looked at, and used."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Qt, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QFileDialog

from vrxapp.desktop.actions import ActionSpec
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.desktop.main_window import MainWindow
from vrxapp.desktop.stages.lab_tests import TestsSheet
from vrxapp.errors import Note, VrxError
from vrxapp.farm import Farm
from vrxapp.progress import Progress

LAB_KINDS = "Lab sheet (*.csv *.txt *.xlsx)"
_FOLDER = "folders/lab"


@dataclass(frozen=True, slots=True)
class _Opened:
    """A sheet that was opened: its results, or why they cannot be read, and open questions."""

    seen: object
    table: object
    error: VrxError | None
    questions: int


class LabDesk(QObject):
    """Sheets go straight into the farm where nothing is open, else through the dialog."""

    def __init__(
        self, window: MainWindow, jobs: JobRunner, document: Callable[[], FarmDocument]
    ) -> None:
        super().__init__(window)
        self._window, self._jobs, self._document = window, jobs, document

    def specs(self) -> tuple[ActionSpec, ...]:
        """The actions of the Tests menu."""
        return (
            ActionSpec(
                "openLabAction",
                "Open &lab sheet…",
                "Open a sheet of results (CSV or XLSX)",
                "Ctrl+L",
                "",
                self.ask_for_sheet,
            ),
            ActionSpec(
                "pasteLabAction",
                "&Paste results",
                "Use cells copied from a spreadsheet",
                "Ctrl+Shift+V",
                "",
                self.paste,
            ),
            ActionSpec(
                "typeLabAction",
                "&Type results…",
                "Type results in, from a sheet on paper",
                "Ctrl+T",
                "",
                self.ask_for_typed,
            ),
            ActionSpec(
                "sheetNeedsAction",
                "&Needs of a sheet…",
                "What each sample of a lab sheet needs, without a map",
                "Ctrl+Shift+N",
                "",
                self.ask_for_needs,
            ),
            ActionSpec(
                "matchLabAction",
                "&Match rows…",
                "Say which paddock, zone and layer each row is from",
                "Ctrl+M",
                "",
                self.match_rows,
            ),
            ActionSpec(
                "leafTestsAction",
                "Lea&f tests…",
                "Judge leaf tests against ranges for crop, stage and part",
                "Ctrl+Shift+L",
                "",
                self.show_leaf_tests,
            ),
            ActionSpec(
                "organicAction",
                "&Compost and manure…",
                "What a compost, manure or litter carries, and what becomes available",
                "",
                "",
                self.ask_about_organic,
            ),
            ActionSpec(
                "historyAction",
                "&Earlier years…",
                "Lime, legume and phosphorus that earlier years left on this paddock",
                "",
                "",
                self.ask_about_history,
            ),
        )

    def take_from(self, sheet: TestsSheet) -> None:
        """Do what the buttons of the Tests sheet ask for."""
        sheet.open_requested.connect(self.ask_for_sheet)
        sheet.paste_requested.connect(self.paste)
        sheet.type_requested.connect(self.ask_for_typed)
        sheet.match_requested.connect(self.match_rows)
        sheet.work_requested.connect(self._jobs.start)

    @Slot()
    def ask_for_sheet(self) -> None:
        """Ask for a lab sheet and open it."""
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, "Open lab sheet", start, LAB_KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            self.open_sheet(Path(name))

    @Slot()
    def paste(self) -> None:
        """Open the cells on the clipboard as a sheet."""
        from vrxapp.workflows.lab_sheets import PastedCells

        self.open_sheet(PastedCells(QGuiApplication.clipboard().text()))

    def open_sheet(self, source: object, *, notes: tuple[Note, ...] = ()) -> None:
        """Open a file or pasted cells in the background; the notes are told with its own."""
        work = partial(_opened, source, self._document().farm)
        done = partial(self._on_opened, notes=notes)
        self._jobs.start("Reading the lab sheet", work, done)

    def _on_opened(self, opened: _Opened, notes: tuple[Note, ...]) -> None:
        error = opened.error
        if error is not None and (error.note.row or 0) > opened.seen.layout.header_row:
            # a cell is wrong, which no other layout would mend
            check = partial(self.ask_about, opened)
            self._window.message.tell(str(error), action="Look at the sheet", do=check)
            return
        if error is not None or opened.questions:
            self.ask_about(opened)
            return
        self._use(_as_proposed(opened.table), opened.table)
        unsure = [column.name for column in opened.seen.layout.columns if _is_unsure(column)]
        self._tell((*notes, *opened.table.notes), opened if unsure else None)

    @Slot()
    def ask_for_needs(self) -> None:
        """Ask for a lab sheet and tell what each of its samples needs."""
        start = str(QSettings().value(_FOLDER, str(Path.home())))
        name, _ = QFileDialog.getOpenFileName(self._window, "Needs of a sheet", start, LAB_KINDS)
        if name:
            QSettings().setValue(_FOLDER, str(Path(name).parent))
            work = partial(_results, Path(name))
            self._jobs.start("Reading the lab sheet", work, self._show_needs)

    def _show_needs(self, table: object) -> None:
        from vrxapp.desktop.lab.needs_dialog import SheetNeedsDialog

        dialog = SheetNeedsDialog(table, self._document().season, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    @Slot()
    def ask_about_organic(self) -> None:
        """Show the sum of a compost, manure or litter."""
        from vrxapp.desktop.lab.organic_dialog import OrganicDialog

        dialog = OrganicDialog(self._document(), self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    @Slot()
    def ask_about_history(self) -> None:
        """Show what earlier years left on the paddock."""
        from vrxapp.desktop.lab.history_dialog import HistoryDialog

        dialog = HistoryDialog(self._document(), self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    def ask_about(self, opened: _Opened) -> None:
        """Show the sheet: its columns if it cannot be read, else its rows."""
        dialog = self._dialog(seen=opened.seen)
        if opened.error is not None:
            dialog.tell(opened.error)
        elif opened.questions:
            dialog.show_rows(opened.table)
        dialog.open()

    @Slot()
    def match_rows(self) -> None:
        """Show the rows of the season's own results."""
        tests = self._document().season.tests
        if tests is None:
            self._window.message.tell(
                "There are no laboratory results yet.",
                action="Open a lab sheet",
                do=self.ask_for_sheet,
            )
            return
        dialog = self._dialog(table=tests)
        dialog.show_rows(tests)
        dialog.open()

    @Slot()
    def show_leaf_tests(self) -> None:
        """Show the window for leaf tests beside the map."""
        from vrxapp.desktop.lab.leaf_dialog import LeafDialog

        dialog = LeafDialog(self._jobs, is_dark=self._window.is_dark, parent=self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.show()

    @Slot()
    def ask_for_typed(self) -> None:
        """Show the form for results on paper, then their rows."""
        from vrxapp.desktop.lab.typed_dialog import TypedResultsDialog

        form = TypedResultsDialog(
            self._document().season.tests, is_dark=self._window.is_dark, parent=self._window
        )
        form.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        form.accepted.connect(lambda: self._on_typed(form.results))
        form.open()

    def _on_typed(self, table: object) -> None:
        dialog = self._dialog(table=table)
        dialog.show_rows(table)
        dialog.open()

    def _dialog(self, **given: object) -> QDialog:
        """The dialog over the farm as it is now."""
        from vrxapp.desktop.lab.sheet_dialog import LabSheetDialog

        dialog = LabSheetDialog(
            self._document().farm, is_dark=self._window.is_dark, parent=self._window, **given
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self._on_accepted(dialog))
        return dialog

    def _on_accepted(self, dialog: QDialog) -> None:
        """Use the results as they were put right, and keep a corrected layout."""
        layout = dialog.corrected_layout()
        try:
            self._use(dialog.change(), dialog.table)
            if layout is not None:
                _keep(layout)
        except VrxError as error:
            self._window.message.tell_error(error)
            return
        self._tell(dialog.table.notes, None)

    def _use(self, change: Callable[[Farm], Farm], table: object) -> None:
        self._document().edit_farm(f"Use {table.file}", change)
        self._window.show_stage("tests")

    def _tell(self, notes: tuple[Note, ...], unsure: _Opened | None) -> None:
        """Say what was doubtful, with a way to put it right."""
        if not notes and unsure is None:
            return
        text = "\n".join(str(note) for note in notes[:6]) or "Some columns are not used."
        if unsure is None:
            self._window.message.tell(text)
        else:
            self._window.message.tell(
                text, action="Check the columns", do=partial(self._check_columns, unsure)
            )

    def _check_columns(self, opened: _Opened) -> None:
        self._dialog(seen=opened.seen).open()


def _opened(source: object, farm: Farm, _: Progress) -> _Opened:
    """Open a sheet and see whether it can be used as it is."""
    from vrxapp.workflows.lab_sheets import open_lab_sheet, read_seen_sheet
    from vrxapp.workflows.match_rows import proposed_places

    seen = open_lab_sheet(source)
    try:
        table = read_seen_sheet(seen)
    except VrxError as error:
        return _Opened(seen, None, error, 0)
    waiting = sum(not found.can_wait for found in proposed_places(farm, table))
    return _Opened(seen, table, None, waiting)


def _results(path: Path, _: Progress) -> object:
    from vrxapp.workflows.lab_sheets import lab_results

    return lab_results(path)


def _as_proposed(table: object) -> Callable[[Farm], Farm]:
    """The edit that gives the rows to where they seem to be from."""
    from vrxapp.workflows.match_rows import use_as_proposed

    return partial(use_as_proposed, table=table)


def _is_unsure(column: object) -> bool:
    """Whether a column is not read because its name leaves something open."""
    return bool(column.doubt) and "nothing is known" not in column.doubt


def _keep(layout: object) -> None:
    from vrxapp.workflows.lab_sheets import keep_layout

    keep_layout(layout)
