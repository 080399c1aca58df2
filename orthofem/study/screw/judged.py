"""An option's screwed joint under its own loads: with preload, with none, and with play."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from orthofem.parts import OnPlane

from ..option import Option
from ..setting import Setting, StickWindow
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
    made, window = told.joint.part(told.shaft), option.part.surfaces.get("upper_end")
    if made.name == option.part.name and isinstance(window, OnPlane):
        made = told.joint.part(told.shaft, float(window.point[0]))
    if [piece.solid for piece in made.pieces] != [piece.solid for piece in option.part.pieces]:
        raise ValueError(
            f"Option '{option.name}' has a part '{option.part.name}' that is not the "
            f"'{made.name}' it is tightened as; give the joint and shaft that its part was made of."
        )
    return screwed(told.joint, told.shaft, option.prints, told.thread)


def tightened_states(
    option: Option, setting: Setting, worst: Iterable[Worst]
) -> list[tuple[Worst, tuple[JointState, ...]]]:
    """Three states of a tightened joint under all variants of each load case.

    Parameters
    ----------
    option : Option
    setting : StickWindow or HeldPart
    worst : iterable of Worst
        Of each load case, pieces bonded: its loading has all the variants.

    Raises
    ------
    ValueError
        If a held part is loaded on a surface that is not flat.
    """
    joint, told = joint_of(option), option.tightened
    if joint is None or told is None:
        return []
    move = _to_shoulder(option, setting)
    return [
        (
            entry,
            judge_states(
                joint, told.tightening, move @ entry.loading.resultants, told.remaining_modulus
            ),
        )
        for entry in worst
    ]


def _to_shoulder(option: Option, setting: Setting) -> np.ndarray:
    """Matrix that takes resultants to the shoulder, where x = 0 in every joint, (6, 6)."""
    if isinstance(setting, StickWindow):
        x, y, z = setting.centre, 0.0, 0.0
    else:
        surface = option.part.surfaces[setting.loaded]
        if not isinstance(surface, OnPlane):
            raise ValueError(
                f"Option '{option.name}' is tightened, but '{setting.loaded}' is not a flat "
                "surface, so its loads cannot be taken to the joint; load a flat end."
            )
        x, y, z = surface.point
    move = np.eye(6)
    move[3:, :3] = [[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]]
    return move
