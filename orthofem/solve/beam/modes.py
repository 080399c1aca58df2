"""How a beam swings by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from orthofem.errors import ModelError

from .buckling import largest_ratios
from .line import Beam
from .statics import HeldBeam, Hold


@dataclass(frozen=True)
class Modes:
    """Lowest natural modes.

    Parameters
    ----------
    omega : ndarray of shape (n,)
        Angular frequencies, rising. [rad/s]
    shapes : ndarray of shape (n_unknowns, n)
        Shapes scaled to unit mass: shape^T M shape = 1. [mm/(mm sqrt(kg)), ...]
    """

    omega: np.ndarray
    shapes: np.ndarray

    @property
    def frequency(self) -> np.ndarray:
        """Cycles per second. [Hz]."""
        return self.omega / (2.0 * np.pi)


def modes(line: Beam, holds: Sequence[Hold], count: int = 12) -> Modes:
    """Lowest natural modes of a supported beam with mass.

    Parameters
    ----------
    line : Beam
    holds : sequence of Hold
    count : int, optional

    Raises
    ------
    ModelError
        If the beam has no mass, or the supports leave it loose.

    Notes
    -----
    K in N/mm and M in kg: a factor of 1000 makes mm kg/s2 of N.
    """
    if line.total_mass <= 0:
        raise ModelError("The beam has no mass; give its sections an inertia.")
    made = HeldBeam(line, holds, line.element_stiffness)
    values, shapes = largest_ratios(made, line, line.mass, count)
    own = np.einsum("ij,ij->j", shapes, line.mass @ shapes)
    return Modes(np.sqrt(1000.0 / values), shapes / np.sqrt(own))
