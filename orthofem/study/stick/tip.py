"""The rubber foot: whether the floor's friction can hold what a load case asks of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.loads.cases.kick import TIP_FRICTION

from .bowing import CaseBowing

SOURCE = "friction of dry rubber 0.9 (E)"


@dataclass(frozen=True)
class Foothold:
    """What a load case asks of the tip on the floor, in its worst variant.

    Parameters
    ----------
    case, title : str
    side, press : float
        Side force and force on to the floor. [N]
    needed : float
        Friction coefficient that it takes; inf where nothing presses the tip down. [-]
    limit : float
        Friction coefficient that there is. [-]
    """

    case: str
    title: str
    side: float
    press: float
    needed: float
    limit: float

    @property
    def slips(self) -> bool:
        """Whether the tip slips before the whole load has come on."""
        return self.needed > self.limit

    @property
    def words(self) -> str:
        """What that means, in plain words."""
        if self.needed < 1e-3:
            return "no side force at the tip"
        if not self.slips:
            return f"tip needs friction {self.needed:.2g} of {self.limit:g}"
        if math.isinf(self.needed):
            return "tip is not pressed down: it is taken as held by something else than friction"
        return (
            f"tip would need friction {self.needed:.2g}, more than {self.limit:g}: it slips first"
        )


def foothold(case: CaseBowing, limit: float = TIP_FRICTION) -> Foothold | None:
    """Look at the tip's force on the floor; None where the tip does not stand on it.

    Parameters
    ----------
    case : CaseBowing
    limit : float, optional
        Friction coefficient of the rubber foot. [-]
    """
    clamped = case.case.clamped or (None,) * len(case.variants)
    standing = [k for k, station in enumerate(clamped) if station is None]
    if not standing:
        return None
    force = case.straight(0.0)[:3, standing]
    side, press = np.hypot(force[1], force[2]), -force[0]
    scale = max(float(np.abs(case.loads.forces).max()), 1e-9)
    quiet = side <= 1e-9 * scale
    pressed = press > 1e-9 * scale
    needed = np.where(quiet, 0.0, np.where(pressed, side / np.where(pressed, press, 1.0), np.inf))
    k = int(np.argmax(needed))
    return Foothold(
        case.case.name, case.case.title, float(side[k]), float(press[k]), float(needed[k]), limit
    )
