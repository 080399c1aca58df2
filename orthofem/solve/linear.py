"""Linear solvers: a supernodal direct one, SciPy's own, and conjugate gradients with multigrid."""

from __future__ import annotations

import ctypes
import os
import weakref
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

try:
    import pypardiso
except ImportError:  # no wheel for this platform: the other two solvers work everywhere
    pypardiso = None

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
    if pypardiso is not None:
        fits = factor_memory(n_unknowns) < 0.7e-9 * available_memory()
        return "direct" if fits else "iterative"
    return "scipy" if n_unknowns <= SMALL else "iterative"


def factor_memory(n_unknowns: int) -> float:
    """Memory that a direct factor of a compact three-dimensional part takes. [GB]."""
    known, at, growth = FACTOR_GB
    return known * (n_unknowns / at) ** growth


def _direct(model: Model, held: np.ndarray, tolerance: float) -> Factor:
    if pypardiso is None:
        raise ModelError(
            "No supernodal direct solver on this platform; use method='iterative' or 'scipy', "
            "or install one: pip install pypardiso (x86-64 only)."
        )
    matrix = _supported_upper(model, held)
    solver = pypardiso.PyPardisoSolver(mtype=2)
    _use_allowed_threads(solver.libmkl)
    try:
        solver.factorize(matrix)
    except pypardiso.pardiso_wrapper.PyPardisoError as error:
        raise ModelError(
            f"The direct solver could not factorise the stiffness matrix ({error}). Either a part "
            "hangs loose or memory ran out; try method='iterative' or a coarser mesh."
        ) from error

    def solve(forces: np.ndarray) -> np.ndarray:
        return solver.solve(matrix, np.asfortranarray(forces))

    factor = Factor(solve, "direct", [])
    # the solver keeps gigabytes outside Python's sight; give them back with the factor
    weakref.finalize(factor, solver.free_memory, everything=True)
    return factor


def _use_allowed_threads(library: ctypes.CDLL) -> None:
    """Let the solver use every thread it may.

    As many as MKL_NUM_THREADS or OMP_NUM_THREADS says, or as there are cores. Left to choose, it
    takes one on two cores, the more so after the mesher has set the process to one thread.
    """
    said = os.environ.get("MKL_NUM_THREADS") or os.environ.get("OMP_NUM_THREADS")
    threads = int(said) if said and said.isdigit() else os.cpu_count() or 1
    if hasattr(library, "MKL_Set_Dynamic") and hasattr(library, "MKL_Set_Num_Threads"):
        library.MKL_Set_Dynamic(ctypes.c_int(0))
        library.MKL_Set_Num_Threads(ctypes.c_int(threads))


def _scipy(model: Model, held: np.ndarray, tolerance: float) -> Factor:
    upper = _supported_upper(model, held)
    whole = (upper + sp.triu(upper, 1).T).tocsc()
    return Factor(
        splu(
            whole,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        ).solve,
        "scipy",
        [],
    )


def _iterative(model: Model, held: np.ndarray, tolerance: float) -> Factor:
    matrix = _supported_blocks(model, held)
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
        max_coarse=600,
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


def _supported_upper(model: Model, held: np.ndarray) -> sp.csr_matrix:
    matrix = model.pattern.upper_matrix(model.blocks)
    is_held = np.zeros(matrix.shape[0], dtype=bool)
    is_held[held] = True
    row = np.repeat(np.arange(matrix.shape[0]), np.diff(matrix.indptr))
    matrix.data[is_held[row] | is_held[matrix.indices]] = 0.0
    matrix.data[matrix.indptr[held]] = _diagonal_scale(model)
    return matrix


def _supported_blocks(model: Model, held: np.ndarray) -> sp.bsr_matrix:
    matrix = model.matrix.copy()
    is_held = np.zeros(matrix.shape[0], dtype=bool)
    is_held[held] = True
    is_held = is_held.reshape(-1, 3)
    row = np.repeat(np.arange(len(is_held)), np.diff(matrix.indptr))
    matrix.data[is_held[row][:, :, None] | is_held[matrix.indices][:, None, :]] = 0.0
    diagonal = np.flatnonzero(row == matrix.indices)
    for component in range(3):
        where = is_held[row[diagonal], component]
        matrix.data[diagonal[where], component, component] = _diagonal_scale(model)
    return matrix


def _diagonal_scale(model: Model) -> float:
    """A typical diagonal entry, so that held unknowns do not spoil the conditioning."""
    rows, columns, _ = model.pattern._pairs
    return float(np.median(model.blocks[rows == columns][:, [0, 4, 8]]))
