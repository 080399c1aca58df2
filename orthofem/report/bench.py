"""The bench test that could prove a study wrong: what to hang where, what the model foretells."""

from __future__ import annotations

import math

from orthofem.loads.person import GRAVITY
from orthofem.study import Foretold, StudyResult

from .verdict import where

COLUMNS = (
    "option", "breaks at", "nine of ten between", "side that faces down", "breaks how", "where",
    "rests on", "sinks under half of it",
)  # fmt: skip
NOTCHED = 1.5
"""Force that breaks the plain piece at the clamp over that of the joint, below which a clamp that
bites may break it first (E). [-]"""


def foretold(result: StudyResult) -> list[Foretold]:
    """Every option's break on the bench; none for parts held by hand, or where none is known."""
    return [found for found in result.bench.values() if isinstance(found, Foretold)]


def bench_notes(result: StudyResult) -> list[str]:
    """Options of which nothing is foretold, and those that the clamp may break first."""
    told = []
    for name, found in result.bench.items():
        if isinstance(found, str):
            told.append(found if name in found else f"{name}: {found}")
        elif found.clamp_force < NOTCHED * found.force:
            told.append(
                f"{name}: at the clamp's edge the plain piece breaks at {_force(found.clamp_force)}"
                " by its section alone, sooner if the clamp bites; wrap it, or clamp nearer to the "
                "joint."
            )
    return told


def bench_how(result: StudyResult, found: list[Foretold]) -> list[str]:
    """How to set the bench up, and what to make of it."""
    if not found:
        return []
    clamps = sorted({round(one.clamp) for one in found})
    lines = [
        f"Print what the option shows, its ends longer: clamp the lower half level, the clamp's "
        f"edge {' or '.join(map(str, clamps))} mm from the joint, hang a bucket on the upper half "
        f"{found[0].arm:g} mm from it, and fill in sand slowly until it breaks. Never a person as "
        "the load; stay clear of what falls; wear eye protection.",
        "Break at least five of a kind (E): the lowest counts, not the mean. First read how far "
        "the weight sinks: that tells whether the stiffness is right before anything breaks. The "
        "range holds how prints scatter (an estimate, E) and what the meshes leave open; a mean "
        "strength that is off moves all of it.",
    ]
    if result.study.conditions is not None:
        return [
            *lines,
            "Foretold for the time and heat that this study asks for: compare with a bench under "
            "the same, or run the study without them for a bench at room temperature.",
        ]
    return [
        *lines,
        "If the lowest of yours breaks in the way foretold but at k times the force, multiply by k "
        "the reserve factors of those load cases that break the same piece in the same way; the "
        "others stay unproven. If it breaks in another way, the model does not fit your print.",
    ]


def bench_rows(found: list[Foretold]) -> list[tuple[str, ...]]:
    """Table of foretold breaks, in the order of the options."""
    return [_cells(one) for one in found]


def bench_alike(result: StudyResult, found: list[Foretold]) -> list[str]:
    """What force on the bench each load case is worth, one line for each option.

    Load cases that break the option in another way than the bench are left out.
    """
    lines = []
    for one in found:
        pairs = [(row, one.alike(row)) for row in result.option_rows(one.row.option)]
        worth = [f"{r.worst.loading.title.lower()} {_force(n)}" for r, n in pairs if n == n]
        if worth:
            lines.append(f"{one.row.option}: {'; '.join(worth)}")
    return lines


def bench_record(found: list[Foretold]) -> list[dict]:
    """The same as plain data."""
    return [
        {
            "option": one.row.option, "arm_mm": one.arm, "clamp_mm": one.clamp,
            "force_N": one.force, "low_N": one.span[0], "high_N": one.span[1],
            "hung": one.row.worst.label, "mode": one.row.worst.mode,
            "place_mm": one.row.worst.place, "sinking_at_half_mm": one.sinking,
            "strength": one.strength, "grade": one.grade, "scatter": one.scatter,
            "uncertainty": one.row.uncertainty, "clamp_force_N": one.clamp_force,
        }
        for one in found
    ]  # fmt: skip


def _cells(one: Foretold) -> tuple[str, ...]:
    worst = one.row.worst
    low, high = one.span
    unknown = math.isnan(low)
    return (
        one.row.option, _force(one.force),
        "not known" if unknown else f"{low:.0f} and {high:.0f} N",
        worst.label.removeprefix("hung toward "), worst.mode, where(worst), _rests_on(one),
        f"{_digits(one.sinking, 2)} mm",
    )  # fmt: skip


def _rests_on(one: Foretold) -> str:
    """The strength behind the break and how it scatters, with grades."""
    if not one.strength:
        return "a strength without a scatter"
    scatter = (
        "scatter not known" if math.isnan(one.scatter) else f"scatter {100 * one.scatter:.0f} %"
    )
    return f"{one.strength} ({one.grade}), {scatter}"


def _force(newton: float) -> str:
    return f"{_digits(newton, 3)} N ({_digits(newton / GRAVITY, 2)} kg)"


def _digits(value: float, count: int) -> str:
    """A few significant digits, never with an exponent."""
    decimals = max(0, count - 1 - math.floor(math.log10(value))) if value > 0 else 0
    return f"{value:.{decimals}f}"
