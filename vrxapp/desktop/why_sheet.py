"""Why this much: the trail of the chosen zone, with its sources and how well each is known."""

from html import escape

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QTextBrowser, QVBoxLayout, QWidget

from vrxapp.agronomy.trail import Sentence
from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.stages.sheet_parts import heading
from vrxapp.errors import VrxError
from vrxapp.prescription.pipeline import why
from vrxapp.sources import bibliography

ASK = "Click a zone on the map, or a row of the table, to see why it gets its rate."


class WhySheet(QWidget):
    """The steps behind one rate, down to the published table."""

    def __init__(self, document: FarmDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("whySheet")
        self._document = document
        self._zone_id: str | None = None
        self._heading = heading("Why this much?", self)
        self._heading.setObjectName("whyHeading")
        self._text = QTextBrowser(self)
        self._text.setObjectName("whyText")
        self._text.setAccessibleName("Why this much")
        self._text.setOpenLinks(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(9, 4, 9, 6)
        layout.addWidget(self._heading)
        layout.addWidget(self._text, 1)
        document.changed.connect(self._refresh)
        document.operation_chosen.connect(self._refresh)
        self._refresh()

    @Slot(int)
    def show_zone(self, row: int) -> None:
        """Tell why the zone of this row gets its rate; -1 for none."""
        ids = self._document.season.zones.ids
        self._zone_id = ids[row] if 0 <= row < len(ids) else None
        self._refresh()

    @Slot()
    def _refresh(self) -> None:
        zones = self._document.season.zones
        if self._zone_id not in zones.ids:
            self._heading.setText("Why this much?")
            self._text.setPlainText(ASK)
            return
        name = zones.names[zones.ids.index(self._zone_id)]
        self._heading.setText(f"Why this much: {name}")
        try:
            self._text.setHtml(sentences_html(why(self._document.plan(), name)))
        except VrxError as error:
            self._text.setPlainText(str(error))


def sentences_html(sentences: tuple[Sentence, ...]) -> str:
    """Steps as a numbered list, then the sources in full."""
    items = "".join(f"<li style='margin-bottom:6px'>{_step(s)}</li>" for s in sentences)
    used = {s.source for s in sentences if s.source}
    sources = "".join(
        f"<p><b>{escape(entry.key)}</b>: {escape(entry.citation)} "
        f"<i>{escape(entry.grade)}; seen: {escape(entry.seen)}</i></p>"
        for entry in bibliography()
        if entry.key in used
    )
    return f"<ol style='margin-left:-18px'>{items}</ol>" + (
        f"<h4>Sources</h4>{sources}" if sources else ""
    )


def _step(sentence: Sentence) -> str:
    marks = ", ".join(escape(m) for m in (sentence.source, str(sentence.grade or "")) if m)
    return escape(sentence.text) + (f"<br><i>{marks}</i>" if marks else "")
