"""The energy of pieces that press and rub, in the unknowns of the interfaces alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp


@dataclass(frozen=True)
class Problem:
    """Pieces that press on each other, no load on them.

    Parameters
    ----------
    stiffness : ndarray of shape (n, n)
        Of the pieces. [N/mm]
    press : sparse matrix (n_points, n)
        Opening of each point.
    press_stiffness : ndarray of shape (n_points,)
        Force per overlap. [N/mm]
    clearance : ndarray of shape (n_points,)
        Opening at rest. [mm]
    slide : sparse matrix (2 n_rubbing, n)
        Slip of the points with friction: all along the first tangent, then the second.
    rubbing : ndarray of int, shape (n_rubbing,)
        Which points these are.
    friction : ndarray of shape (n_rubbing,)
        Coefficient. [-]
    weak : ndarray of shape (n, n_weak)
        Weak springs on loose motions, already counted in `stiffness`: unit vectors times the
        root of the spring's stiffness.
    """

    stiffness: np.ndarray
    press: sp.csr_matrix
    press_stiffness: np.ndarray
    clearance: np.ndarray
    slide: sp.csr_matrix
    rubbing: np.ndarray
    friction: np.ndarray
    weak: np.ndarray

    def slip(self, unknowns: np.ndarray) -> np.ndarray:
        """Slip of the points with friction, (2, n_rubbing). [mm]."""
        return (self.slide @ unknowns).reshape(2, -1)

    @property
    def rubbing_stiffness(self) -> np.ndarray:
        """Of the points with friction. [N/mm]."""
        return self.press_stiffness[self.rubbing]


@dataclass(frozen=True)
class Loaded:
    """A problem under one load, with the pressure and the bound on friction of the last round.

    Parameters
    ----------
    problem : Problem
    forces : ndarray of shape (n,)
        [N]
    bound : ndarray of shape (n_rubbing,)
        Most that friction carries at each point. [N]
    shift : ndarray of shape (n_points,)
        Overlap that stands for the pressure known so far. [mm]
    anchor : ndarray of shape (n_weak,)
        Where the weak springs are slack.
    """

    problem: Problem
    forces: np.ndarray
    bound: np.ndarray
    shift: np.ndarray
    anchor: np.ndarray

    @property
    def right(self) -> np.ndarray:
        """Forces of the load and of the anchors."""
        return self.forces + self.problem.weak @ self.anchor

    def weakly_held(self, unknowns: np.ndarray) -> np.ndarray:
        """Forces of the weak springs, (n,). [N]."""
        return self.problem.weak @ (self.anchor - self.problem.weak.T @ unknowns)

    def opening(self, unknowns: np.ndarray) -> np.ndarray:
        """Opening less the overlap that stands for pressure; a point is closed below zero."""
        return self.problem.press @ unknowns + self.problem.clearance - self.shift

    def pressing(self, unknowns: np.ndarray) -> np.ndarray:
        """Force of each point, zero where open. [N]."""
        return self.problem.press_stiffness * np.maximum(-self.opening(unknowns), 0.0)

    def rubbing(self, unknowns: np.ndarray) -> np.ndarray:
        """Force of friction on the second piece, (2, n_rubbing). [N]."""
        return self._rubbing(self.problem.slip(unknowns))

    def _rubbing(self, slip: np.ndarray) -> np.ndarray:
        size = np.hypot(*slip)
        limit = np.minimum(self.problem.rubbing_stiffness * size, self.bound)
        return -slip * (limit / np.where(size > 0, size, 1.0))

    def gradient(self, unknowns: np.ndarray) -> np.ndarray:
        """Slope of the energy, (n,). [N]."""
        problem = self.problem
        slope = problem.stiffness @ unknowns - self.right
        slope -= problem.press.T @ self.pressing(unknowns)
        if len(self.bound):
            slope -= problem.slide.T @ self.rubbing(unknowns).ravel()
        return slope

    def least_along(self, start: np.ndarray, way: np.ndarray) -> float:
        """Step of at most 1 to the least energy: it is convex, so its slope crosses zero once."""
        problem = self.problem
        bend = way @ (problem.stiffness @ way)
        first = way @ (problem.stiffness @ start - self.right)
        opening, change = self.opening(start), problem.press @ way
        slip, slide = problem.slip(start), problem.slip(way)

        def slope(length: float) -> float:
            overlap = np.minimum(opening + length * change, 0.0)
            value = first + length * bend + (problem.press_stiffness * overlap) @ change
            if len(self.bound):
                value -= (self._rubbing(slip + length * slide) * slide).sum()
            return float(value)

        at_end, at_start = slope(1.0), slope(0.0)
        if at_end <= 1e-9 * abs(at_start) or at_start >= 0:
            return 1.0
        low, high = 0.0, 1.0
        for _ in range(40):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if slope(middle) < 0 else (low, middle)
        return 0.5 * (low + high)
