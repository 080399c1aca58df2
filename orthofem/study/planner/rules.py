"""How a joint is sized to its shaft, and which joints the planner knows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from orthofem.errors import check_between, unknown
from orthofem.parts import JOINTS, Joint, Shaft

SEPARATE = {"printed_stud": "", "loose_stud": "stud", "spigot": "spigot"}
"""Joints that the planner knows, with the piece that is printed apart from both others."""

_OF_SHAFT = {"neck": 0.09375, "root_fillet": 0.0625}
_OF_CORE = {"end_gap": 0.1, "flat": 0.15}
"""Sizes over shaft and core diameter, those of the marsh-walk stick (E)."""


@dataclass(frozen=True)
class JointRule:
    """A joint that is allowed, and how large it is made.

    Parameters
    ----------
    kind : {"printed_stud", "loose_stud", "spigot"}
    core : float, optional
        Core diameter over that of the thinnest shaft that it may stand in (E). [-]
    engaged : float, optional
        Engaged length in each piece over the core diameter (E). [-]
    sizes : mapping, optional
        Further dimensions by the joint's own names; they go before the rule's. [mm]
    name : str, optional
        In plain words; the kind if not given.

    Raises
    ------
    ValueError
        If the kind is not one that the planner knows, or a share is out of range.
    """

    kind: str
    core: float = 0.62
    engaged: float = 1.2
    sizes: Mapping[str, Any] = field(default_factory=dict)
    name: str = ""

    def __post_init__(self):
        if self.kind not in SEPARATE:
            if self.kind in JOINTS:
                raise ValueError(
                    f"The planner does not plan with '{self.kind}': its rod runs on beyond the "
                    f"joint. Allow one of {', '.join(SEPARATE)}, and study a "
                    f"'{self.kind}' as a joint of its own."
                )
            raise ValueError(unknown("joint of the planner", self.kind, SEPARATE))
        check_between(f"core of '{self.kind}' over its shaft", self.core, 0.1, 0.95)
        check_between(f"engaged length of '{self.kind}' over its core", self.engaged, 0.2, 5.0)
        known = JOINTS[self.kind].__dataclass_fields__
        for size in self.sizes:
            if size not in known:
                raise ValueError(unknown(f"dimension of '{self.kind}'", size, known))
        if not self.name:
            object.__setattr__(self, "name", self.kind.replace("_", " "))

    def joint(self, diameter: float) -> Joint:
        """Size the joint to a shaft.

        Parameters
        ----------
        diameter : float
            The thinnest that it may stand in. [mm]

        Examples
        --------
        >>> JointRule("printed_stud").joint(32.0).core_diameter
        20.0
        """
        made = JOINTS[self.kind]
        core = self.sizes.get("core_diameter", round(2 * self.core * diameter) / 2)
        shares = {name: (share, diameter) for name, share in _OF_SHAFT.items()}
        shares |= {name: (share, core) for name, share in _OF_CORE.items()}
        sizes = {
            name: round(share * of, 2)
            for name, (share, of) in shares.items()
            if name in made.__dataclass_fields__
        }
        engaged = round(self.engaged * core, 1)
        return made(**{"core_diameter": core, "engaged_length": engaged, **sizes, **self.sizes})


def window_of(joint: Joint, widest: float) -> float:
    """How far a joint's window reaches to each side: one shaft diameter beyond its depth. [mm]."""
    return float(math.ceil(joint.end + joint.end_gap + widest))


def stud_beyond(joint: Joint) -> float:
    """How far a stud that is in one with its piece stands out of it. [mm]."""
    return joint.end if SEPARATE[kind_of(joint)] == "" else 0.0


def kind_of(joint: Joint) -> str:
    """Name of a joint's kind in ``JOINTS``."""
    return next(name for name, made in JOINTS.items() if type(joint) is made)


def fits(joint: Joint, shafts: tuple[Shaft, ...], window: float) -> str:
    """Why a joint does not fit one of some straight shafts, or ''."""
    for shaft in shafts:
        try:
            joint.part(shaft, window)  # type: ignore[attr-defined]
        except ValueError as error:
            return str(error)
    return ""
