"""Plain words for a study's outcome: which option, by what factor, why, how sure."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.failure import BORDER
from orthofem.study import Answer, Row, StudyResult, Worst

CAUTION = (
    "An estimate for study. It does not show that a person may lean on this part. "
    "Test on a bench before use; follow local codes and ask a licensed professional."
)
STEADY = 0.05
"""Disagreement between tractions above which a border is called unsettled. [-]"""
UNSETTLED = 0.1
"""Uncertainty above which a reserve factor is called unsettled; on two meshes it stands for a
change of 2 to 5 %. [-]"""


@dataclass(frozen=True)
class CaseVerdict:
    """Which option leads under one load case, in words."""

    title: str
    conclusion: str


def told(reserve: float) -> str:
    """A reserve factor in two decimals, more where it is small or just off 1.

    Examples
    --------
    >>> told(3.0), told(0.9984), told(0.0123), told(123.4)
    ('3.00', '0.9984', '0.0123', '123')
    """
    if 0.1 <= reserve < 10.0:
        return f"{reserve:.2f}" if abs(reserve - 1.0) > 0.005 else f"{reserve:.4f}"
    return f"{reserve:.3g}"


def standing(row: Row) -> str:
    """What a reserve factor means, without promising anything."""
    worst = row.worst
    if not worst.reserve < 1e6:
        return "the load does not reach the places that count"
    if worst.reserve == 0.0:
        return "breaks before there is any load"
    if worst.reserve < 1.0:
        return "expect a break"
    if worst.reserve < worst.loading.wanted:
        return f"below the reserve of {worst.loading.wanted:g} asked for"
    return f"has the reserve of {worst.loading.wanted:g} asked for"


def where(worst: Worst) -> str:
    """Where the worst place lies, in the part's own words."""
    x, y, z = worst.place
    if worst.criterion == BORDER:
        own = "" if worst.piece == worst.region else f" ({worst.region})"
        return f"on the border {worst.piece}{own}, at x {x:+.1f}, y {y:+.1f}, z {z:+.1f} mm"
    return f"in {worst.piece}, at x {x:+.1f}, y {y:+.1f}, z {z:+.1f} mm"


def unsure(row: Row) -> str:
    """What the meshes leave open of a reserve factor, to stand behind it; "?" if not known."""
    return f" ± {100 * row.uncertainty:.2g} %" if row.uncertainty == row.uncertainty else " ?"


def unsettled(row: Row) -> list[str]:
    """Why a number is not to be relied on yet; empty where nothing speaks against it."""
    doubts = []
    if row.change != row.change:
        doubts.append("solved on one mesh only: its mesh dependence is not known")
    if row.uncertainty > UNSETTLED:
        doubts.append("not settled: refine further before relying on it")
    if not row.worst.resolved:
        doubts.append("mesh too coarse there for the averaging ball: refine")
    if row.worst.disagreement > STEADY:
        apart = 100 * row.worst.disagreement
        doubts.append(
            f"stress alone would miss the traction by {apart:.0f} %: sharp rim, coarse mesh"
        )
    return doubts


def option_notes(result: StudyResult) -> dict[str, list[str]]:
    """What the options' parts and authors want a reader to know; alike notes told once."""
    found: dict[str, list[str]] = {}
    for name, answers in result.answers.items():
        option = answers[-1].option
        own = [option.note] if option.note else []
        for note in (*option.part.notes, *own, *border_notes(answers[-1])):
            found.setdefault(note, []).append(name)
    return {"; ".join(names): [note] for note, names in _merged(found)}


def border_notes(answer: Answer) -> list[str]:
    """What holds each border of an option, and which interfaces nobody judged."""
    notes = [f"border {name}: {border.told}." for name, border in answer.option.joined.items()]
    if answer.not_judged:
        notes.append(f"taken as bonded for good, and not judged: {', '.join(answer.not_judged)}.")
    return notes


def _merged(found: dict[str, list[str]]) -> list[tuple[str, list[str]]]:
    """Notes of the same options joined."""
    joined: dict[tuple[str, ...], list[str]] = {}
    for note, names in found.items():
        joined.setdefault(tuple(names), []).append(note)
    return [(" ".join(map(_ended, notes)), list(names)) for names, notes in joined.items()]


def _ended(note: str) -> str:
    return note if note.endswith((".", "!", "?")) else f"{note}."


def case_verdicts(result: StudyResult) -> list[CaseVerdict]:
    """For each load case the options from strongest to weakest, and by what factor."""
    names = [worst.loading.name for worst in next(iter(result.answers.values()))[-1].worst]
    verdicts = []
    for name in names:
        ranked = [row for _, row in result.ranking((name,))]
        verdicts.append(
            CaseVerdict(
                title=ranked[0].worst.loading.title,
                conclusion=_conclusion(ranked),
            )
        )
    return verdicts


def overall(result: StudyResult) -> str:
    """Which option holds most over all load cases, each weighed by the reserve it asks for."""
    ranked = result.ranking()
    (best, best_row), (last, last_row) = ranked[0], ranked[-1]
    text = (
        f"Over all loads '{best}' is strongest: held back by '{best_row.worst.loading.title}' at "
        f"reserve factor {told(best_row.worst.reserve)} ({standing(best_row)})."
    )
    tied = [name for name, row in ranked[1:] if row.tied_with(best_row)]
    if tied:
        text += (
            f" {_named(tied)} cannot be told from it: the difference is less than the meshes leave "
            "open."
        )
    if len(ranked) > 1 and last not in tied:
        text += (
            f" '{last}' is weakest: '{last_row.worst.loading.title}' at "
            f"{told(last_row.worst.reserve)} ({standing(last_row)}), {last_row.worst.mode} "
            f"{where(last_row.worst)}."
        )
    return text


def _conclusion(ranked: list[Row]) -> str:
    best, last = ranked[0].worst, ranked[-1].worst
    if len(ranked) == 1:
        return f"'{ranked[0].option}' breaks at {told(best.reserve)} times this load."
    factor = _over(best, ranked[1].worst)
    tied = [row.option for row in ranked[1:] if row.tied_with(ranked[0])]
    if tied:
        unsure = max(row.uncertainty for row in ranked if row.option in (ranked[0].option, *tied))
        return (
            f"'{ranked[0].option}' and {_named(tied)} differ by less than the meshes leave open "
            f"(up to {100 * unsure:.2g} % each): take them as equal."
        )
    others = f"{factor:.2f} times '{ranked[1].option}'"
    if len(ranked) > 2:
        others += f" and {_over(best, last):.2f} times '{ranked[-1].option}'"
    return (
        f"'{ranked[0].option}' is strongest: {others}, which fails first by "
        f"'{last.mode}' {where(last)}."
    )


def _over(one: Worst, other: Worst) -> float:
    """Ratio of two reserve factors; infinite over what breaks without a load."""
    return one.reserve / other.reserve if other.reserve else float("inf")


def _named(options: list[str]) -> str:
    return ", ".join(f"'{name}'" for name in options)
