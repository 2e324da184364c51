"""Laboratory results from CSV, one row a sample or one row a result."""

from pathlib import Path

from vrxapp.files.lab_header import header_likeness, is_wide, lab_header
from vrxapp.files.lab_lines import lines_under
from vrxapp.files.lab_long import long_results
from vrxapp.files.lab_notes import unused_column_notes
from vrxapp.files.lab_samples import results_table
from vrxapp.files.lab_text import read_sheet
from vrxapp.files.lab_wide import units_row, wide_results
from vrxapp.soil.results_table import ResultsTable


def read_lab_sheet(path: Path) -> ResultsTable:
    """Open a laboratory's sheet.

    A sheet is wide (one row a sample, one column an analyte, the unit in the header or
    in the row under it) or long (columns for sample, analyte, value and unit). Rows
    above the header are skipped. Lines of the same sample, layer and replicate become
    one row of the table.

    Parameters
    ----------
    path : Path
        CSV file of at most 100 MB in UTF-8, UTF-16 with a byte order mark, or
        Windows-1252; cells parted by comma, semicolon, tab or ``|``.

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
        analyte, or a cell cannot be right; the message says which and how to mend it.
    """
    sheet = read_sheet(path, header_likeness)
    header = lab_header(sheet)
    if is_wide(header):
        units = units_row(sheet, header)
        lines = lines_under(sheet, header, skipped=1 if units else 0)
        found, notes = wide_results(lines, units)
    else:
        lines = lines_under(sheet, header, skipped=0)
        found, notes = long_results(lines)
    return results_table(lines, found, notes=(*sheet.notes, *unused_column_notes(lines), *notes))
