"""An option's screwed joint under its own loads: with preload, with none, and with play."""

from __future__ import annotations

from collections.abc import Iterable

from ..option import Option
from ..worst import Worst
from .joint import Screwed, screwed
from .states import JointState, judge_states


def joint_of(option: Option) -> Screwed | None:
    """Springs and faces of an option's tightened joint; None where none is told.

    Raises
    ------
    ValueError
        If the joint is not screwed, or makes another part than the option's.
    """
    told = option.tightened
    if told is None:
        return None
    made = told.joint.part(told.shaft).name
    if made != option.part.name:
        raise ValueError(
            f"Option '{option.name}' has the part '{option.part.name}', but is tightened as a "
            f"'{made}'; give the joint that its part was made of."
        )
    return screwed(told.joint, told.shaft, option.prints, told.thread)


def tightened_states(
    option: Option, worst: Iterable[Worst]
) -> list[tuple[Worst, tuple[JointState, ...]]]:
    """Three states of a tightened joint under all variants of each load case.

    Parameters
    ----------
    option : Option
    worst : iterable of Worst
        Of each load case, pieces bonded: its loading has all the variants.
    """
    joint, told = joint_of(option), option.tightened
    if joint is None or told is None:
        return []
    return [
        (
            entry,
            judge_states(joint, told.tightening, entry.loading.resultants, told.remaining_modulus),
        )
        for entry in worst
    ]
