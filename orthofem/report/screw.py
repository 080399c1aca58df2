"""A tightened joint in words: preload, opening, load shares, thread, twist and play."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from orthofem import figures
from orthofem.study import (
    Answer,
    JointState,
    StudyResult,
    Worst,
    file_stem,
    joint_of,
    judge_states,
    share_lines,
    tightened_states,
)

BEYOND = 1.2
"""Largest pull drawn, over that which parts the shoulder from the most preload. [-]"""

SCREW_COLUMNS = (
    "option", "load case", "state", "preload [N]", "shoulder opens at [x load]",
    "shoulder's share of a pull, of bending [-]", "stud pulled by [N]",
    "thread shear, socket and stud [MPa]", "thread and seat pressure [MPa]", "twist", "tilts by",
)  # fmt: skip


def screw_rows(result: StudyResult) -> list[tuple[str, ...]]:
    """One row for each tightened option, load case and state."""
    return [
        _cells(name, worst, state)
        for name, answers in result.answers.items()
        for worst, states in _states(result, name, answers[-1])
        for state in states
    ]


def screw_notes(result: StudyResult) -> list[str]:
    """What each tightening was taken from, and how far the algebra goes; each told once."""
    told: dict[str, None] = {}
    for name in result.answers:
        option = _option(result, name)
        joint = joint_of(option)
        if joint is None or option.tightened is None:
            continue
        given = option.tightened.tightening
        told[
            f"{name}: tightened by {given.torque / 1000:g} N m; {given.source} ({given.grade})."
        ] = None
        for note in joint.notes:
            told[f"{joint.title}: {note}."] = None
    return list(told)


def screw_pictures(result: StudyResult) -> Iterator[tuple[str, str, object]]:
    """File stem, key of the figure and its data: load shares of each tightened joint."""
    for name in result.answers:
        option = _option(result, name)
        joint = joint_of(option)
        if joint is None or option.tightened is None:
            continue
        told = option.tightened
        (tight, *_) = judge_states(joint, told.tightening, np.zeros(6), told.remaining_modulus)
        highest = joint.springs.opening_pull(tight.preload[1])
        lines = share_lines(joint, tight.preload, np.linspace(0.0, BEYOND * highest, 80))
        yield (
            f"{file_stem(name)}_load_share",
            "load_share",
            figures.LoadShare(
                name, lines.states, lines.pull, lines.stud, lines.shoulder, lines.opening
            ),
        )


def _states(result: StudyResult, name: str, answer: Answer):
    study = result.study
    return tightened_states(_option(result, name), study.setting, _all_variants(answer))


def _option(result: StudyResult, name: str):
    return next(option for option in result.study.options if option.name == name)


def _all_variants(answer: Answer) -> tuple[Worst, ...]:
    return answer.worst if answer.contact is None else answer.contact.bonded


def _cells(name: str, worst: Worst, state: JointState) -> tuple[str, ...]:
    return (
        name, worst.loading.title, state.name,
        " to ".join(f"{force:.0f}" for force in state.preload) if any(state.preload) else "0",
        f"{state.opening_factor:.2f}" if math.isfinite(state.opening_factor) else "never",
        f"{state.shoulder_share:.2f}, {state.shoulder_bending:.2f}",
        f"{state.stud_force:.0f}",
        ", ".join(f"{stress:.1f}" for stress in state.thread_shear),
        f"{state.thread_pressure:.1f}, {state.seat_pressure:.1f}",
        _twist(state), f"{state.tilt:.2f} degrees" if state.tilt else "-",
    )  # fmt: skip


def _twist(state: JointState) -> str:
    """What the twists of all variants do, the worst first."""
    if state.lets_go:
        return "some unscrew it"
    senses = {turn.sense for turn in state.turns}
    if "loosens" in senses:
        return "loosens, held by friction"
    return "tightens" if "tightens" in senses else "none"
