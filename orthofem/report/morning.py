"""What a batch left by the morning: what ran, what failed and why, ranking, one table of all."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from orthofem.study import ESTIMATE, Row
from orthofem.study.batch import BatchResult

from .contact import contact_notes
from .contact_change import CHANGE_COLUMNS, change_rows, contact_ranking
from .folder import TEMPLATES, write_text
from .lasting import reserve, short_rows
from .printing import BRIEF, PIECE_COLUMNS, brief_rows, print_notes, printing_csv
from .screw import SCREW_COLUMNS, screw_notes, screw_rows
from .table import COLUMNS, csv_text
from .verdict import CAUTION, case_verdicts, overall, standing, unsure, where


def write_morning(batch: BatchResult, folder: str | Path) -> list[Path]:
    """Write a batch's table.csv and morning.md, and printing.csv where a study has a printer.

    Parameters
    ----------
    batch : BatchResult
    folder : str or Path
        An existing folder.

    Raises
    ------
    ModelError
        If a file cannot be written.
    """
    folder = Path(folder)
    paths = [
        write_text(folder / "table.csv", batch_csv(batch)),
        write_text(folder / "morning.md", morning(batch)),
    ]
    if any(result.printing for result in batch.results.values()):
        paths.append(write_text(folder / "printing.csv", batch_printing_csv(batch)))
    return paths


def batch_csv(batch: BatchResult) -> str:
    """Comma-separated table of all rows of all studies, the study in the first column.

    The same cases give the same text, whatever happened on the way to them.
    """
    return _joined(COLUMNS, {label: csv_text(r) for label, r in batch.results.items()})


def batch_printing_csv(batch: BatchResult) -> str:
    """Comma-separated table of all printed pieces of all studies."""
    tables = {label: printing_csv(r) for label, r in batch.results.items() if r.printing}
    return _joined(PIECE_COLUMNS, tables)


def _joined(columns: Sequence[str], tables: Mapping[str, str]) -> str:
    """Tables of several studies under one header, the study in the first column."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("study", *columns))
    for label, text in tables.items():
        rows = list(csv.reader(io.StringIO(text)))
        writer.writerows([label, *row] for row in rows[1:])
    return out.getvalue()


def morning(batch: BatchResult) -> str:
    """Page in plain words about how the batch went and what it found."""
    results = batch.results
    told = {
        "verdicts": overall, "cases": case_verdicts, "lasting": short_rows,
        "print_rows": brief_rows, "print_notes": print_notes, "change_rows": change_rows,
        "contact_ranking": contact_ranking, "contact": contact_notes, "screw_rows": screw_rows,
        "screw_notes": screw_notes,
    }  # fmt: skip
    return TEMPLATES.get_template("morning.md.jinja").render(
        batch=batch, caution=CAUTION, outcome=outcome(batch), results=results,
        ranking=ranking(batch), standing=standing, where=where, computed=set(batch.computed),
        lasting_reserve=reserve, prints=any(r.printing for r in results.values()),
        print_columns=BRIEF, print_estimate=ESTIMATE, unsure=unsure,
        change_columns=CHANGE_COLUMNS, screw_columns=SCREW_COLUMNS,
        **{key: {name: tell(r) for name, r in results.items()} for key, tell in told.items()},
    )  # fmt: skip


def outcome(batch: BatchResult) -> str:
    """How a batch went, in one sentence."""
    total = len(batch.planned) + len(batch.refused)
    fresh = sum(item.key in batch.computed for item in batch.done)
    counts = [
        (fresh, "computed in this run"),
        (len(batch.done) - fresh, "taken from the store"),
        (len(batch.failed), "failed"),
        (len(batch.missing), "not reached"),
    ]
    told = ", ".join(f"{number} {what}" for number, what in counts if number) or "none"
    ending = "; stopped before its end, the same command goes on" if batch.stopped else ""
    return f"{total} cases in {duration(batch.seconds)}: {told}{ending}."


def ranking(batch: BatchResult) -> list[tuple[str, Row]]:
    """Study label and governing row of every option, from strongest to weakest."""
    rows = [(label, row) for label, result in batch.results.items() for _, row in result.ranking()]
    return sorted(rows, key=lambda pair: -pair[1].margin)


def duration(seconds: float) -> str:
    """Time in words.

    Examples
    --------
    >>> duration(42.4), duration(7384.0)
    ('42 s', '2 h 3 min')
    """
    if seconds < 120:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(int(seconds // 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"
