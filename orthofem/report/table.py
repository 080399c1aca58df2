"""The comparison as rows: for the terminal, and as a CSV file with units in its header."""

from __future__ import annotations

import csv
import io

from orthofem.study import Row, StudyResult

from .printing import OPTION_COLUMNS, option_cells

COLUMNS = (
    "option", "load case", "reserve factor [-]", "wanted [-]", "failure index [-]", "criterion",
    "mode", "region", "x [mm]", "y [mm]", "z [mm]", "governing instant or direction",
    "Fx [N]", "Fy [N]", "Fz [N]", "Mx [N mm]", "My [N mm]", "Mz [N mm]",
    "reserve factor of raw peak [-]", "change on finer mesh [%]", "raw change on finer mesh [%]",
    "uncertainty [%]", "extrapolated reserve factor [-]", "not told apart from",
    "source of the load", "load grade", "unknowns [-]", *OPTION_COLUMNS,
)  # fmt: skip


def csv_text(result: StudyResult) -> str:
    """Comma-separated table of all rows."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in result.rows:
        unknowns = result.answers[row.option][-1].part_mesh.report.n_unknowns
        printed = option_cells(result.printing.get(row.option))
        writer.writerow([*_cells(row, unknowns, tied_options(result, row)), *printed])
    return out.getvalue()


def tied_options(result: StudyResult, row: Row) -> list[str]:
    """Options whose margin under the same load differs by less than the meshes leave open."""
    same = (other for other in result.rows if other.worst.loading.name == row.worst.loading.name)
    return [other.option for other in same if other.option != row.option and row.tied_with(other)]


def _cells(row: Row, unknowns: int, tied: list[str]) -> list:
    worst, loading = row.worst, row.worst.loading
    return [
        row.option, loading.name, _digits(worst.reserve), loading.wanted, _digits(worst.index),
        worst.criterion, worst.mode, worst.region, *(f"{v:.3f}" for v in worst.place),
        worst.label, *(_digits(v) for v in worst.resultants), _digits(worst.raw_reserve),
        _digits(100 * row.change), _digits(100 * row.raw_change),
        _digits(100 * row.uncertainty), _digits(row.extrapolated), "; ".join(tied),
        loading.source, loading.grade,
        unknowns,
    ]  # fmt: skip


def _digits(value: float) -> str:
    return f"{value:.5g}"
