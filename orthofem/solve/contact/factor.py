"""The matrix of the interfaces for changing sets of closed points, refactored only when it pays."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import scipy.sparse as sp
from scipy.linalg import LinAlgError, cholesky, lu_factor, lu_solve, solve_triangular

from orthofem.errors import ModelError

from .energy import Loaded, Problem

SOME = 0.15
"""Points that changed, over the unknowns, up to which a factor is corrected instead of made."""


@dataclass
class LastFactor:
    """The last factor, the closed points that it is for, and what corrects it for others.

    A point that closes or opens adds or takes one spring, a rank-one change: the matrix is
    ``L (I + Y D Y') L'``, where Y holds ``L^-1`` times the row of each point that ever changed.
    """

    base: np.ndarray | None = None
    lower: np.ndarray | None = None
    rows: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=int))
    columns: np.ndarray = field(default_factory=lambda: np.zeros((0, 0)))
    gram: np.ndarray = field(default_factory=lambda: np.zeros((0, 0)))
    made: int = 0

    def solve(self, loaded: Loaded, closed, sliding, slip, right: np.ndarray) -> np.ndarray:
        """Unknowns for a right-hand side, with these points closed and these sliding."""
        problem = loaded.problem
        if len(loaded.bound):
            self._make(problem, closed, lambda matrix: _add_friction(matrix, loaded, sliding, slip))
            return self._apply(right)
        if self.base is None or (closed != self.base).sum() > SOME * len(right):
            self._make(problem, closed)
        correct = self._correction(problem, closed)
        answer = self._apply(right, *correct)
        # a correction loses digits where a stiff spring is taken away again: once more
        return answer + self._apply(right - _product(problem, closed, answer), *correct)

    def _make(self, problem: Problem, closed: np.ndarray, friction=None) -> None:
        matrix = problem.stiffness.copy(order="F")
        add(matrix, problem.press[closed], problem.press_stiffness[closed])
        if friction is not None:
            friction(matrix)
        self.lower = None  # two at a time would take twice the memory
        try:
            self.lower = cholesky(matrix, lower=True, overwrite_a=True, check_finite=False)
        except LinAlgError as error:
            raise ModelError(
                "The stiffness of the interfaces is not positive definite: a piece hangs loose. "
                "Hold it with Fixed(...) or tie it with ThreadTie(...)."
            ) from error
        self.base, self.made = closed.copy(), self.made + 1
        self.rows, self.columns = np.zeros(0, dtype=int), np.zeros((len(matrix), 0), order="F")
        self.gram = np.zeros((0, 0))

    def _correction(self, problem: Problem, closed: np.ndarray) -> tuple:
        """Columns of the points that differ from the base, and the factor of their small matrix."""
        changed = np.flatnonzero(closed != self.base)
        if not changed.size:
            return ()
        new = np.setdiff1d(changed, self.rows)
        if new.size:
            more = self._lower(problem.press[new].T.toarray(order="F"))
            across = self.columns.T @ more
            self.gram = np.block([[self.gram, across], [across.T, more.T @ more]])
            self.columns = np.concatenate([self.columns, more], axis=1)
            self.rows = np.concatenate([self.rows, new])
        place = np.flatnonzero(np.isin(self.rows, changed))
        point = self.rows[place]
        spring = np.where(closed[point], 1.0, -1.0) * problem.press_stiffness[point]
        small = self.gram[np.ix_(place, place)] + np.diag(1.0 / spring)
        return self.columns[:, place], lu_factor(small, overwrite_a=True, check_finite=False)

    def _apply(self, right: np.ndarray, columns=None, small=None) -> np.ndarray:
        half = self._lower(right)
        if columns is not None:
            half = half - columns @ lu_solve(small, columns.T @ half, check_finite=False)
        return solve_triangular(self.lower, half, lower=True, trans=1, check_finite=False)

    def _lower(self, right: np.ndarray) -> np.ndarray:
        return solve_triangular(self.lower, right, lower=True, check_finite=False)


def _product(problem: Problem, closed: np.ndarray, unknowns: np.ndarray) -> np.ndarray:
    overlap = problem.press_stiffness * (problem.press @ unknowns) * closed
    return problem.stiffness @ unknowns + problem.press.T @ overlap


def add(matrix: np.ndarray, rows: sp.csr_matrix, weights: np.ndarray) -> None:
    """Add springs, each along its row, to a full matrix."""
    product = (rows.T @ rows.multiply(weights[:, None])).tocoo()
    matrix[product.row, product.col] += product.data


def _add_friction(matrix, loaded: Loaded, sliding, slip) -> None:
    """Sticking points as springs; sliding ones as a constant force that can only turn."""
    problem, n = loaded.problem, len(loaded.bound)
    one, two = problem.slide[:n], problem.slide[n:]
    stick = np.where(sliding, 0.0, problem.rubbing_stiffness)
    add(matrix, one, stick)
    add(matrix, two, stick)
    if sliding.any():
        size = np.hypot(*slip)[sliding]
        way = slip[:, sliding] / size
        rows = one[sliding].multiply(-way[1][:, None]) + two[sliding].multiply(way[0][:, None])
        add(matrix, rows.tocsr(), loaded.bound[sliding] / size)
