"""What happens where pieces touch, and how far that changes an answer, as plain data."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..worst import Worst


@dataclass(frozen=True)
class Touch:
    """One interface under the governing variant of one load case, the load as given.

    Parameters
    ----------
    case : str
        Load case.
    interface : str
        "a|b", or "a|b thread" and "a|b seat".
    closed : float
        Share of its area that is closed. [-]
    pressure : float
        Largest, at the points where contact is looked at. [MPa]
    opening, slip : float
        Largest. [mm]
    force_share, moment_share : float
        How much of the load's force and of its moment goes across, along these; moments about
        the point that the resultants refer to. NaN where the load has none. [-]
    steps : int
        After so many no point changed between open, closed and sliding; 0 where the answer to a
        load of the same direction served.
    """

    case: str
    interface: str
    closed: float
    pressure: float
    opening: float
    slip: float
    force_share: float
    moment_share: float
    steps: int

    @classmethod
    def read(cls, kept: dict) -> Touch:
        """Make it of its plain data, as `dataclasses.asdict` or a JSON file gives it."""
        nan = {name: math.nan for name, value in kept.items() if value is None}
        return cls(**{**kept, **nan})


@dataclass(frozen=True)
class Touched:
    """What touching changes, kept beside an answer.

    Parameters
    ----------
    touches : tuple of Touch
        Of every load case and interface.
    bonded : tuple of Worst
        The worst of every load case with the same pieces bonded, on the same mesh.
    flexibility, bonded_flexibility : ndarray of shape (6, 6)
        Movement of the loaded surface per unit resultant, touching (mean of pushed and pulled)
        and bonded. [mm/N, 1/N, ...]
    notes : tuple of str
        How it was solved.
    """

    touches: tuple[Touch, ...]
    bonded: tuple[Worst, ...]
    flexibility: np.ndarray
    bonded_flexibility: np.ndarray
    notes: tuple[str, ...] = ()

    def case(self, name: str) -> list[Touch]:
        """Interfaces under one load case."""
        return [touch for touch in self.touches if touch.case == name]

    def bonded_case(self, name: str) -> Worst:
        """One load case with the pieces bonded."""
        return next(worst for worst in self.bonded if worst.loading.name == name)

    @property
    def sideways(self) -> float:
        """Stiffness against a sideways force at the reference point over the bonded one. [-]."""
        return self._stiffness((1, 2))

    @property
    def bending(self) -> float:
        """Stiffness against a bending moment over the bonded one. [-]."""
        return self._stiffness((4, 5))

    def _stiffness(self, ways: tuple[int, int]) -> float:
        soft, bonded = (
            sum(matrix[way, way] for way in ways)
            for matrix in (self.flexibility, self.bonded_flexibility)
        )
        return float(bonded / soft)
