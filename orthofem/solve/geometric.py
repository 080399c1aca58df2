"""Stiffness that stress adds to a solid: its buckling load, and how it bends while pressed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import ArpackError, LinearOperator, cg, eigsh

from orthofem.errors import ModelError, check_finite
from orthofem.tensors import stress_tensor

from .assembly import CHUNK
from .linear import supported_blocks
from .loads import Load
from .model import Model
from .run import Supported
from .solution import Solution

CLOSE = 1e-9


@dataclass(frozen=True)
class SolidBuckling:
    """Lowest buckling loads of a solid.

    Parameters
    ----------
    factors : ndarray of shape (n,)
        Numbers that the load is multiplied with to buckle the part, rising; inf where it does
        not buckle. [-]
    shapes : ndarray of shape (3, n_nodes, n)
        Their shapes, the largest displacement 1 mm. [mm]
    """

    factors: np.ndarray
    shapes: np.ndarray


def geometric_matrix(model: Model, stress: np.ndarray) -> sp.bsr_matrix:
    r"""Stiffness that a stress adds, :math:`\int \sigma_{kl} u_{i,k} u_{i,l}`.

    Parameters
    ----------
    model : Model
    stress : ndarray of shape (6, n_cells, n_quad)
        Stress at the quadrature points, part axes. [MPa]

    Returns
    -------
    matrix : bsr_matrix of shape (n_unknowns, n_unknowns)
        [N/mm]

    Notes
    -----
    Green's strain with moduli that do not change: in a column that shears this is Engesser's
    theory, not Haringx's.

    References
    ----------
    .. [1] Bazant 2005 on which strain goes with which theory of shear buckling (P, abstract).
    """
    space = model.space
    field = check_finite("stress", stress)
    if field.shape != (6, *space.volumes.shape):
        raise ValueError(
            f"stress has shape {field.shape}; it must be {(6, *space.volumes.shape)}: one load "
            "of a solution, at its quadrature points."
        )
    return model.pattern.block_matrix(model.pattern.add(_cells(space, field)))


def _cells(space, stress: np.ndarray):
    """Cells and their matrices, the same for each displacement component, chunk by chunk."""
    every = np.arange(len(space.volumes))
    for start in range(0, len(every), CHUNK):
        cells = every[start : start + CHUNK]
        slope = space.gradients[cells]
        pressed = np.einsum("klcq,cqln->cqkn", stress_tensor(stress[:, cells]), slope)
        pressed *= space.volumes[cells][:, :, None, None]
        scalar = np.einsum("cqkm,cqkn->cmn", slope, pressed, optimize=True)
        n = scalar.shape[1]
        full = np.zeros((len(cells), n, 3, n, 3))
        for component in range(3):
            full[:, :, component, :, component] = scalar
        yield cells, full.reshape(len(cells), 3 * n, 3 * n)


def solid_buckling(
    supported: Supported, solution: Solution, load: int = 0, count: int = 2
) -> SolidBuckling:
    """Find the lowest factors on a load that leave a supported solid without stiffness.

    Parameters
    ----------
    supported : Supported
        Factorised model with its supports; the same that was solved.
    solution : Solution
        Linear answer to the load.
    load : int, optional
        Which load set.
    count : int, optional

    Raises
    ------
    ModelError
        If the eigenvalue iteration does not settle.

    Notes
    -----
    K u = -f K_G u, with the factor at hand: -K_G u = (1/f) K u, largest 1/f first.
    """
    model, held = supported.model, supported.held
    n = model.space.n_unknowns
    free = np.ones(n)
    free[held] = 0.0
    geometric = geometric_matrix(model, solution.stress[..., load])
    kept = supported_blocks(model, held)
    start = free * np.random.default_rng(20814733).uniform(-1, 1, n)

    def added(v: np.ndarray) -> np.ndarray:
        return -free * (geometric @ (free * v.ravel()))

    def solved(v: np.ndarray) -> np.ndarray:
        return supported.factor.solve(v.reshape(-1, 1)).ravel()

    try:
        values, vectors = eigsh(
            LinearOperator((n, n), matvec=added, dtype=float), count, kept, which="LA",
            Minv=LinearOperator((n, n), matvec=solved, dtype=float), v0=start, tol=CLOSE,
        )  # fmt: skip
    except ArpackError as error:
        raise ModelError(
            f"The buckling load did not settle ({error}). Is any of the part pressed at all?"
        ) from error
    order = np.argsort(values)[::-1]
    values = values[order]
    factors = np.where(values > 1e-12, 1.0 / np.where(values > 1e-12, values, 1.0), np.inf)
    shapes = vectors[:, order].reshape(-1, 3, count).transpose(1, 0, 2)
    return SolidBuckling(factors, shapes / np.abs(shapes).max(axis=(0, 1)))


def solve_pressed(
    supported: Supported, loads: list[Load], stress: np.ndarray, tolerance: float = 1e-9
) -> np.ndarray:
    """Displacement under further loads of a solid that is already under stress.

    Parameters
    ----------
    supported : Supported
        All prescribed displacements must be zero.
    loads : list of Load
        What bends it.
    stress : ndarray of shape (6, n_cells, n_quad)
        Stress that acts while it bends, below that of buckling. [MPa]
    tolerance : float, optional
        Relative residual.

    Returns
    -------
    displacement : ndarray of shape (3, n_nodes)
        [mm]

    Raises
    ------
    ModelError
        If the iteration does not settle: the stress is near or beyond that of buckling.

    Notes
    -----
    (K + K_G) u = f by conjugate gradients, with the factor of K at hand: some ten steps.
    """
    model, held = supported.model, supported.held
    geometric = geometric_matrix(model, stress)
    free = np.ones(model.space.n_unknowns)
    free[held] = 0.0
    kept = supported_blocks(model, held)
    force = free * np.sum([load.forces(model) for load in loads], axis=0).ravel()
    shape = (force.size,) * 2

    def tangent(v: np.ndarray) -> np.ndarray:
        return kept @ v + free * (geometric @ (free * v))

    def solved(v: np.ndarray) -> np.ndarray:
        return supported.factor.solve(v.reshape(-1, 1)).ravel()

    answer, failed = cg(
        LinearOperator(shape, matvec=tangent, dtype=float), force, rtol=tolerance, atol=0.0,
        maxiter=300, M=LinearOperator(shape, matvec=solved, dtype=float),
    )  # fmt: skip
    if failed or answer @ tangent(answer) <= 0 or answer @ force <= 0:
        raise ModelError(
            "The pressed part found no rest: its stress is near or beyond that of buckling. "
            "Press less, or look at the buckling load first."
        )
    return answer.reshape(-1, 3).T
