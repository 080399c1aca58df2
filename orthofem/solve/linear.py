"""Linear solvers: a supernodal direct one, SciPy's own, and conjugate gradients with multigrid."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pyamg
import scipy.sparse as sp
from scipy.sparse.linalg import cg, splu

from orthofem.errors import ModelError, pick

from .loads import rigid_motions
from .memory import available_memory
from .model import Model
from .pardiso import Pardiso, library

SMALL = 15_000
"""Unknowns below which SciPy's own direct solver is quick enough."""

FACTOR_GB = (1.6, 116_000, 1.4)
"""Memory of a direct factor [GB] at a number of unknowns, and its growth; tests/benchmarks."""


@dataclass(frozen=True)
class Factor:
    """A stiffness matrix made ready to be solved for many right-hand sides.

    Parameters
    ----------
    solve : callable
        Forces of shape (n_unknowns, n_loads) to displacements of the same shape.
    method : str
        Name of the method.
    iterations : list of int
        Iterations of each solve so far; stays empty for direct methods.
    """

    solve: Callable[[np.ndarray], np.ndarray]
    method: str
    iterations: list[int]


def factorise(model: Model, held: np.ndarray, method: str = "auto", tolerance: float = 1e-10):
    """Make the supported stiffness matrix ready to be solved.

    Parameters
    ----------
    model : Model
    held : ndarray of int
        Unknowns with prescribed displacement; their rows and columns become the identity.
    method : str, optional
        "direct" (supernodal, where there is one), "scipy" (SciPy's own direct solver),
        "iterative" (conjugate gradients with algebraic multigrid), or "auto".
    tolerance : float, optional
        Relative residual of the iterative method.

    Returns
    -------
    factor : Factor

    Raises
    ------
    ValueError
        If the method is unknown.
    ModelError
        If the matrix is not positive definite, or the iteration does not converge.
    """
    chosen = preferred_method(model.space.n_unknowns) if method == "auto" else method
    return pick(METHODS, chosen, "solver")(model, held, tolerance)


def preferred_method(n_unknowns: int) -> str:
    """Fastest method that this platform has and that fits in the memory that is free."""
    if library() is not None:
        fits = factor_memory(n_unknowns) < 0.7e-9 * available_memory()
        return "direct" if fits else "iterative"
    return "scipy" if n_unknowns <= SMALL else "iterative"


def factor_memory(n_unknowns: int) -> float:
    """Memory that a direct factor of a compact three-dimensional part takes. [GB]."""
    known, at, growth = FACTOR_GB
    return known * (n_unknowns / at) ** growth


def _direct(model: Model, held: np.ndarray, tolerance: float) -> Factor:
    return Factor(Pardiso(supported_blocks(model, held, upper=True)).solve, "direct", [])


def _scipy(model: Model, held: np.ndarray, tolerance: float) -> Factor:
    factor = splu(
        supported_blocks(model, held).tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    return Factor(factor.solve, "scipy", [])


def _iterative(model: Model, held: np.ndarray, tolerance: float) -> Factor:
    matrix = supported_blocks(model, held)
    nodes = model.space.nodes
    near_null = rigid_motions(nodes, nodes.mean(axis=1)).transpose(2, 1, 0).reshape(-1, 6)
    near_null = np.ascontiguousarray(near_null)
    near_null[held] = 0.0
    hierarchy = pyamg.smoothed_aggregation_solver(
        matrix,
        B=near_null,
        symmetry="symmetric",
        strength=("symmetric", {"theta": 0.0}),
        smooth="jacobi",
        improve_candidates=None,
        max_coarse=_coarse_size(matrix.shape[0]),
        coarse_solver="splu",
        presmoother=("block_gauss_seidel", {"sweep": "symmetric"}),
        postsmoother=("block_gauss_seidel", {"sweep": "symmetric"}),
    )
    preconditioner = hierarchy.aspreconditioner(cycle="V")
    counts: list[int] = []

    def solve(forces: np.ndarray) -> np.ndarray:
        answer = np.zeros_like(forces)
        for column in range(forces.shape[1]):
            answer[:, column] = _conjugate_gradients(
                matrix, forces[:, column], preconditioner, tolerance, counts
            )
        return answer

    return Factor(solve, "iterative", counts)


def _coarse_size(n_unknowns: int) -> int:
    """Unknowns that are few enough to be solved directly at the bottom of the hierarchy.

    One step of aggregation leaves about one unknown in forty of quadratic elements; stopping
    there, and not deeper, keeps the number of iterations the same for all sizes.
    """
    return min(20_000, max(600, n_unknowns // 20))


METHODS = {"direct": _direct, "scipy": _scipy, "iterative": _iterative}


def _conjugate_gradients(matrix, force, preconditioner, tolerance, counts) -> np.ndarray:
    steps = 0

    def count(_):
        nonlocal steps
        steps += 1

    answer, failed = cg(
        matrix, force, rtol=tolerance, atol=0.0, maxiter=1000, M=preconditioner, callback=count
    )
    counts.append(steps)
    if failed:
        raise ModelError(
            f"Conjugate gradients did not reach {tolerance:g} in {steps} steps: the model is "
            "badly conditioned. Check for cells that are far too flat and for loose pieces."
        )
    return answer


def supported_blocks(model: Model, held: np.ndarray, upper: bool = False) -> sp.bsr_matrix:
    """Stiffness matrix, whole or its upper triangle, with the identity's rows where held."""
    matrix = (model.upper if upper else model.matrix).copy()
    is_held = np.zeros(matrix.shape[0], dtype=bool)
    is_held[held] = True
    is_held = is_held.reshape(-1, 3)
    row = np.repeat(np.arange(len(is_held)), np.diff(matrix.indptr))
    at_hold = np.logical_or.reduce(is_held, axis=1)
    touched = np.flatnonzero(at_hold[row] | at_hold[matrix.indices])
    rows, columns = row[touched], matrix.indices[touched]
    away = is_held[rows][:, :, None] | is_held[columns][:, None, :]
    matrix.data[touched] = np.where(away, 0.0, matrix.data[touched])
    own, corner = touched[rows == columns][:, None], np.arange(3)
    diagonal = matrix.data[own, corner, corner]
    held_there = is_held[rows[rows == columns]]
    matrix.data[own, corner, corner] = np.where(held_there, _diagonal_scale(model), diagonal)
    return matrix


def _diagonal_scale(model: Model) -> float:
    """A typical diagonal entry, so that held unknowns do not spoil the conditioning."""
    return float(np.median(model.diagonal_blocks[:, [0, 1, 2], [0, 1, 2]]))
