"""Plain words and plain tables for what changes when pieces touch instead of being bonded."""

from __future__ import annotations

import csv
import io
import math

from orthofem.study import Answer, StudyResult, Touched, Worst

COLUMNS = (
    "option", "load case", "interface", "closed [%]", "largest pressure [MPa]",
    "largest opening [mm]", "largest slip [mm]", "share of the force [-]",
    "share of the moment [-]", "steps until no point changed",
    "reserve factor in contact [-]", "reserve factor bonded [-]",
)  # fmt: skip


def touching(result: StudyResult) -> dict[str, Answer]:
    """Options whose pieces touch, each with its answer on the finest mesh."""
    return {n: a[-1] for n, a in result.answers.items() if a[-1].contact is not None}


def contact_notes(result: StudyResult) -> dict[str, list[str]]:
    """For each option in contact: stiffness against bonded, each load, and how it was solved."""
    told = {}
    for name, answer in touching(result).items():
        found = _of(answer)
        told[name] = [
            _stiffness(found),
            *(_case(worst, found.bonded_case(worst.loading.name)) for worst in answer.worst),
        ]
    shared: dict[str, list[str]] = {}
    for name, answer in touching(result).items():
        for note in _of(answer).notes:
            shared.setdefault(f"{note}.", []).append(name)
    for note, names in shared.items():
        told.setdefault(", ".join(names), []).append(note)
    return told


def contact_rows(result: StudyResult) -> list[tuple]:
    """One row for each option, load case and interface; numbers as they are."""
    rows = []
    for name, answer in touching(result).items():
        found = _of(answer)
        for touch in found.touches:
            rows.append((
                name, touch.case, touch.interface, 100 * touch.closed, touch.pressure,
                touch.opening, touch.slip, touch.force_share, touch.moment_share, touch.steps,
                answer.case(touch.case).reserve, found.bonded_case(touch.case).reserve,
            ))  # fmt: skip
    return rows


def contact_csv(result: StudyResult) -> str:
    """Comma-separated table of all interfaces under all loads."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([*map(_digits, row)] for row in contact_rows(result))
    return out.getvalue()


def contact_record(answer: Answer) -> dict | None:
    """Everything about contact in one answer, for the JSON file."""
    if answer.contact is None:
        return None
    found = answer.contact
    return {
        "interfaces": {name: repr(law) for name, law in answer.option.interfaces.items()},
        "sideways_stiffness_over_bonded": found.sideways,
        "bending_stiffness_over_bonded": found.bending,
        "flexibility": found.flexibility,
        "bonded_flexibility": found.bonded_flexibility,
        "bonded_reserve": {w.loading.name: w.reserve for w in found.bonded},
        "touches": found.touches,
        "notes": found.notes,
    }


def _of(answer: Answer) -> Touched:
    assert answer.contact is not None
    return answer.contact


def _stiffness(found: Touched) -> str:
    return (
        f"against bonded the joint is {_less(found.sideways)} sideways (a force at the reference "
        f"point) and {_less(found.bending)} in bending."
    )


def _less(ratio: float) -> str:
    if abs(ratio - 1.0) < 0.005:
        return "as stiff"
    return f"{100 * abs(1.0 - ratio):.0f} % {'softer' if ratio < 1.0 else 'stiffer'}"


def _case(contact: Worst, bonded: Worst) -> str:
    title = contact.loading.title
    if not (math.isfinite(contact.reserve) and math.isfinite(bonded.reserve) and bonded.reserve):
        both = f"{contact.reserve:.2f} in contact, {bonded.reserve:.2f} bonded"
        return f"{title}: reserve factor {both}."
    change = 100 * (contact.reserve / bonded.reserve - 1.0)
    moved = math.dist(contact.place, bonded.place)
    where = "at the same place" if moved < 1.0 else f"{moved:.0f} mm away"
    mode = "" if contact.mode == bonded.mode else f", by '{contact.mode}' not '{bonded.mode}'"
    return (
        f"{title}: reserve factor {contact.reserve:.2f} in contact, {bonded.reserve:.2f} bonded "
        f"({round(change):+d} %), {where}{mode}."
    )


def _digits(value) -> str:
    return f"{value:.4g}" if isinstance(value, float) else str(value)
