"""Laboratory results from a sheet, one row a sample or one row a result."""

from pathlib import Path

from vrxapp.files.lab_sheets.header import Header, header_likeness, is_wide, lab_header
from vrxapp.files.lab_sheets.layout import LabLayout, laid_out
from vrxapp.files.lab_sheets.lines import lines_under
from vrxapp.files.lab_sheets.long_form import long_results
from vrxapp.files.lab_sheets.notes import unused_column_notes
from vrxapp.files.lab_sheets.opening import open_sheet
from vrxapp.files.lab_sheets.remarks import under_header
from vrxapp.files.lab_sheets.samples import results_table
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.files.lab_sheets.two_rows import with_names_of_two_rows
from vrxapp.files.lab_sheets.wide_form import wide_results
from vrxapp.soil.results_table import ResultsTable


def read_lab_sheet(path: Path, layout: LabLayout | None = None) -> ResultsTable:
    """Open a laboratory's sheet.

    A sheet is wide (one row a sample, one column an analyte, the unit in the header or
    in a row under it) or long (columns for sample, analyte, value and unit). Names may
    stand over two rows. Rows above the header are skipped. Lines of the same sample,
    layer and replicate become one row of the table.

    Parameters
    ----------
    path : Path
        XLSX workbook without macros, or CSV in UTF-8, UTF-16 with a byte order mark, or
        Windows-1252 with cells parted by comma, semicolon, tab or ``|``; at most 100 MB.
    layout : LabLayout, optional
        What each column is for; without it, the names of the columns tell.

    Returns
    -------
    ResultsTable
        Results in the units in which the program keeps them. What was left out or
        assumed stands in its notes. Where a long sheet gives a sample several lines,
        its row is that of the first. Replicates are rows of the same sample and layer.

    Raises
    ------
    InputFileError
        If the file cannot be read, no column names the samples or holds a known
        analyte, the layout is for another sheet, or a cell cannot be right; the message
        says which and how to mend it.
    """
    sheet = open_sheet(path, header_likeness, tab=layout.tab if layout else "")
    return read_opened(with_names_of_two_rows(sheet), layout)


def read_opened(sheet: Sheet, layout: LabLayout | None = None) -> ResultsTable:
    """The results of a sheet that is open already.

    Parameters
    ----------
    sheet : Sheet
        The sheet, from a file or from pasted cells.
    layout : LabLayout, optional
        What each column is for; without it, the names of the columns tell.

    Returns
    -------
    ResultsTable
        As from `read_lab_sheet`.

    Raises
    ------
    InputFileError
        As `read_lab_sheet` does.
    """
    if layout is None:
        return _table(sheet, lab_header(sheet))
    return _table(*laid_out(sheet, layout))


def _table(sheet: Sheet, header: Header) -> ResultsTable:
    """The results of a sheet whose columns are known."""
    if is_wide(header):
        under = under_header(sheet, header)
        lines = lines_under(sheet, under.header, skipped=under.skipped)
        found, notes = wide_results(lines, under.units, units_row=under.units_row)
        notes = (*under.notes, *notes)
    else:
        lines = lines_under(sheet, header, skipped=0)
        found, notes = long_results(lines)
    return results_table(lines, found, notes=(*sheet.notes, *unused_column_notes(lines), *notes))
