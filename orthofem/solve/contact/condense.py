"""Eliminate all but a few unknowns of a sparse system, once for any number of loads."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu

from orthofem.errors import ModelError, pick

from ..memory import available_memory
from ..pardiso import BACKWARD, FORWARD, Pardiso, library

SOME = 256  # columns at a time where no solver condenses by itself


@dataclass(frozen=True)
class Condensed:
    """A system whose other unknowns follow from a few kept ones.

    Parameters
    ----------
    kept : ndarray of int
        Unknowns that stay.
    stiffness : ndarray of shape (n_kept, n_kept)
        What remains of the matrix (Schur complement), both triangles.
    reduce : callable
        Forces (n, n_loads) to an array of that shape whose kept rows are the forces that remain.
    expand : callable
        The reduced array, its kept rows replaced by the kept unknowns' values, to all unknowns.
    """

    kept: np.ndarray
    stiffness: np.ndarray
    reduce: Callable[[np.ndarray], np.ndarray]
    expand: Callable[[np.ndarray], np.ndarray]


def condense(matrix: sp.csr_matrix, kept: np.ndarray, method: str = "auto") -> Condensed:
    """Eliminate all unknowns but the kept ones.

    Parameters
    ----------
    matrix : sparse matrix (n, n)
        Upper triangle; positive definite where the kept unknowns are held.
    kept : ndarray of int
        Unknowns that stay.
    method : str, optional
        "direct" (supernodal, where there is one), "scipy", or "auto".

    Returns
    -------
    condensed : Condensed

    Raises
    ------
    ModelError
        If memory does not suffice or the rest of the matrix is not positive definite.
    """
    need = 8e-9 * 3.5 * len(kept) ** 2
    if need > 0.8e-9 * available_memory():
        raise ModelError(
            f"The interfaces have {len(kept)} unknowns, whose full matrices take {need:.1f} GB of "
            "memory. Use larger elements on the interfaces, or fewer interfaces in contact."
        )
    if method == "auto":
        method = "direct" if library() is not None else "scipy"
    return pick(CONDENSERS, method, "solver for contact")(matrix, np.asarray(kept))


def _direct(matrix: sp.csr_matrix, kept: np.ndarray) -> Condensed:
    # the solver also factorises what remains, which is singular where a piece is loose: shift it
    shift = np.zeros(matrix.shape[0])
    shift[kept] = matrix.diagonal().mean()
    matrix = sp.csr_matrix(matrix + sp.diags_array(shift))
    matrix.sort_indices()
    factor = Pardiso(matrix, kept)
    remaining = np.asarray(factor.remaining)
    upper = np.triu(remaining) if np.abs(np.triu(remaining, 1)).sum() else np.tril(remaining).T
    stiffness = upper + np.triu(upper, 1).T - np.diag(shift[kept])
    back = np.argsort(np.argsort(kept))  # the solver gives them in ascending order
    return Condensed(
        kept,
        np.asfortranarray(stiffness[np.ix_(back, back)]),
        lambda forces: factor.solve(forces, FORWARD),
        lambda reduced: factor.solve(reduced, BACKWARD),
    )


def _scipy(matrix: sp.csr_matrix, kept: np.ndarray) -> Condensed:
    whole = (matrix + sp.triu(matrix, 1).T).tocsc()
    rest = np.setdiff1d(np.arange(whole.shape[0]), kept)
    inner, across = whole[rest][:, rest].tocsc(), whole[rest][:, kept].tocsc()
    factor = splu(
        inner, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
    stiffness = np.asfortranarray(whole[kept][:, kept].toarray())
    for start in range(0, len(kept), SOME):
        part = slice(start, start + SOME)
        stiffness[:, part] -= across.T @ factor.solve(across[:, part].toarray())

    def reduce(forces: np.ndarray) -> np.ndarray:
        reduced = np.array(forces, float)
        reduced[rest] = factor.solve(np.asarray(forces[rest]))
        reduced[kept] -= across.T @ reduced[rest]
        return reduced

    def expand(reduced: np.ndarray) -> np.ndarray:
        answer = np.array(reduced, float)
        answer[rest] -= factor.solve(across @ reduced[kept])
        return answer

    return Condensed(kept, 0.5 * (stiffness + stiffness.T), reduce, expand)


CONDENSERS = {"direct": _direct, "scipy": _scipy}
