"""Reserve factors at a glance, options by load cases, and one line of the long table."""

from __future__ import annotations

from orthofem.study import Row, StudyResult

from .verdict import told, unsettled, where


def glance_columns(result: StudyResult) -> list[str]:
    """Load cases, each with the reserve that it asks for."""
    loadings = [worst.loading for worst in next(iter(result.answers.values()))[-1].worst]
    return [f"{loading.title} (asks for {loading.wanted:g})" for loading in loadings]


def glance_rows(result: StudyResult) -> list[list[str]]:
    """Options from strongest to weakest: its name, then one cell for each load case."""
    return [
        [name, *(_glance(row) for row in result.option_rows(name))] for name, _ in result.ranking()
    ]


def table_cells(row: Row) -> list[str]:
    """One option under one load case in full."""
    worst = row.worst
    known = row.change == row.change
    return [
        row.option, worst.loading.title, told(worst.reserve), f"{worst.loading.wanted:g}",
        worst.mode, where(worst),
        f"{100 * row.change:+.1f} %" if known else "-",
        f"{100 * row.uncertainty:.2g} %" if row.uncertainty == row.uncertainty else "-",
        f"{100 * row.raw_change:+.1f} %" if row.sharp else "converges" if known else "-",
        "; ".join(unsettled(row)),
    ]  # fmt: skip


def _glance(row: Row) -> str:
    """Reserve factor and mode, marked by what the factor means."""
    worst = row.worst
    mark = "**" if worst.reserve < 1 else "*" if row.margin < 1 else ""
    doubt = " ?" if unsettled(row) else ""
    return f"{mark}{told(worst.reserve)}{mark}{doubt} {worst.mode}"
