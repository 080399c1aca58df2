"""Time and heat in a study's report: notes, a table in words, a CSV file, plain data."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import asdict

from orthofem.study import Lasting, StudyResult

COLUMNS = (
    "option", "kind", "load case", "what", "piece", "x [mm]", "y [mm]", "z [mm]",
    "governing instant or direction", "stress [MPa]", "reserve [-]", "wanted [-]",
    "years, 90 % survive", "years, 50 % survive", "years, 10 % survive", "what it means", "proven",
    "grade", "source", "note",
)  # fmt: skip


def lasting_rows(result: StudyResult) -> list[tuple[str, Lasting]]:
    """Every finding about time and heat with its option, in the study's order."""
    return [(name, row) for name in result.answers for row in result.lasting.get(name, ())]


def short_rows(result: StudyResult) -> list[tuple[str, Lasting]]:
    """Findings about time and heat that fall short of the reserve asked for, lowest first."""
    rows = [(name, row) for name, row in lasting_rows(result) if row.reserve < row.wanted]
    return sorted(rows, key=lambda pair: pair[1].reserve / pair[1].wanted)


def conditions_notes(result: StudyResult) -> list[str]:
    """What the conditions are, and what they do to each material; each told once."""
    conditions = result.study.conditions
    if conditions is None:
        return []
    used = [option for option in result.study.options if option.name in result.answers]
    told = [note for option in used for note in conditions.notes(option)]
    return list(dict.fromkeys(told))


def years(row: Lasting) -> str:
    """A life with its scatter in words; empty where it makes no sense."""
    if not row.years:
        return ""
    low, middle, high = (_years(value) for value in row.years)
    return f"{middle} (90 % of such parts reach {low}, 10 % {high})"


def reserve(row: Lasting) -> str:
    """A reserve factor, or that there is none."""
    if not row.known:
        return "no value"
    return f"{row.reserve:.2f}" if row.reserve < 1e6 else "not reached"


def lasting_csv(result: StudyResult) -> str:
    """Comma-separated table of every finding about time and heat."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for option, row in lasting_rows(result):
        lives = row.years or (math.nan,) * 3
        writer.writerow(
            [
                option, row.kind, row.case, row.what, row.piece,
                *(f"{v:.3f}" for v in row.place), row.label, f"{row.stress:.5g}",
                f"{row.reserve:.5g}", row.wanted, *(f"{v:.4g}" for v in lives), row.standing,
                "yes" if row.proven else "no", row.grade, row.source, row.note,
            ]
        )  # fmt: skip
    return out.getvalue()


def lasting_record(result: StudyResult) -> dict | None:
    """Conditions, notes and findings as plain data; None where all is switched off."""
    if result.study.conditions is None:
        return None
    return {
        "conditions": asdict(result.study.conditions),
        "notes": conditions_notes(result),
        "findings": [
            {"option": name, **asdict(row), "standing": row.standing}
            for name, row in lasting_rows(result)
        ],
    }


def _years(value: float) -> str:
    if value >= 1000:
        return "over 1000 years"
    if value >= 1:
        return f"{value:.3g} years"
    return f"{12 * value:.2g} months" if value * 365 >= 30 else f"{365 * value:.2g} days"
