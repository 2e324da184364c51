"""Rows as the sheets that people have: CSV and XLSX."""

import csv
import io
from collections.abc import Sequence
from datetime import UTC, datetime

import xlsxwriter
from vector_files import WRITTEN_ON


def csv_sheet(rows: Sequence[Sequence[object]]) -> bytes:
    """Rows as comma-separated text."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue().encode()


def workbook(rows: Sequence[Sequence[object]], *, name: str) -> bytes:
    """Rows as a workbook of one sheet, its first row in one merged cell."""
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as book:
        book.set_properties({"created": datetime(*WRITTEN_ON, tzinfo=UTC), "comments": "Invented"})
        sheet = book.add_worksheet(name)
        sheet.merge_range(0, 0, 0, max(map(len, rows)) - 1, rows[0][0])
        for number, row in enumerate(rows[1:], start=1):
            for column, value in enumerate(row):
                if value != "":
                    sheet.write(number, column, value)
    return content.getvalue()
