"""The bench test that could prove a study wrong: what to hang where, what the model foretells."""

from __future__ import annotations

import math

from orthofem.study import Foretold, StickWindow, StudyResult, foretell

from .verdict import where

GRAVITY = 9.81
"""[m/s2]"""
COLUMNS = (
    "option", "breaks at", "nine of ten between", "side that faces down", "breaks how", "where",
    "sinks under half of it",
)  # fmt: skip


def foretold(result: StudyResult) -> list[Foretold]:
    """Every option's break on the bench; none for parts held by hand or pieces in contact."""
    setting = result.study.setting
    if not isinstance(setting, StickWindow):
        return []
    bonded = (a for a in result.answers.values() if a[-1].contact is None)
    return [foretell(answers, setting) for answers in bonded]


def bench_how(found: list[Foretold]) -> list[str]:
    """How to set the bench up, and what to make of it."""
    if not found:
        return []
    clamps = sorted({round(one.clamp) for one in found})
    return [
        f"Print the joint as in the option, clamp the lower half with the clamp's edge "
        f"{' or '.join(map(str, clamps))} mm below the joint, hang a bucket {found[0].arm:g} mm "
        "above it, the stick level, and fill in sand slowly until it breaks. Never a person as "
        "the load; stay clear of what falls; wear eye protection.",
        "Break at least five of a kind (E): the lowest counts, not the mean. First read how far "
        "the weight sinks: that tells whether the stiffness is right before anything breaks.",
        "If yours break in the way foretold but at k times the force, multiply that option's "
        "reserve factors by k. If they break in another way, the model does not fit your print.",
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
            "uncertainty": one.row.uncertainty,
        }
        for one in found
    ]  # fmt: skip


def _cells(one: Foretold) -> tuple[str, ...]:
    worst = one.row.worst
    low, high = one.span
    unknown = math.isnan(low)
    return (
        one.row.option, _force(one.force),
        "scatter not known" if unknown else f"{low:.0f} and {high:.0f} N",
        worst.label.removeprefix("hung toward "), worst.mode, where(worst), f"{one.sinking:.2g} mm",
    )  # fmt: skip


def _force(newton: float) -> str:
    return f"{newton:.3g} N ({newton / GRAVITY:.2g} kg)"
