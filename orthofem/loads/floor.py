"""A rubber tip on the floor: it holds like a spring, and slips when pulled too hard."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.loads.struck import Struck
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class Floor:
    """Friction under a rubber tip.

    Parameters
    ----------
    shape : ndarray of shape (2, n_modes)
        Mode shapes of the stick at its tip (y, z), the tip free. [1/sqrt(kg)]
    spring : float
        Rubber and all that the modes leave out, in a row. [mN/mm]
    grip : float
        Largest side force. [mN]
    """

    shape: FloatArray
    spring: float
    grip: float

    @classmethod
    def under(cls, struck: Struck) -> Floor | None:
        """Return the floor under a stick that may slip; nothing where its tip is held."""
        if math.isinf(struck.blow.grip):
            return None
        shape, rest = struck.modes.at(0.0)
        left = max(0.0, float(np.trace(rest)) / 2.0)
        spring = 1000.0 / (1.0 / struck.blow.tip_stiffness + left)
        return cls(shape, spring, 1000.0 * struck.blow.grip)

    @property
    def rate(self) -> float:
        """Angular frequency of the tip's own mass on the rubber [rad/s]."""
        return math.sqrt(self.spring * float(np.trace(self.shape @ self.shape.T)) / 2.0)

    def hold(self, q: FloatArray, foothold: FloatArray) -> tuple[FloatArray, ...]:
        """Push back against the tip, as far as the grip goes.

        Parameters
        ----------
        q : ndarray of shape (n_modes, n_variants)
            Amplitudes of the modes. [sqrt(kg) mm]
        foothold : ndarray of shape (2, n_variants)
            Where on the floor the rubber stands. [mm]

        Returns
        -------
        force : ndarray of shape (2, n_variants)
            Force of the floor. [mN]
        foothold : ndarray of shape (2, n_variants)
            Moved along where the tip slips. [mm]
        taken : ndarray of shape (n_variants,)
            Energy that the slip has taken. [mN mm]
        stored : ndarray of shape (n_variants,)
            Energy in the rubber. [mN mm]
        """
        tip = self.shape @ q
        force = self.spring * (foothold - tip)
        size = np.hypot(*force)
        force = force * np.minimum(1.0, self.grip / np.maximum(size, 1e-300))
        moved = tip + force / self.spring
        taken = -(force * (moved - foothold)).sum(axis=0)
        return force, moved, taken, (force**2).sum(axis=0) / (2.0 * self.spring)
