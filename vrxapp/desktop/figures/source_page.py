"""The page of sources: the whole bibliography with grades, and who uses each entry."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from vrxapp.desktop.figures.search_list import ListEntry
from vrxapp.desktop.figures.text_page import TextPage, side_by_side
from vrxapp.desktop.figures.told_html import source_html
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, fill_combo, grown_form
from vrxapp.sources import Grade
from vrxapp.workflows.source_uses import SourceUse, source_uses

_ALL = ""
_MARKS = {Grade.UNVERIFIED: " (unverified)", Grade.COMMON_PRACTICE: " (common practice)"}


class SourcePage(TextPage):
    """Every entry, or those of one grade."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("sources", "sources", parent)
        self._uses = {use.source.key: use for use in source_uses()}
        self._grade = combo_field("sourceGradeCombo", self)
        grades = [(str(grade), str(grade)) for grade in Grade if grade is not Grade.YOURS]
        fill_combo(self._grade, [("All grades", _ALL), *grades], _ALL)
        self._count = faint("", self, name="sourceCountLabel")
        form = grown_form(None)
        add_row(form, "&Grade", self._grade, "Only sources known this well")
        left = QWidget(self)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 6, 6, 0)
        column.addLayout(form)
        column.addWidget(self._count)
        column.addWidget(self.list, 1)
        side_by_side(self, left, self.text)
        self._grade.currentIndexChanged.connect(self._on_grade)
        self._on_grade()

    def show_source(self, key: str) -> None:
        """Show an entry, whatever grade was chosen before."""
        grade = self._grade.currentData()
        if grade not in (_ALL, str(self._uses[key].source.grade)):
            self._grade.setCurrentIndex(self._grade.findData(_ALL))
        self.list.choose(key)

    def html(self, key: str) -> str:
        """An entry with its uses."""
        return source_html(self._uses[key])

    @Slot()
    def _on_grade(self) -> None:
        grade = self._grade.currentData()
        uses = [use for use in self._uses.values() if grade in (_ALL, str(use.source.grade))]
        self._count.setText(f"{len(uses)} of {len(self._uses)} sources")
        self.list.fill({"": map(_entry, uses)})


def _entry(use: SourceUse) -> ListEntry:
    entry = use.source
    words = f"{entry.key} {entry.citation} {entry.grade} {' '.join(use.modules)}"
    text = entry.key + _MARKS.get(entry.grade, "")
    return ListEntry(entry.key, text, f"{entry.citation} [{entry.grade}]", words)
