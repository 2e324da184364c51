"""Speed of reading a large lab sheet, beside cutting it into cells and numbers alone."""

import csv
import io
import time

import numpy as np
import openpyxl
import pytest
from python_calamine import CalamineWorkbook

from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.soil.results_table import column_of

pytestmark = pytest.mark.benchmark
ROWS = 20_000
PLACES = ("Sample", "Zone", "Depth (cm)")
RESULTS = (
    *("Colwell P (mg/kg)", "PBI", "pH (CaCl2)", "pH (water)", "Organic carbon (%)"),
    *("Exch Ca (cmol(+)/kg)", "Exch Mg (cmol(+)/kg)", "Exch K (cmol(+)/kg)", "EC 1:5 (dS/m)"),
    "Chloride (mg/kg)",
)


def best_of_both(times, own, plain):
    """Shortest of several runs of each, turn about so that both meet the same load, in seconds."""
    taken = {own: [], plain: []}
    for _ in range(times):
        for work, seconds in taken.items():
            start = time.perf_counter()
            work()
            seconds.append(time.perf_counter() - start)
    return min(taken[own]), min(taken[plain])


def large_sheet():
    """Header and rows of a sheet with ten results a sample."""
    values = np.random.default_rng(1).uniform(1.0, 9.0, (ROWS, len(RESULTS))).round(2)
    rows = [[f"S{i}", f"Zone {i % 5}", "0-10", *line] for i, line in enumerate(values.tolist())]
    return [[*PLACES, *RESULTS], *rows]


def numbers(rows):
    """The results as floats, with nothing checked."""
    return [[float(cell) for cell in row[len(PLACES) :]] for row in rows[1:]]


def told(capsys, what, own_s, plain_s):
    with capsys.disabled():
        print(
            f"\n{what}, {ROWS} rows: {own_s:.3f} s, "
            f"{own_s / plain_s:.2f} x the plain {plain_s:.3f} s"
        )


def test_a_csv_of_20_000_rows_costs_less_than_twice_cutting_it(tmp_path, capsys):
    path = tmp_path / "lab.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(large_sheet())

    def plain():
        return numbers(list(csv.reader(io.StringIO(path.read_text("utf-8")))))

    assert len(column_of(read_lab_sheet(path), "pbi").values) == len(plain()) == ROWS
    own_s, plain_s = best_of_both(9, lambda: read_lab_sheet(path), plain)
    told(capsys, "CSV", own_s, plain_s)
    assert own_s / plain_s < 2


def test_a_workbook_of_20_000_rows_costs_less_than_twice_the_library_call(tmp_path, capsys):
    path = tmp_path / "lab.xlsx"
    workbook = openpyxl.Workbook(write_only=True)
    tab = workbook.create_sheet("Results")
    for row in large_sheet():
        tab.append(row)
    workbook.save(path)

    def plain():
        with CalamineWorkbook.from_path(path) as opened:
            return numbers(opened.get_sheet_by_index(0).to_python())

    assert len(column_of(read_lab_sheet(path), "pbi").values) == len(plain()) == ROWS
    own_s, plain_s = best_of_both(9, lambda: read_lab_sheet(path), plain)
    told(capsys, "XLSX", own_s, plain_s)
    assert own_s / plain_s < 2
