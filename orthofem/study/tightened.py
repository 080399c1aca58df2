"""How an option's joint is screwed together: what preload, opening and play are worked out from."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_between
from orthofem.loads import Thread, Tightening
from orthofem.parts import LooseStud, PrintedStud, Shaft, TieRod


@dataclass(frozen=True)
class Tightened:
    """A screwed joint, its torque, and what time leaves of its stiffness.

    Parameters
    ----------
    joint : PrintedStud, LooseStud or TieRod
        What the option's part was made of.
    shaft : Shaft
        Shaft that it joins.
    tightening : Tightening
        Torque, friction range and hand of the thread.
    thread : Thread, optional
        Without it that of the joint's core diameter, see :func:`orthofem.study.screwed`.
    remaining_modulus : float, optional
        Of the print at the time looked at over that when tightened. [-]

    Raises
    ------
    ValueError
        If there is no torque, or the remaining modulus is not above 0 and at most 1.
    """

    joint: PrintedStud | LooseStud | TieRod
    shaft: Shaft
    tightening: Tightening
    thread: Thread | None = None
    remaining_modulus: float = 1.0

    def __post_init__(self):
        if not isinstance(self.tightening, Tightening):
            raise ValueError(
                f"tightening = {self.tightening!r}; give Tightening(torque), its torque in N mm."
            )
        check_between("remaining modulus", self.remaining_modulus, 1e-6, 1.0)
