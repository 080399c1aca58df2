"""The comparison as rows: for the terminal, and as a CSV file with units in its header."""

from __future__ import annotations

import csv
import io

from orthofem.study import Row, StudyResult

COLUMNS = (
    "option", "load case", "reserve factor [-]", "wanted [-]", "failure index [-]", "criterion",
    "mode", "region", "x [mm]", "y [mm]", "z [mm]", "governing instant or direction",
    "Fx [N]", "Fy [N]", "Fz [N]", "Mx [N mm]", "My [N mm]", "Mz [N mm]",
    "reserve factor of raw peak [-]", "change on finer mesh [%]", "raw change on finer mesh [%]",
    "source of the load", "load grade", "unknowns [-]",
)  # fmt: skip


def csv_text(result: StudyResult) -> str:
    """Comma-separated table of all rows."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in result.rows:
        writer.writerow(_cells(row, result.answers[row.option][-1].part_mesh.report.n_unknowns))
    return out.getvalue()


def _cells(row: Row, unknowns: int) -> list:
    worst, loading = row.worst, row.worst.loading
    return [
        row.option, loading.name, _digits(worst.reserve), loading.wanted, _digits(worst.index),
        worst.criterion, worst.mode, worst.region, *(f"{v:.3f}" for v in worst.place),
        worst.label, *(_digits(v) for v in worst.resultants), _digits(worst.raw_reserve),
        _digits(100 * row.change), _digits(100 * row.raw_change), loading.source, loading.grade,
        unknowns,
    ]  # fmt: skip


def _digits(value: float) -> str:
    return f"{value:.5g}"
